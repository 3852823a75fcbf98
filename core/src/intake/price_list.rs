//! A price list: what a kilogram of each grade pays, what is added and what is taken off.

use super::delivery::{Bee, Form};
use super::policy::Period;
use crate::units::{Code, Currency, Label, Moisture, Money, Share, UnitPrice};

/// Price of one grade of one product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceRow {
    /// Which bee.
    pub bee: Bee,
    /// Which form.
    pub form: Form,
    /// Which grade.
    pub grade: Code,
    /// Minor units a kilogram.
    pub per_kg: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// A deduction for wetter honey; the step with the highest threshold passed applies alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoistureStep {
    /// Which bee.
    pub bee: Bee,
    /// Which form.
    pub form: Form,
    /// Applies to moisture above this.
    pub above: Moisture,
    /// Taken off each kilogram, minor units.
    pub per_kg: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// An addition that a member has a right to, such as certified organic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Premium {
    /// Its code, which the member's record carries.
    pub code: Code,
    /// What it is called.
    pub label: Label,
    /// Added to each kilogram, minor units.
    pub per_kg: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// How a levy is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LevyRate {
    /// Minor units off each kilogram.
    PerKilogram(UnitPrice),
    /// A share of the value of the honey.
    OfValue(Share),
}

/// A deduction that goes to somebody named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Levy {
    /// Its code.
    pub code: Code,
    /// What it is called.
    pub label: Label,
    /// Who gets it.
    pub payee: Label,
    /// How it is reckoned.
    pub rate: LevyRate,
    /// On what authority.
    pub source: Label,
}

/// The fields of a price list before they are checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceListParts {
    /// Its name, such as `PL-2026-3`.
    pub id: Code,
    /// What people call it.
    pub title: Label,
    /// When it is in force.
    pub period: Period,
    /// Its one currency.
    pub currency: Currency,
    /// Smallest coin that is handed over, minor units.
    pub coin_minor: i64,
    /// Most of the value of a delivery that may go to an advance.
    pub advance_share_at_most: Share,
    /// Prices.
    pub rows: Vec<PriceRow>,
    /// Deductions for moisture.
    pub moisture_steps: Vec<MoistureStep>,
    /// Additions.
    pub premiums: Vec<Premium>,
    /// Levies.
    pub levies: Vec<Levy>,
}

/// A checked price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceList(PriceListParts);

/// A price list that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceListError {
    /// Ends before it begins.
    #[error("price list {0} ends before it begins: correct its dates")]
    PeriodBackwards(Code),
    /// A coin of nothing, or one larger than any.
    #[error(
        "a smallest coin of {0} minor units cannot be handed over: give one from 1 to 1,000,000"
    )]
    CoinOutOfRange(i64),
    /// Pays for nothing.
    #[error("the price list has no price: add at least one row")]
    NoPrice,
    /// Two prices for one grade.
    #[error("grade {0} of {1:?} {2:?} has two prices: keep one")]
    PriceTwice(Code, Bee, Form),
    /// Two moisture steps at one threshold.
    #[error("{0:?} {1:?} has two moisture steps at the same value: keep one")]
    StepTwice(Bee, Form),
    /// A wetter step that takes off less.
    #[error("a moisture step of {0:?} {1:?} takes off less than a drier one: put them in order")]
    StepsFall(Bee, Form),
    /// Two premiums or levies of one code.
    #[error("the code {0} stands twice: give each premium and levy its own")]
    CodeTwice(Code),
    /// Levies that take all.
    #[error("the levies together take the whole value: lower them")]
    LeviesTakeAll,
    /// A grade of which the wettest honey would cost the member money.
    #[error(
        "what is taken off grade {0} of {1:?} {2:?}, its largest moisture step and all levies, is more than its price: lower one of them or raise the price"
    )]
    DeductionsAbovePrice(Code, Bee, Form),
}

impl PriceList {
    /// Greatest coin, minor units.
    pub const COIN_MAX_MINOR: i64 = 1_000_000;

