//! Gross, tare, net, and how far a class III scale may err.
//!
//! # References
//! OIML R 76-1:2006, Non-automatic weighing instruments: Table 6 (maximum permissible errors on
//! initial verification), Table 3 (minimum capacity 20 e for class III). In service the errors
//! may be twice as large (3.5.2; value from memory).
//!
//! A scale used in trade must be verified by the authority; what is computed here does not
//! replace that.

use super::delivery::Pail;
use crate::units::{Code, Grams, MILLIGRAMS_PER_GRAM, RangeError, ScaleInterval};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Errors allowed in service over those on verification.
const IN_SERVICE_FACTOR: i64 = 2;
/// Class III: least load, in intervals.
const LEAST_LOAD_INTERVALS: i64 = 20;
/// Class III: most intervals.
const MOST_INTERVALS: i64 = 10_000;

/// Whether the scale showed a known weight rightly that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ScaleCheck {
    /// Shown within the error allowed in service.
    Passed,
    /// Shown outside it.
    Failed,
    /// Not tried.
    NotDone,
}

/// As the clerk reads it in a sentence.
impl fmt::Display for ScaleCheck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Passed => "passed",
            Self::Failed => "failed",
            Self::NotDone => "not done",
        })
    }
}

/// A weighing scale of class III as it was that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WeighingScale {
    /// Verification interval e.
    pub interval: ScaleInterval,
    /// The day's check.
    pub check: ScaleCheck,
}

/// Largest error allowed either way, in milligrams (half an interval is not always whole grams).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MassError(i64);

impl MassError {
    /// So many milligrams; below nothing is nothing.
    pub(crate) const fn of_milligrams(milligrams: i64) -> Self {
        Self(if milligrams < 0 { 0 } else { milligrams })
    }

    /// Milligrams.
    pub const fn milligrams(self) -> i64 {
        self.0
    }

    /// Two errors that may both go the same way.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }

    /// The error allowed in service: twice that of verification.
    #[must_use]
    pub const fn in_service(self) -> Self {
        Self(self.0 * IN_SERVICE_FACTOR)
    }
}

/// What the clerk should know of a weighing; none of it stops a purchase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WeightMark {
    /// A load under 20 e, where the scale's error weighs too much.
    UnderLeastLoad {
        /// Which pail.
        pail: Code,
        /// Least load of this scale.
        least: Grams,
    },
    /// The day's check with a known weight failed.
    CheckFailed,
    /// The day's check was not made.
    CheckNotDone,
}

/// Weights of a delivery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeightResult {
    /// Net of each pail, in the order given.
    pub nets: Vec<Grams>,
    /// Sum of the full pails.
    pub gross: Grams,
    /// Sum of the empty pails.
    pub tare: Grams,
    /// Sum of the nets: what is paid for.
    pub net: Grams,
    /// Standard uncertainty of the net, milligrams: errors allowed in service taken as half-widths.
    pub standard_uncertainty: MassError,
    /// What the clerk should know.
    pub marks: Vec<WeightMark>,
}

/// Weights that cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WeightError {
    /// More than class III allows for this interval.
    #[error("a load of {load} g is more than 10,000 intervals of {interval} g: weigh on a larger scale", load = .load.get(), interval = .interval.get())]
    AboveRange {
        /// The load.
        load: Grams,
        /// The interval.
        interval: ScaleInterval,
    },
    /// The empty pail as heavy as the full one or heavier.
    #[error("pail {pail}: empty weight {tare} g is not below full weight {gross} g: weigh both again", tare = .tare.get(), gross = .gross.get())]
    TareNotBelowGross {
        /// Which pail.
        pail: Code,
        /// Full.
        gross: Grams,
        /// Empty.
        tare: Grams,
    },
    /// A figure the scale cannot show.
    #[error("pail {pail}: {value} g is not a step of the scale, which reads in {interval} g: read the display again", value = .value.get(), interval = .interval.get())]
    NotAStep {
        /// Which pail.
        pail: Code,
        /// The figure.
        value: Grams,
        /// The interval.
        interval: ScaleInterval,
    },
    /// The sum leaves the range.
    #[error(transparent)]
    Range(#[from] RangeError),
}

