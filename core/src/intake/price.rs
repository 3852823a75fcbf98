//! What is paid, line by line, exactly; rounded once, at the end, to the coin in use.
//!
//! Grams times minor units a kilogram is kept as a fraction, so no line is ever rounded. The last
//! line is the rounding, and the lines always sum to the payable total.

use super::delivery::{Bee, Form};
use super::price_list::{LevyRate, PriceList};
use crate::units::{
    Code, ExactMinor, GRAMS_PER_KILOGRAM, Grams, Label, Moisture, Money, MoneyError, Share,
    UnitPrice, WHOLE_SHARE,
};

/// Money lent to the member before, to be taken back from deliveries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advance {
    /// Who lent it.
    pub payee: Label,
    /// Still to be paid back.
    pub outstanding: Money,
}

/// What a line is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LineKind {
    /// Honey of a grade.
    Honey(Code),
    /// Deduction for moisture above a threshold.
    MoistureStep(Moisture),
    /// An addition.
    Premium(Code, Label),
    /// A levy, and who gets it.
    Levy(Code, Label, Label),
    /// Paid back of an advance, and to whom.
    Advance(Label),
    /// To the coin in use.
    Rounding,
}

/// At what rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rate {
    /// Minor units a kilogram, on the net mass.
    PerKilogram(UnitPrice),
    /// A share of the value.
    OfValue(Share),
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceLine {
    /// What for.
    pub kind: LineKind,
    /// At what rate, where there is one.
    pub rate: Option<Rate>,
    /// Exactly how much; negative for a deduction.
    pub amount: ExactMinor,
}

/// The whole reckoning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceStatement {
    /// Net mass paid for.
    pub net: Grams,
    /// Lines in the order shown; they sum to `payable`.
    pub lines: Vec<PriceLine>,
    /// What the member is to get.
    pub payable: Money,
}

/// What is to be priced.
#[derive(Debug, Clone, Copy)]
pub(super) struct Priced<'a> {
    pub(super) bee: Bee,
    pub(super) form: Form,
    pub(super) grade: &'a Code,
    pub(super) moisture: Option<Moisture>,
    pub(super) net: Grams,
}

/// A delivery that cannot be priced.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceError {
    /// No price for this grade.
    #[error("grade {0} has no price: ask the desk for a price list that has it")]
    NoPrice(Code),
    /// An addition the list does not have.
    #[error("the price list has no premium '{0}': take it off the member's record or ask the desk")]
    NoSuchPremium(Code),
    /// An addition asked for a second time.
    #[error(
        "premium '{0}' is given twice: take one of the two off the member's record or off the receipt"
    )]
    PremiumTwice(Code),
    /// An advance in other money.
    #[error(transparent)]
    Money(#[from] MoneyError),
}