    /// Checks a price list.
    pub fn new(parts: PriceListParts) -> Result<Self, PriceListError> {
        if parts
            .period
            .until
            .is_some_and(|until| until < parts.period.from)
        {
            return Err(PriceListError::PeriodBackwards(parts.id));
        }
        if !(1..=Self::COIN_MAX_MINOR).contains(&parts.coin_minor) {
            return Err(PriceListError::CoinOutOfRange(parts.coin_minor));
        }
        if parts.rows.is_empty() {
            return Err(PriceListError::NoPrice);
        }
        for (position, row) in parts.rows.iter().enumerate() {
            let same = |other: &PriceRow| {
                (other.bee, other.form, &other.grade) == (row.bee, row.form, &row.grade)
            };
            if parts.rows[..position].iter().any(same) {
                return Err(PriceListError::PriceTwice(
                    row.grade.clone(),
                    row.bee,
                    row.form,
                ));
            }
        }
        check_steps(&parts.moisture_steps)?;
        check_codes(&parts)?;
        check_deductions(&parts)?;
        Ok(Self(parts))
    }

    /// Its fields.
    pub const fn parts(&self) -> &PriceListParts {
        &self.0
    }

    /// Price of a grade of a product.
    pub fn price_of(&self, bee: Bee, form: Form, grade: &Code) -> Option<UnitPrice> {
        self.0
            .rows
            .iter()
            .find(|row| row.bee == bee && row.form == form && row.grade == *grade)
            .map(|row| row.per_kg)
    }

    /// The moisture step that applies, if any.
    pub fn step_for(&self, bee: Bee, form: Form, moisture: Moisture) -> Option<&MoistureStep> {
        self.0
            .moisture_steps
            .iter()
            .filter(|step| step.bee == bee && step.form == form && moisture > step.above)
            .max_by_key(|step| step.above)
    }

    /// Smallest coin as money.
    pub fn coin(&self) -> Money {
        // OK because `new` bounds the coin far below the greatest amount.
        Money::new(self.0.coin_minor, self.0.currency).unwrap_or(Money::zero(self.0.currency))
    }
}

fn check_steps(steps: &[MoistureStep]) -> Result<(), PriceListError> {
    for step in steps {
        for other in steps
            .iter()
            .filter(|o| o.bee == step.bee && o.form == step.form)
        {
            if !std::ptr::eq(step, other) && step.above == other.above {
                return Err(PriceListError::StepTwice(step.bee, step.form));
            }
            if step.above < other.above && step.per_kg > other.per_kg {
                return Err(PriceListError::StepsFall(step.bee, step.form));
            }
        }
    }
    Ok(())
}

fn check_codes(parts: &PriceListParts) -> Result<(), PriceListError> {
    let mut codes: Vec<&Code> = parts.premiums.iter().map(|premium| &premium.code).collect();
    codes.extend(parts.levies.iter().map(|levy| &levy.code));
    for (position, code) in codes.iter().enumerate() {
        if codes[..position].contains(code) {
            return Err(PriceListError::CodeTwice((*code).clone()));
        }
    }
    let share_of_value: i64 = parts
        .levies
        .iter()
        .map(|levy| match levy.rate {
            LevyRate::OfValue(share) => share.get(),
            LevyRate::PerKilogram(_) => 0,
        })
        .sum();
    if share_of_value >= crate::units::WHOLE_SHARE {
        return Err(PriceListError::LeviesTakeAll);
    }
    Ok(())
}

/// Holds the worst case of each grade to its price: the largest moisture step, then every levy. A
/// premium only adds. In ten-thousandths of a minor unit a kilogram, so that nothing is rounded.
fn check_deductions(parts: &PriceListParts) -> Result<(), PriceListError> {
    let whole = i128::from(crate::units::WHOLE_SHARE);
    let (mut of_value, mut per_kg) = (0, 0);
    for levy in &parts.levies {
        match levy.rate {
            LevyRate::OfValue(share) => of_value += i128::from(share.get()),
            LevyRate::PerKilogram(off) => per_kg += i128::from(off.get()),
        }
    }
    for row in &parts.rows {
        let steps = parts.moisture_steps.iter();
        let largest = steps
            .filter(|step| (step.bee, step.form) == (row.bee, row.form))
            .map(|step| i128::from(step.per_kg.get()))
            .max()
            .unwrap_or(0);
        let value = i128::from(row.per_kg.get()) - largest;
        if value * (whole - of_value) < per_kg * whole {
            return Err(PriceListError::DeductionsAbovePrice(
                row.grade.clone(),
                row.bee,
                row.form,
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
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
}
