//! What the review says of numbers.

use super::*;

/// Receipts with these running numbers, one after the other, of handset K7 or another.
fn numbered(numbers: &[&str]) -> Gate {
    let mut gate = Gate::opened();
    for (place, number) in (1_u32..).zip(numbers) {
        let paper = issue(place.into(), "M003", good_comb(100 + place));
        common::receipt(&mut gate, "07:42", paper, Paid::Cash, |receipt| {
            receipt.number = common::number(number);
        });
    }
    gate
}

#[test]
fn a_number_used_twice_or_left_out_is_found() {
    check(&numbered(&["K7-26-00001", "K7-26-00002"]), &[]);
    check(
        &numbered(&["K7-26-00001", "K7-26-00001"]),
        &[(4, "number-twice")],
    );
    check(
        &numbered(&["K7-26-00001", "K7-26-00003"]),
        &[(4, "number-gap")],
    );
    check(
        &numbered(&["K7-26-00002", "K7-26-00001"]),
        &[(3, "number-gap"), (4, "number-twice")],
    );
    // The series goes on over the new year.
    check(&numbered(&["K7-25-00001", "K7-26-00002"]), &[]);
    check(
        &numbered(&["K7-26-00001", "K7-27-00001"]),
        &[(4, "number-twice")],
    );
}

#[test]
fn a_number_of_another_series_is_found_and_leaves_the_own_one_alone() {
    check(
        &numbered(&["K7-26-00001", "K8-26-00900", "K7-26-00002"]),
        &[(4, "other-series")],
    );
}

#[test]
fn slips_are_of_the_same_series() {
    let mut gate = numbered(&["K7-26-00001"]);
    gate.handset.standing.last_running = 0;
    gate.buy("08:00", issue(9, "M003", wet_run(109)), Paid::Cash);
    check(&gate, &[(4, "number-twice")]);
}

#[test]
fn a_delivery_gets_one_paper_whatever_the_day() {
    let mut gate = Gate::opened();
    gate.buy("07:42", comb(), Paid::Cash);
    gate.buy("07:50", comb(), Paid::Cash);
    check(&gate, &[(4, "delivery-twice")]);

    let mut gate = Gate::opened();
    gate.buy("07:42", issue(1, "M003", wet_run(101)), Paid::Cash);
    let mut gate = common::closed(&gate);
    let EntryBody::DayOpened(opened) = opening() else {
        panic!("the morning opens");
    };
    let tomorrow = day().succ_opt().unwrap();
    let next = DayOpenedV1 {
        day: tomorrow,
        ..*opened
    };
    let next = EntryBody::DayOpened(Box::new(next));
    gate.handset.write(on("2026-10-10", "07:00"), &next);
    let again = Issue {
        day: tomorrow,
        ..gate.due(issue(1, "M003", good_run(101)), Paid::Cash)
    };
    gate.handset
        .issue(on("2026-10-10", "07:30"), again, &gate.brief);
    check(&gate, &[(6, "delivery-twice")]);
}