/// Prices a bought delivery.
pub(super) fn price(
    honey: Priced<'_>,
    list: &PriceList,
    premiums: &[Code],
    advance: Option<&Advance>,
) -> Result<PriceStatement, PriceError> {
    let parts = list.parts();
    let per_kg = list
        .price_of(honey.bee, honey.form, honey.grade)
        .ok_or_else(|| PriceError::NoPrice(honey.grade.clone()))?;
    let mut lines = vec![PriceLine {
        kind: LineKind::Honey(honey.grade.clone()),
        rate: Some(Rate::PerKilogram(per_kg)),
        amount: of_mass(honey.net, per_kg),
    }];
    if let Some(step) = honey
        .moisture
        .and_then(|m| list.step_for(honey.bee, honey.form, m))
    {
        lines.push(PriceLine {
            kind: LineKind::MoistureStep(step.above),
            rate: Some(Rate::PerKilogram(step.per_kg)),
            amount: of_mass(honey.net, step.per_kg).negated(),
        });
    }
    for (position, code) in premiums.iter().enumerate() {
        if premiums[..position].contains(code) {
            return Err(PriceError::PremiumTwice(code.clone()));
        }
        let premium = parts
            .premiums
            .iter()
            .find(|premium| premium.code == *code)
            .ok_or_else(|| PriceError::NoSuchPremium(code.clone()))?;
        lines.push(PriceLine {
            kind: LineKind::Premium(premium.code.clone(), premium.label.clone()),
            rate: Some(Rate::PerKilogram(premium.per_kg)),
            amount: of_mass(honey.net, premium.per_kg),
        });
    }
    let value = sum(&lines)?;
    for levy in &parts.levies {
        let (rate, amount) = match levy.rate {
            LevyRate::PerKilogram(off) => (Rate::PerKilogram(off), of_mass(honey.net, off)),
            LevyRate::OfValue(share) => (Rate::OfValue(share), of_value(value, share)?),
        };
        lines.push(PriceLine {
            kind: LineKind::Levy(levy.code.clone(), levy.label.clone(), levy.payee.clone()),
            rate: Some(rate),
            amount: amount.negated(),
        });
    }
    if let Some(line) = advance_line(advance, list, value, sum(&lines)?)? {
        lines.push(line);
    }
    // Never below nothing: the price list's constructor holds all deductions to the price.
    let exact = sum(&lines)?;
    let payable = round_to_coin(exact, list.coin())?;
    lines.push(PriceLine {
        kind: LineKind::Rounding,
        rate: None,
        amount: ExactMinor::from_minor(payable.minor())
            .plus(exact.negated())
            .ok_or(MoneyError::TooLarge)?,
    });
    Ok(PriceStatement {
        net: honey.net,
        lines,
        payable,
    })
}

/// Rounds to the nearest coin; a tie goes to the member. The one place where money is rounded.
///
/// # Examples
/// To a coin of 50: 1,275 is half way and becomes 1,300.
fn round_to_coin(exact: ExactMinor, coin: Money) -> Result<Money, MoneyError> {
    let step = i128::from(coin.minor()) * ExactMinor::PARTS;
    let coins = (2 * exact.parts() + step).div_euclid(2 * step);
    let minor =
        i64::try_from(coins * i128::from(coin.minor())).map_err(|_| MoneyError::TooLarge)?;
    Money::new(minor, coin.currency())
}

/// Mass times price: exact, in ten-millionths of a minor unit.
fn of_mass(net: Grams, per_kg: UnitPrice) -> ExactMinor {
    let parts_per_gram_unit = ExactMinor::PARTS / i128::from(GRAMS_PER_KILOGRAM);
    ExactMinor::from_parts(i128::from(net.get()) * i128::from(per_kg.get()) * parts_per_gram_unit)
}

/// A share of a value: exact, because a value is a whole number of thousandths.
fn of_value(value: ExactMinor, share: Share) -> Result<ExactMinor, MoneyError> {
    value
        .parts()
        .checked_mul(i128::from(share.get()))
        .map(|product| ExactMinor::from_parts(product / i128::from(WHOLE_SHARE)))
        .ok_or(MoneyError::TooLarge)
}

/// Takes back an advance: no more than is outstanding, than the list allows of the value, or than
/// is left; whole minor units.
fn advance_line(
    advance: Option<&Advance>,
    list: &PriceList,
    value: ExactMinor,
    left: ExactMinor,
) -> Result<Option<PriceLine>, MoneyError> {
    let Some(advance) = advance else {
        return Ok(None);
    };
    let currency = list.parts().currency;
    if advance.outstanding.currency() != currency {
        return Err(MoneyError::MixedCurrencies(
            advance.outstanding.currency(),
            currency,
        ));
    }
    let allowed = of_value(value, list.parts().advance_share_at_most)?;
    let most = allowed.min(left).parts().div_euclid(ExactMinor::PARTS);
    let taken = most.min(i128::from(advance.outstanding.minor())).max(0);
    if taken == 0 {
        return Ok(None);
    }
    Ok(Some(PriceLine {
        kind: LineKind::Advance(advance.payee.clone()),
        rate: None,
        amount: ExactMinor::from_parts(-taken * ExactMinor::PARTS),
    }))
}

fn sum(lines: &[PriceLine]) -> Result<ExactMinor, MoneyError> {
    lines
        .iter()
        .try_fold(ExactMinor::ZERO, |total, line| total.plus(line.amount))
        .ok_or(MoneyError::TooLarge)
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;
