//! What the review says of instruments.

use super::*;

fn other_scale(interval: i64) -> WeighingScaleV1 {
    WeighingScaleV1 {
        interval_g: ScaleInterval::new(interval).unwrap(),
        check: ScaleCheck::Passed,
    }
}

#[test]
fn another_instrument_than_the_mornings_is_found() {
    let mut on_another_scale = good_comb(101);
    on_another_scale.scale = Some(other_scale(20));
    check(
        &receipt(issue(1, "M003", on_another_scale), Paid::Cash, |_| ()),
        &[(3, "instrument-differs")],
    );
    // An offset made up to let wet honey pass.
    let mut corrected = wet_run(101);
    corrected.refractometer = Some(RefractometerV1 {
        scale: Scale::Water,
        compensated: true,
        offset: Some(Offset::new(200).unwrap()),
    });
    check(
        &receipt(issue(1, "M003", corrected), Paid::Cash, |_| ()),
        &[(3, "instrument-differs")],
    );
}

#[test]
fn instruments_that_were_not_checked_are_noted() {
    let EntryBody::DayOpened(mut opened) = opening() else {
        panic!("the morning opens");
    };
    opened.scale.as_mut().unwrap().known_g = None;
    opened.refractometer.as_mut().unwrap().check = None;
    let mut gate = Gate::enrolled();
    gate.write("07:10", &EntryBody::DayOpened(opened));
    check(
        &gate,
        &[(2, "scale-unproven"), (2, "refractometer-unchecked")],
    );
}
