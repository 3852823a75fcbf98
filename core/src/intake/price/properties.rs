//! What holds of every price, whatever the list and the honey.

use super::super::sample;
use super::*;
use crate::intake::PriceListParts;
use proptest::prelude::*;

fn any_unit_price() -> impl Strategy<Value = i64> {
    prop_oneof![
        4 => 0..100_000_i64,
        1 => 0..=UnitPrice::MAX.get(),
    ]
}

fn any_grams() -> impl Strategy<Value = i64> {
    prop_oneof![
        4 => 1..500_000_i64,
        1 => 0..=Grams::MAX.get(),
    ]
}

/// A levy of up to 15 % of the value, or of up to 7.5 % of the price off each kilogram: three of
/// them leave something of the half that the moisture step leaves.
fn levy_rate(of_value: bool, drawn: i64, per_kg: i64) -> LevyRate {
    if of_value {
        LevyRate::OfValue(sample::share(drawn))
    } else {
        LevyRate::PerKilogram(sample::unit_price(per_kg * drawn / 20_000))
    }
}

prop_compose! {
    /// A price list that can be used, with everything arbitrary that a list may hold.
    fn any_list()(
        per_kg in any_unit_price(),
        coin in prop_oneof![Just(1), Just(50), Just(100), 1..=PriceList::COIN_MAX_MINOR],
        most in 0..=10_000_i64,
        step in 0..=10_000_i64,
        premium in any_unit_price(),
        levies in prop::collection::vec((any::<bool>(), 0..=1_500_i64), 0..4),
    ) -> PriceListParts {
        let mut parts = sample::price_list_parts();
        // Grade A alone: what is taken off is drawn by its price, and a list whose deductions pass
        // a price is refused.
        parts.rows.truncate(1);
        parts.rows[0].per_kg = sample::unit_price(per_kg);
        parts.coin_minor = coin;
        parts.advance_share_at_most = sample::share(most);
        parts.moisture_steps = vec![sample::step(Form::RunHoney, 18_50, per_kg * step / 20_000)];
        parts.premiums = vec![sample::premium("ORG", premium)];
        parts.levies = levies
            .into_iter()
            .enumerate()
            .map(|(number, (of_value, drawn))| {
                sample::levy(&format!("L{number}"), levy_rate(of_value, drawn, per_kg))
            })
            .collect();
        parts
    }
}

prop_compose! {
    fn any_advance()(owed in prop_oneof![
        0..500_000_i64,
        -Money::MAX_MINOR..=Money::MAX_MINOR,
    ]) -> Advance {
        Advance {
            payee: sample::label("The cooperative"),
            outstanding: Money::new(owed, sample::currency("KES")).unwrap(),
        }
    }
}

/// Prices grade A of run honey.
fn priced(
    parts: &PriceListParts,
    net: i64,
    water: i64,
    organic: bool,
    advance: Option<&Advance>,
) -> Result<PriceStatement, PriceError> {
    let grade = sample::code("A");
    let premiums = vec![sample::code("ORG"); usize::from(organic)];
    let honey = Priced {
        bee: Bee::Honeybee,
        form: Form::RunHoney,
        grade: &grade,
        moisture: Some(sample::moisture(water)),
        net: Grams::new(net).unwrap(),
    };
    let list = PriceList::new(parts.clone()).unwrap();
    price(honey, &list, &premiums, advance)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    /// Nothing panics or overflows; a price that cannot be is an error; any other adds up.
    #[test]
    fn lines_always_sum_to_the_payable_total(
        parts in any_list(),
        net in any_grams(),
        water in 1_300..2_500_i64,
        organic in any::<bool>(),
        advance in prop::option::of(any_advance()),
    ) {
        match priced(&parts, net, water, organic, advance.as_ref()) {
            Ok(found) => {
                let total: i128 = found.lines.iter().map(|line| line.amount.parts()).sum();
                prop_assert_eq!(total, ExactMinor::from_minor(found.payable.minor()).parts());
                prop_assert!(found.payable.minor() >= 0);
                prop_assert_eq!(found.payable.minor() % parts.coin_minor, 0);
                prop_assert_eq!(found.net.get(), net);
            }
            Err(error) => prop_assert!(
                matches!(error, PriceError::Money(MoneyError::TooLarge)),
                "{:?}",
                error
            ),
        }
    }

    /// One rounding line, the last; it moves less than half a coin, or half a coin to the member.
    #[test]
    fn rounding_is_one_line_and_a_tie_is_the_members(
        parts in any_list(),
        net in 1..500_000_i64,
        water in 1_300..2_500_i64,
    ) {
        if let Ok(found) = priced(&parts, net, water, true, None) {
            let (last, others) = found.lines.split_last().unwrap();
            prop_assert_eq!(&last.kind, &LineKind::Rounding);
            prop_assert!(others.iter().all(|line| line.kind != LineKind::Rounding));
            let coin = ExactMinor::from_minor(parts.coin_minor).parts();
            let twice = 2 * last.amount.parts();
            prop_assert!(-coin < twice && twice <= coin, "{}", last.amount);
        }
    }

    /// The advance never takes more than owed, nor more than its share of the value.
    #[test]
    fn an_advance_keeps_to_its_bounds(
        parts in any_list(),
        net in 1..500_000_i64,
        advance in any_advance(),
    ) {
        if let Ok(found) = priced(&parts, net, 1_700, false, Some(&advance)) {
            let taken: i128 = found
                .lines
                .iter()
                .filter(|line| matches!(line.kind, LineKind::Advance(_)))
                .map(|line| -line.amount.parts())
                .sum();
            let owed = ExactMinor::from_minor(advance.outstanding.minor().max(0)).parts();
            prop_assert!(0 <= taken && taken <= owed);
            // The honey line alone is the value here: dry, no premium.
            let value = found.lines[0].amount.parts();
            let most = i128::from(parts.advance_share_at_most.get());
            prop_assert!(taken * i128::from(WHOLE_SHARE) <= value * most);
        }
    }

    /// More of the same honey never pays less.
    #[test]
    fn a_heavier_delivery_never_pays_less(
        parts in any_list(),
        net in 1..500_000_i64,
        more in 1..5_000_i64,
        water in 1_300..2_500_i64,
    ) {
        let lighter = priced(&parts, net, water, false, None);
        let heavier = priced(&parts, net + more, water, false, None);
        if let (Ok(lighter), Ok(heavier)) = (lighter, heavier) {
            prop_assert!(lighter.payable.minor() <= heavier.payable.minor());
        }
    }

    /// Wetter honey of the same grade never pays more.
    #[test]
    fn wetter_honey_never_pays_more(parts in any_list(), net in 1..500_000_i64) {
        let dry = priced(&parts, net, 1_850, true, None);
        let wet = priced(&parts, net, 1_851, true, None);
        if let (Ok(dry), Ok(wet)) = (dry, wet) {
            prop_assert!(wet.payable.minor() <= dry.payable.minor());
        }
    }
}