/// Maximum permissible error of a class III scale on verification.
///
/// # References
/// OIML R 76-1:2006, Table 6: 0.5 e up to 500 e, 1 e up to 2,000 e, 1.5 e up to 10,000 e.
///
/// # Examples
/// 25 kg on a scale of 10 g is 2,500 intervals: 1.5 e, 15 g.
/// ```
/// # use combgate_core::{intake::*, units::*};
/// let error = maximum_permissible_error(Grams::new(25_000)?, ScaleInterval::new(10)?)?;
/// assert_eq!(error.milligrams(), 15_000);
/// assert_eq!(error.in_service().milligrams(), 30_000);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn maximum_permissible_error(
    load: Grams,
    interval: ScaleInterval,
) -> Result<MassError, WeightError> {
    let half_intervals = match load.get() {
        grams if grams <= 500 * interval.get() => 1,
        grams if grams <= 2_000 * interval.get() => 2,
        grams if grams <= MOST_INTERVALS * interval.get() => 3,
        _ => return Err(WeightError::AboveRange { load, interval }),
    };
    Ok(MassError(
        half_intervals * interval.get() * MILLIGRAMS_PER_GRAM / 2,
    ))
}

impl WeighingScale {
    /// Judges the day's check: a known weight, and what the scale showed for it.
    pub fn checked(
        interval: ScaleInterval,
        known: Grams,
        shown: Grams,
    ) -> Result<Self, WeightError> {
        let allowed = maximum_permissible_error(known, interval)?.in_service();
        let difference = (known.get() - shown.get()).abs() * MILLIGRAMS_PER_GRAM;
        let check = if difference <= allowed.milligrams() {
            ScaleCheck::Passed
        } else {
            ScaleCheck::Failed
        };
        Ok(Self { interval, check })
    }

    /// Least load that should be weighed on it: 20 e.
    pub fn least_load(&self) -> Grams {
        // OK because an interval is at most a kilogram.
        Grams::new(LEAST_LOAD_INTERVALS * self.interval.get()).unwrap_or(Grams::ZERO)
    }
}

/// Weighs a delivery's pails.
pub fn weigh(pails: &[Pail], scale: WeighingScale) -> Result<WeightResult, WeightError> {
    let mut result = WeightResult {
        nets: Vec::with_capacity(pails.len()),
        gross: Grams::ZERO,
        tare: Grams::ZERO,
        net: Grams::ZERO,
        standard_uncertainty: MassError(0),
        marks: Vec::new(),
    };
    match scale.check {
        ScaleCheck::Passed => {}
        ScaleCheck::Failed => result.marks.push(WeightMark::CheckFailed),
        ScaleCheck::NotDone => result.marks.push(WeightMark::CheckNotDone),
    }
    let mut squares: i128 = 0;
    for pail in pails {
        let net = net_of(pail, scale)?;
        let least = scale.least_load();
        if pail.gross < least {
            result.marks.push(WeightMark::UnderLeastLoad {
                pail: pail.number.clone(),
                least,
            });
        }
        for load in [pail.gross, pail.tare] {
            let error = i128::from(
                maximum_permissible_error(load, scale.interval)?
                    .in_service()
                    .milligrams(),
            );
            squares += error * error;
        }
        result.gross = result.gross.plus(pail.gross)?;
        result.tare = result.tare.plus(pail.tare)?;
        result.net = result.net.plus(net)?;
        result.nets.push(net);
    }
    // Half-widths taken as rectangular (JCGM 100:2008, 4.3.7): a variance of a²/3 each.
    let variance = squares / 3;
    result.standard_uncertainty = MassError(i64::try_from(variance.isqrt()).unwrap_or(i64::MAX));
    Ok(result)
}

