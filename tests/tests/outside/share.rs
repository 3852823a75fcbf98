//! Capped share against statsmodels, on generated cases.
//!
//! Source: statsmodels (`proportion_confint`, `OLS` with clustered covariance).

use combgate_core::intake::{CappedShare, CombCount, capped_share};
use combgate_core::units::Points;
use combgate_tests::outside::Outside;
use combgate_tests::python;
use serde::{Deserialize, Serialize};
use std::error::Error;

#[derive(Serialize)]
struct Counts {
    counts: Vec<Vec<(i64, i64)>>,
}

#[derive(Deserialize)]
struct ShareAnswer {
    design_effect: Option<f64>,
    low: f64,
    high: f64,
}

fn share(combs: &[(i64, i64)]) -> Result<CappedShare, Box<dyn Error>> {
    let combs = combs
        .iter()
        .map(|(capped, open)| {
            Ok(CombCount {
                capped: Points::new(*capped)?,
                open: Points::new(*open)?,
                other: Points::new(7)?,
            })
        })
        .collect::<Result<Vec<_>, Box<dyn Error>>>()?;
    Ok(capped_share(&combs)?)
}

/// Holds each end of the interval, rounded to a hundredth of a percent, to an unrounded one.
fn check(
    what: &'static str,
    source: &'static str,
    counts: Vec<Vec<(i64, i64)>>,
) -> Result<(Outside, Vec<CappedShare>), Box<dyn Error>> {
    let mut outcome = Outside::within(0.5 + 1e-6, "× 0.01 %", what, source);
    let question = Counts { counts };
    let answers: Vec<ShareAnswer> = python::ask("proportion.py", &question);
    assert_eq!(answers.len(), question.counts.len());
    let mut found = Vec::new();
    for (combs, theirs) in question.counts.iter().zip(answers) {
        let ours = share(combs)?;
        let effect = theirs.design_effect.map_or(1.0, |effect| effect.max(1.0));
        assert!(
            (ours.design_effect - effect).abs() <= 1e-9 * effect,
            "{combs:?}: {} and {effect}",
            ours.design_effect
        );
        for (ours, theirs) in [(ours.low, theirs.low), (ours.high, theirs.high)] {
            let ours = f64::from(i32::try_from(ours.get())?);
            outcome.near(ours, theirs * 10_000.0, combs);
        }
        found.push(ours);
    }
    Ok((outcome, found))
}

/// Source: statsmodels, Wilson's interval, every count up to 40 points and some large ones.
pub(crate) fn one_comb() -> Result<Outside, Box<dyn Error>> {
    let mut counts: Vec<_> = (1..=40)
        .flat_map(|points| (0..=points).map(move |capped| vec![(capped, points - capped)]))
        .collect();
    counts.extend(
        [
            (0, 500),
            (88, 12),
            (500, 0),
            (4_000, 1_000),
            (10_000, 10_000),
        ]
        .map(|c| vec![c]),
    );
    let (outcome, found) = check(
        "Capped share of one comb, both ends",
        "statsmodels, Wilson's interval",
        counts,
    )?;
    for found in found {
        assert!((found.design_effect - 1.0).abs() < 1e-12);
    }
    Ok(outcome)
}

/// Source: statsmodels, clustered covariance of a regression on a constant.
pub(crate) fn several_combs() -> Result<Outside, Box<dyn Error>> {
    let mut random = fastrand::Rng::with_seed(0x00C0_FFEE);
    let counts: Vec<Vec<(i64, i64)>> = (0..400)
        .map(|_| {
            let combs = random.usize(2..=8);
            (0..combs)
                .map(|_| (random.i64(0..=40), random.i64(0..=20)))
                .collect()
        })
        .filter(|combs: &Vec<(i64, i64)>| combs.iter().any(|(capped, open)| capped + open > 0))
        .collect();
    let (outcome, found) = check(
        "Capped share of several combs, both ends",
        "statsmodels, clustered covariance",
        counts,
    )?;
    let widened = found.iter().filter(|f| f.design_effect > 1.5).count();
    let held_at_one = found
        .iter()
        .filter(|f| (f.design_effect - 1.0).abs() < 1e-12)
        .count();
    assert!(widened > 200 && held_at_one > 2, "{widened} {held_at_one}");
    Ok(outcome)
}

/// Edges of clustering: combs alike, an empty comb among them, all capped, all open.
pub(crate) fn combs_without_variance() -> Result<Outside, Box<dyn Error>> {
    let counts = vec![
        vec![(40, 10), (40, 10)],
        vec![(40, 10), (0, 0)],
        vec![(50, 0), (30, 0)],
        vec![(0, 50), (0, 30)],
        vec![(50, 0), (30, 20)],
        vec![(50, 0), (0, 0), (30, 20)],
    ];
    let (outcome, found) = check(
        "Combs alike, empty, all capped, all open",
        "statsmodels, clustered covariance",
        counts,
    )?;
    let effects: Vec<f64> = found.iter().map(|f| f.design_effect).collect();
    let expected = [1.0, 1.0, 1.0, 1.0, 25.0, 25.0];
    for (effect, expected) in effects.iter().zip(expected) {
        assert!((effect - expected).abs() < 1e-9, "{effects:?}");
    }
    Ok(outcome)
}
