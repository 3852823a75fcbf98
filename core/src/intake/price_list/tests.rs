use super::super::sample::{
    code, day, levy, moisture, premium, price_list, price_list_parts, share, step, unit_price,
};
use super::*;

const BEE: Bee = Bee::Honeybee;
const FORM: Form = Form::RunHoney;

fn changed(change: fn(&mut PriceListParts)) -> Result<PriceList, PriceListError> {
    let mut parts = price_list_parts();
    change(&mut parts);
    PriceList::new(parts)
}

#[test]
fn every_way_a_price_list_can_be_unusable() {
    type Row = (fn(&mut PriceListParts), PriceListError);
    let rows: [Row; 12] = [
        (
            |parts| parts.period.until = Some(day(1, 1).pred_opt().unwrap()),
            PriceListError::PeriodBackwards(code("PL-TEST")),
        ),
        (
            |parts| parts.coin_minor = 0,
            PriceListError::CoinOutOfRange(0),
        ),
        (
            |parts| parts.coin_minor = -100,
            PriceListError::CoinOutOfRange(-100),
        ),
        (
            |parts| parts.coin_minor = 1_000_001,
            PriceListError::CoinOutOfRange(1_000_001),
        ),
        (|parts| parts.rows.clear(), PriceListError::NoPrice),
        (
            |parts| {
                parts.rows.push(PriceRow {
                    per_kg: unit_price(1),
                    ..parts.rows[0].clone()
                });
            },
            PriceListError::PriceTwice(code("A"), BEE, FORM),
        ),
        (
            |parts| parts.moisture_steps.push(step(FORM, 18_50, 60_00)),
            PriceListError::StepTwice(BEE, FORM),
        ),
        (
            |parts| parts.moisture_steps.push(step(FORM, 20_00, 49_99)),
            PriceListError::StepsFall(BEE, FORM),
        ),
        (
            |parts| parts.premiums.push(premium("ORG", 1)),
            PriceListError::CodeTwice(code("ORG")),
        ),
        (
            |parts| parts.premiums.push(premium("CESS", 1)),
            PriceListError::CodeTwice(code("CESS")),
        ),
        (
            |parts| {
                let again = levy("CESS", LevyRate::OfValue(share(1)));
                parts.levies.push(again);
            },
            PriceListError::CodeTwice(code("CESS")),
        ),
        (
            |parts| {
                // With the cess of 1.50 % exactly the whole.
                let rest = levy("REST", LevyRate::OfValue(share(98_50)));
                parts.levies.push(rest);
            },
            PriceListError::LeviesTakeAll,
        ),
    ];
    for (change, error) in rows {
        assert_eq!(changed(change), Err(error));
    }
}

#[test]
fn just_inside_each_end() {
    let rows: [fn(&mut PriceListParts); 7] = [
        |parts| parts.coin_minor = 1,
        |parts| parts.coin_minor = 1_000_000,
        |parts| parts.period.until = Some(parts.period.from),
        |parts| {
            // Without the union's levy, for which nothing would be left.
            let rest = levy("REST", LevyRate::OfValue(share(98_49)));
            parts.levies[0] = rest;
        },
        |parts| parts.moisture_steps.push(step(FORM, 20_00, 50_00)),
        // The same threshold for another product is no second step.
        |parts| parts.moisture_steps.push(step(Form::CutComb, 18_50, 1)),
        // A price of nothing is a price: a gift to the cooperative can be receipted.
        |parts| {
            parts.rows[0].per_kg = unit_price(0);
            parts.moisture_steps.clear();
            parts.levies.clear();
        },
    ];
    for (position, change) in rows.into_iter().enumerate() {
        assert!(changed(change).is_ok(), "row {position}");
    }
}

/// Grade B of run honey pays 380.00: less a step of 50.00 and the union's 2.00, a cess may take
/// no more than 328.00 of 330.00, which is 99.39 %.
#[test]
fn deductions_never_pass_the_price() {
    let above = |change: fn(&mut PriceListParts)| changed(change).err();
    let of = |grade| Some(PriceListError::DeductionsAbovePrice(code(grade), BEE, FORM));
    let cess = |parts: &mut PriceListParts, rate| {
        parts.rows.retain(|row| row.form == FORM && row.bee == BEE);
        parts.levies[1].rate = LevyRate::OfValue(share(rate));
    };
    let kept = |rate| {
        let mut parts = price_list_parts();
        cess(&mut parts, rate);
        PriceList::new(parts).err()
    };
    assert_eq!(kept(99_39), None);
    assert_eq!(kept(99_40), of("B"));
    // A step of all of it leaves nothing for the levies; without them nothing is missing.
    let all = |parts: &mut PriceListParts| parts.moisture_steps[1].per_kg = unit_price(38_000);
    assert_eq!(
        above(|parts| parts.moisture_steps[1].per_kg = unit_price(38_000)),
        of("B")
    );
    let mut parts = price_list_parts();
    all(&mut parts);
    parts.levies.clear();
    assert!(PriceList::new(parts.clone()).is_ok());
    parts.moisture_steps[1].per_kg = unit_price(38_001);
    assert_eq!(PriceList::new(parts).err(), of("B"));
    // Steps of another product take nothing off this one.
    assert_eq!(
        above(|parts| {
            parts.moisture_steps = vec![step(Form::CrushedComb, 18_50, 900_000)];
        }),
        None
    );
}

/// Steps at 18.50 and 19.50 %: the highest one passed applies, and at a threshold not yet.
#[test]
fn the_moisture_step_just_under_at_and_just_over() {
    #[rustfmt::skip]
    let rows = [
        (18_49, None),
        (18_50, None),
        (18_51, Some(20_00)),
        (19_50, Some(20_00)),
        (19_51, Some(50_00)),
        (60_00, Some(50_00)),
    ];
    let list = price_list();
    for (water, per_kg) in rows {
        let found = list.step_for(BEE, FORM, moisture(water));
        assert_eq!(found.map(|step| step.per_kg.get()), per_kg, "{water}");
    }
    assert_eq!(list.step_for(BEE, Form::CutComb, moisture(60_00)), None);
    assert_eq!(
        list.step_for(Bee::StinglessBee, FORM, moisture(60_00)),
        None
    );
}

#[test]
fn a_price_is_found_by_bee_form_and_grade() {
    let list = price_list();
    let of = |bee, form, grade| list.price_of(bee, form, &code(grade)).map(UnitPrice::get);
    assert_eq!(of(BEE, FORM, "A"), Some(45_000));
    assert_eq!(of(BEE, Form::CutComb, "A"), Some(30_000));
    assert_eq!(of(Bee::StinglessBee, FORM, "A"), None);
    assert_eq!(of(BEE, FORM, "C"), None);
    assert_eq!(list.coin().minor(), 100);
}