fn net_of(pail: &Pail, scale: WeighingScale) -> Result<Grams, WeightError> {
    for value in [pail.gross, pail.tare] {
        if value.get() % scale.interval.get() != 0 {
            return Err(WeightError::NotAStep {
                pail: pail.number.clone(),
                value,
                interval: scale.interval,
            });
        }
    }
    match pail.gross.minus(pail.tare) {
        Some(net) if net > Grams::ZERO => Ok(net),
        _ => Err(WeightError::TareNotBelowGross {
            pail: pail.number.clone(),
            gross: pail.gross,
            tare: pail.tare,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn grams(value: i64) -> Grams {
        Grams::new(value).unwrap()
    }

    fn interval(value: i64) -> ScaleInterval {
        ScaleInterval::new(value).unwrap()
    }

    fn pail(number: &str, gross: i64, tare: i64) -> Pail {
        Pail {
            number: Code::new(number).unwrap(),
            seal: None,
            gross: grams(gross),
            tare: grams(tare),
        }
    }

    fn scale(check: ScaleCheck) -> WeighingScale {
        WeighingScale {
            interval: interval(10),
            check,
        }
    }

    #[test]
    fn the_sum_the_farmer_sees() {
        let result = weigh(
            &[pail("P1", 26_340, 1_200), pail("P2", 5_000, 1_000)],
            scale(ScaleCheck::Passed),
        )
        .unwrap();
        assert_eq!(
            (result.gross, result.tare, result.net),
            (grams(31_340), grams(2_200), grams(29_140))
        );
        assert!(result.marks.is_empty());
    }

    #[test]
    fn an_impossible_tare_names_the_pail() {
        let error = weigh(&[pail("P7", 1_000, 1_000)], scale(ScaleCheck::Passed)).unwrap_err();
        assert!(
            error
                .to_string()
                .starts_with("pail P7: empty weight 1000 g is not below"),
            "{error}"
        );
    }

    #[test]
    fn a_figure_the_scale_cannot_show_is_refused() {
        assert!(matches!(
            weigh(&[pail("P1", 26_345, 1_200)], scale(ScaleCheck::Passed)),
            Err(WeightError::NotAStep { .. })
        ));
    }

    #[test]
    fn loads_under_twenty_intervals_and_bad_checks_are_marked() {
        let marks = |gross, check| weigh(&[pail("P1", gross, 50)], scale(check)).unwrap().marks;
        assert_eq!(marks(200, ScaleCheck::Passed), []);
        assert_eq!(marks(190, ScaleCheck::Passed).len(), 1);
        assert_eq!(marks(200, ScaleCheck::Failed), [WeightMark::CheckFailed]);
        assert_eq!(marks(200, ScaleCheck::NotDone), [WeightMark::CheckNotDone]);
    }

    #[test]
    fn the_check_allows_the_error_in_service() {
        // 5 kg on e = 10 g is 500 e: 0.5 e on verification, 1 e in service.
        let check = |shown| {
            WeighingScale::checked(interval(10), grams(5_000), grams(shown))
                .unwrap()
                .check
        };
        assert_eq!(check(5_010), ScaleCheck::Passed);
        assert_eq!(check(4_990), ScaleCheck::Passed);
        assert_eq!(check(5_020), ScaleCheck::Failed);
    }

    proptest! {
        #[test]
        fn gross_less_tare_is_net_always(weights in prop::collection::vec((1..5_000_i64, 0..5_000_i64), 1..10)) {
            let pails: Vec<_> = weights
                .iter()
                .enumerate()
                .map(|(i, (net, tare))| pail(&format!("P{i}"), (net + tare) * 10, tare * 10))
                .collect();
            let result = weigh(&pails, scale(ScaleCheck::Passed)).unwrap();
            prop_assert_eq!(result.gross.minus(result.tare), Some(result.net));
            prop_assert_eq!(Grams::sum(result.nets.iter().copied()).unwrap(), result.net);
        }
    }
}
