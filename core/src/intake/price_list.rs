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
mod tests;
