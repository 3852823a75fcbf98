//! The price, line by line, on sums worked out by hand.

use super::super::sample;
use super::*;
use crate::intake::{LevyRate, PriceListParts};
use crate::units::Currency;

/// Run honey of some grade; grade A of the sample price list is 450.00 a kilogram.
fn honey(grade: &Code, net: i64, moisture: Option<i64>) -> Priced<'_> {
    Priced {
        bee: Bee::Honeybee,
        form: Form::RunHoney,
        grade,
        moisture: moisture.map(sample::moisture),
        net: Grams::new(net).unwrap(),
    }
}

fn list(change: impl FnOnce(&mut PriceListParts)) -> PriceList {
    let mut parts = sample::price_list_parts();
    change(&mut parts);
    PriceList::new(parts).unwrap()
}

/// Nothing but a price for grade A, in minor units, and a coin.
fn bare(per_kg: i64, coin: i64) -> PriceList {
    list(|parts| {
        parts.rows[0].per_kg = sample::unit_price(per_kg);
        parts.coin_minor = coin;
        parts.moisture_steps.clear();
        parts.premiums.clear();
        parts.levies.clear();
    })
}

fn lent(minor: i64, currency: Currency) -> Advance {
    Advance {
        payee: sample::label("The cooperative"),
        outstanding: Money::new(minor, currency).unwrap(),
    }
}

/// Amounts in the order shown, and the payable minor units.
fn amounts(statement: &PriceStatement) -> (Vec<String>, i64) {
    let lines = statement.lines.iter();
    (
        lines.map(|line| line.amount.to_string()).collect(),
        statement.payable.minor(),
    )
}

/// 12.345 kg, 19.00 % water, organic, 2,000.00 owed. By hand, in cents:
/// honey 12.345 × 45,000 = 555,525; step −12.345 × 2,000 = −24,690; organic 12.345 × 3,000 =
/// 37,035; value 567,870; union −12.345 × 200 = −2,469; cess 1.5 % of the value = −8,518.05;
/// advance at most 30 % of the value = 170,361, less than is owed; left 386,521.95; to the
/// shilling 386,500.
#[test]
fn a_full_statement_by_hand() {
    let grade = sample::code("A");
    let owed = lent(200_000, sample::currency("KES"));
    let found = price(
        honey(&grade, 12_345, Some(19_00)),
        &sample::price_list(),
        &[sample::code("ORG")],
        Some(&owed),
    )
    .unwrap();
    let (lines, payable) = amounts(&found);
    assert_eq!(
        lines,
        [
            "555525", "-24690", "37035", "-2469", "-8518.05", "-170361", "-21.95"
        ]
    );
    assert_eq!(payable, 386_500);
    assert_eq!(found.net.get(), 12_345);
    let kinds: Vec<_> = found.lines.iter().map(|line| line.kind.clone()).collect();
    let (a_levy, somebody) = (sample::label("A levy"), sample::label("Somebody named"));
    assert_eq!(
        kinds,
        [
            LineKind::Honey(grade.clone()),
            LineKind::MoistureStep(sample::moisture(18_50)),
            LineKind::Premium(sample::code("ORG"), sample::label("An addition")),
            LineKind::Levy(sample::code("UNION"), a_levy.clone(), somebody.clone()),
            LineKind::Levy(sample::code("CESS"), a_levy, somebody),
            LineKind::Advance(sample::label("The cooperative")),
            LineKind::Rounding,
        ]
    );
}

/// A mass at so many minor units a kilogram, to so large a coin: a half goes to the member.
#[test]
fn to_the_nearest_coin_and_a_tie_to_the_member() {
    #[rustfmt::skip]
    let rows = [
        // grams, per kg, coin, payable, rounding
        (1_000, 1_274, 50, 1_250, "-24"),
        (1_000, 1_275, 50, 1_300, "25"),
        (1_000, 1_276, 50, 1_300, "24"),
        (1_000, 1_300, 50, 1_300, "0"),
        (    1,   499,  1,     0, "-0.499"),
        (    1,   500,  1,     1, "0.5"),
        (    1,   501,  1,     1, "0.499"),
        (1_000,    49, 99,     0, "-49"),
        (1_000,    50, 99,    99, "49"),
        (2_001,   250,  1,   500, "-0.25"),
        (2_002,   250,  1,   501, "0.5"),
        (1_000,     0, 50,     0, "0"),
    ];
    let grade = sample::code("A");
    for (net, per_kg, coin, payable, rounding) in rows {
        let found = price(honey(&grade, net, None), &bare(per_kg, coin), &[], None).unwrap();
        let (lines, paid) = amounts(&found);
        assert_eq!(
            (paid, lines.last().map(String::as_str)),
            (payable, Some(rounding)),
            "{net} g at {per_kg} to {coin}"
        );
    }
}

