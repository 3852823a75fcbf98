//! Capped share of comb from point counts, with an honest interval.
//!
//! # References
//! - Interval: Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
//! - Clustering: Kish, Survey Sampling (1965), design effect of a ratio mean over clusters, with
//!   the between-comb variance `k/(k-1) · Σ(capped - p·honey)² / (Σ honey)²`.
//!
//! Points on one comb resemble each other, so a count over several combs is worth fewer
//! independent points than were scored; the interval is widened accordingly, never narrowed.

use crate::units::{Points, Share, as_float};

/// Most combs (or comb sides) that one count takes.
pub const COMBS_AT_MOST: usize = 40;
/// Fewer points than this are called an estimate (project's own rule: at 50 points and 80 %
/// capped the interval is already 23 points wide).
pub const POINTS_FOR_A_COUNT: i64 = 50;
/// Two-sided 95 % of the standard normal distribution.
const Z_95: f64 = 1.959_963_984_540_054;

/// Points scored on one comb or comb side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CombCount {
    /// On capped honey.
    pub capped: Points,
    /// On open honey.
    pub open: Points,
    /// On brood, pollen or empty cells: no honey, left out of the share.
    pub other: Points,
}

/// Capped share with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CappedShare {
    /// Capped points in a hundred points on honey.
    pub share: Share,
    /// Lower end of the 95 % interval.
    pub low: Share,
    /// Upper end of the 95 % interval.
    pub high: Share,
    /// Points on honey.
    pub honey_points: i64,
    /// Points outside honey.
    pub other_points: i64,
    /// Combs counted.
    pub combs: usize,
    /// How many times the variance exceeds that of independent points; at least 1.
    pub design_effect: f64,
    /// Fewer points than make a count.
    pub estimate: bool,
}

impl CappedShare {
    /// Independent points that this count is worth.
    pub fn effective_points(&self) -> f64 {
        as_float(self.honey_points) / self.design_effect
    }
}

/// A count that gives no share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CombError {
    /// Nothing to divide by.
    #[error("no point fell on honey: count points on combs that hold honey")]
    NoHoneyPoints,
    /// Too many to be true.
    #[error("more than {COMBS_AT_MOST} combs were counted: count at most {COMBS_AT_MOST}")]
    TooManyCombs,
}

/// Share of capped honey over all combs counted.
///
/// # Examples
/// Wilson's interval for 88 of 100 (any statistics library): 80.2 to 93.0 %.
/// ```
/// # use combgate_core::{intake::*, units::*};
/// let comb = CombCount {
///     capped: Points::new(88)?, open: Points::new(12)?, other: Points::new(3)?,
/// };
/// let share = capped_share(&[comb])?;
/// assert_eq!((share.share.get(), share.low.get(), share.high.get()), (88_00, 80_19, 93_00));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn capped_share(combs: &[CombCount]) -> Result<CappedShare, CombError> {
    if combs.len() > COMBS_AT_MOST {
        return Err(CombError::TooManyCombs);
    }
    let capped: i64 = combs.iter().map(|comb| comb.capped.get()).sum();
    let open: i64 = combs.iter().map(|comb| comb.open.get()).sum();
    let honey = capped + open;
    if honey == 0 {
        return Err(CombError::NoHoneyPoints);
    }
    let fraction = as_float(capped) / as_float(honey);
    let design_effect = design_effect(combs, fraction, as_float(honey));
    let (low, high) = wilson_interval(fraction, as_float(honey) / design_effect);
    Ok(CappedShare {
        share: Share::nearest(fraction),
        low: Share::nearest(low),
        high: Share::nearest(high),
        honey_points: honey,
        other_points: combs.iter().map(|comb| comb.other.get()).sum(),
        combs: combs
            .iter()
            .filter(|comb| comb.capped.get() + comb.open.get() > 0)
            .count(),
        design_effect,
        estimate: honey < POINTS_FOR_A_COUNT,
    })
}