/// A kilogram worth 1,000.00, after a levy on its value.
#[test]
fn an_advance_takes_no_more_than_owed_allowed_or_left() {
    #[rustfmt::skip]
    let rows = [
        // owed, levy of value, most to the advance, taken
        (      0, 60_00,  30_00, None),
        ( -5_000, 60_00,  30_00, None),
        (      1, 60_00,  30_00, Some(1)),
        ( 29_999, 60_00,  30_00, Some(29_999)),
        ( 30_000, 60_00,  30_00, Some(30_000)),
        ( 30_001, 60_00,  30_00, Some(30_000)),
        ( 90_000, 60_00,  50_00, Some(40_000)),
        ( 90_000, 60_00,      0, None),
        (200_000,     1, 10_000, Some(99_990)),
    ];
    let grade = sample::code("A");
    for (owed, levied, most, taken) in rows {
        let prices = list(|parts| {
            let cess = LevyRate::OfValue(sample::share(levied));
            parts.rows[0].per_kg = sample::unit_price(100_000);
            parts.advance_share_at_most = sample::share(most);
            parts.levies = vec![sample::levy("CESS", cess)];
        });
        let advance = lent(owed, sample::currency("KES"));
        let found = price(honey(&grade, 1_000, None), &prices, &[], Some(&advance)).unwrap();
        let line = found
            .lines
            .iter()
            .find(|line| matches!(line.kind, LineKind::Advance(_)));
        assert_eq!(
            line.and_then(|line| line.amount.whole_minor()),
            taken.map(|minor: i64| -minor),
            "{owed} owed, {most} allowed"
        );
    }
}

/// An advance is taken back in whole minor units: of 10 cents, 33.33 % is 3.
#[test]
fn an_advance_takes_no_part_of_a_minor_unit() {
    let grade = sample::code("A");
    let mut parts = bare(10, 1).parts().clone();
    parts.advance_share_at_most = sample::share(33_33);
    let prices = PriceList::new(parts).unwrap();
    let owed = lent(1_000, sample::currency("KES"));
    let found = price(honey(&grade, 1_000, None), &prices, &[], Some(&owed)).unwrap();
    let lines = ["10", "-3", "0"].map(String::from).to_vec();
    assert_eq!(amounts(&found), (lines, 7));
}

#[test]
fn what_cannot_be_priced_is_an_error() {
    let (grade, none) = (sample::code("A"), sample::code("Z"));
    let prices = sample::price_list();
    let kilogram = honey(&grade, 1_000, None);
    assert_eq!(
        price(honey(&none, 1_000, None), &prices, &[], None),
        Err(PriceError::NoPrice(none.clone()))
    );
    assert_eq!(
        price(kilogram, &prices, std::slice::from_ref(&none), None),
        Err(PriceError::NoSuchPremium(none))
    );
    let (ugx, kes) = (sample::currency("UGX"), sample::currency("KES"));
    assert_eq!(
        price(kilogram, &prices, &[], Some(&lent(1, ugx))),
        Err(PriceError::Money(MoneyError::MixedCurrencies(ugx, kes)))
    );
}

/// 380.00 a kilogram of grade B, less a step of as much: nothing left is paid as nothing.
#[test]
fn deductions_may_come_to_the_value() {
    let grade = sample::code("B");
    let prices = list(|parts| {
        parts.moisture_steps = vec![sample::step(Form::RunHoney, 18_50, 38_000)];
        parts.levies.clear();
    });
    let wet = honey(&grade, 1_000, Some(19_00));
    let nothing = price(wet, &prices, &[], None).unwrap();
    assert_eq!(nothing.payable.minor(), 0);
}

#[test]
fn a_premium_is_paid_once() {
    let grade = sample::code("A");
    let kilogram = honey(&grade, 1_000, None);
    let organic = sample::code("ORG");
    let twice = [organic.clone(), organic.clone()];
    assert_eq!(
        price(kilogram, &sample::price_list(), &twice, None),
        Err(PriceError::PremiumTwice(organic))
    );
}

/// The largest mass at the largest price is more than can be paid, and is said so.
#[test]
fn a_sum_beyond_counting_is_an_error() {
    let grade = sample::code("A");
    let dearest = bare(UnitPrice::MAX.get(), 1);
    let too_large = Err(PriceError::Money(MoneyError::TooLarge));
    let of = |net| price(honey(&grade, net, None), &dearest, &[], None);
    assert_eq!(of(Grams::MAX.get()), too_large);
    // 100,000 kg at the largest price is the greatest amount exactly; a gram more is refused.
    assert_eq!(of(100_000_000).unwrap().payable.minor(), Money::MAX_MINOR);
    assert_eq!(of(100_000_001), too_large);
}