/// Wilson's 95 % interval of a fraction observed over independent points, both ends as fractions.
///
/// # Examples
/// Nothing of 10 (any statistics library): 0 to 27.75 %.
/// ```
/// # use combgate_core::intake::wilson_interval;
/// let (low, high) = wilson_interval(0.0, 10.0);
/// assert!(low.abs() < 1e-12 && (high - 0.277_5).abs() < 5e-5);
/// ```
pub fn wilson_interval(fraction: f64, points: f64) -> (f64, f64) {
    let z2 = Z_95 * Z_95;
    let scale = 1.0 + z2 / points;
    let centre = (fraction + z2 / (2.0 * points)) / scale;
    let half = Z_95 / scale
        * libm::sqrt(fraction * (1.0 - fraction) / points + z2 / (4.0 * points * points));
    (centre - half, centre + half)
}

fn design_effect(combs: &[CombCount], fraction: f64, honey: f64) -> f64 {
    let clusters: Vec<(f64, f64)> = combs
        .iter()
        .map(|comb| {
            (
                as_float(comb.capped.get()),
                as_float(comb.capped.get() + comb.open.get()),
            )
        })
        .filter(|(_, points)| *points > 0.0)
        .collect();
    let independent = fraction * (1.0 - fraction) / honey;
    if clusters.len() < 2 || independent <= 0.0 {
        return 1.0;
    }
    let count = as_float(i64::try_from(clusters.len()).unwrap_or(i64::MAX));
    let scatter: f64 = clusters
        .iter()
        .map(|(capped, points)| {
            let difference = capped - fraction * points;
            difference * difference
        })
        .sum();
    let clustered = count / (count - 1.0) * scatter / (honey * honey);
    f64::max(1.0, clustered / independent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn comb(capped: i64, open: i64) -> CombCount {
        CombCount {
            capped: Points::new(capped).unwrap(),
            open: Points::new(open).unwrap(),
            other: Points::new(0).unwrap(),
        }
    }

    #[test]
    fn combs_that_differ_widen_the_interval() {
        let alike = capped_share(&[comb(40, 10), comb(40, 10)]).unwrap();
        let apart = capped_share(&[comb(50, 0), comb(30, 20)]).unwrap();
        assert_eq!(alike.share, apart.share);
        assert!((alike.design_effect - 1.0).abs() < 1e-12);
        // k/(k-1) · (10² + 10²)/100² over 0.8·0.2/100 = 0.04/0.0016.
        assert!(
            (apart.design_effect - 25.0).abs() < 1e-9,
            "{}",
            apart.design_effect
        );
        assert!(apart.low < alike.low && apart.high > alike.high);
    }

    #[test]
    fn below_fifty_points_it_is_an_estimate() {
        assert!(capped_share(&[comb(40, 9)]).unwrap().estimate);
        assert!(!capped_share(&[comb(40, 10)]).unwrap().estimate);
    }

    #[test]
    fn no_honey_is_an_error() {
        assert_eq!(capped_share(&[comb(0, 0)]), Err(CombError::NoHoneyPoints));
        assert_eq!(capped_share(&[]), Err(CombError::NoHoneyPoints));
        assert_eq!(
            capped_share(&[comb(1, 1); 41]),
            Err(CombError::TooManyCombs)
        );
    }

    proptest! {
        #[test]
        fn the_interval_holds_the_share(counts in prop::collection::vec((0..500_i64, 0..500_i64), 1..8)) {
            let combs: Vec<_> = counts.iter().map(|(c, o)| comb(*c, *o)).collect();
            if let Ok(result) = capped_share(&combs) {
                prop_assert!(result.low <= result.share && result.share <= result.high);
                prop_assert!(result.design_effect >= 1.0);
            }
        }

        #[test]
        fn more_points_never_widen_it(capped in 1..200_i64, open in 1..200_i64) {
            let few = capped_share(&[comb(capped, open)]).unwrap();
            let many = capped_share(&[comb(capped * 4, open * 4)]).unwrap();
            prop_assert!(many.high.get() - many.low.get() <= few.high.get() - few.low.get());
        }
    }
}
