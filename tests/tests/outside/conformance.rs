//! The probability of meeting a limit, against the guide that defines it and against SciPy.
//!
//! Sources: JCGM 106:2012, 7.3 (one-sided limits, normal distribution), whose printed figures are
//! here from memory and so never stand alone: SciPy gives the same cases to twelve digits.

use combgate_core::intake::{Bound, conformance_probability};
use combgate_tests::outside::Outside;
use combgate_tests::python;
use serde::Serialize;
use std::error::Error;

/// Value, standard uncertainty, limit, side.
type Case = (f64, f64, f64, &'static str);

#[derive(Serialize)]
struct Question<'a> {
    cases: &'a [Case],
}

fn ours((value, uncertainty, limit, side): Case) -> f64 {
    let bound = match side {
        "at_most" => Bound::AtMost,
        _ => Bound::AtLeast,
    };
    conformance_probability(value, uncertainty, limit, bound)
}

fn theirs(cases: &[Case]) -> Vec<f64> {
    let answer: Vec<f64> = python::ask("normal.py", &Question { cases });
    assert_eq!(answer.len(), cases.len());
    answer
}

/// The distances to the limit, in standard uncertainties, that give usual probabilities.
///
/// Source: JCGM 106:2012, 7.3, Table 1 (memory), and SciPy.
pub(crate) fn the_table_of_distances() -> Result<Outside, Box<dyn Error>> {
    // z is printed to two decimals: at 0.84 a step of 0.005 is worth 0.0014.
    let mut check = Outside::within(
        0.0015,
        "",
        "Probability of meeting a limit, by distance",
        "JCGM 106:2012, 7.3, Table 1 (from memory)",
    );
    let printed = [
        (0.84, 0.80),
        (1.28, 0.90),
        (1.64, 0.95),
        (2.33, 0.99),
        (3.09, 0.999),
    ];
    let cases: Vec<Case> = printed
        .iter()
        .flat_map(|(z, _)| [(-z, 1.0, 0.0, "at_most"), (*z, 1.0, 0.0, "at_least")])
        .collect();
    let scipy = theirs(&cases);
    for (position, case) in cases.iter().enumerate() {
        let (z, probability) = printed[position / 2];
        check.near(ours(*case), probability, z);
        assert!((ours(*case) - scipy[position]).abs() < 1e-12, "{z}");
    }
    Ok(check)
}

/// A diode's breakdown voltage, measured as -5.47 V with 0.05 V, allowed at most -5.40 V: 0.92.
///
/// Source: JCGM 106:2012, 7.3, example (memory), and SciPy.
pub(crate) fn the_worked_example() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        0.005,
        "",
        "Worked example: a breakdown voltage, 0.92",
        "JCGM 106:2012, 7.3 (from memory)",
    );
    let case = (-5.47, 0.05, -5.40, "at_most");
    check.near(ours(case), 0.92, case);
    assert!((ours(case) - theirs(&[case])[0]).abs() < 1e-12);
    Ok(check)
}

/// Source: SciPy's normal distribution, over what a moisture in hundredths of a percent can be.
pub(crate) fn a_grid_of_moistures() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        1e-12,
        "",
        "Probability of meeting a limit, over a grid",
        "SciPy, normal distribution",
    );
    let mut cases: Vec<Case> = Vec::new();
    for limit in [1_800.0, 2_000.0, 2_100.0, 3_500.0] {
        for tenth in -60..=60 {
            for uncertainty in [1.0, 19.0, 27.0, 61.0, 300.0, 3_000.0] {
                let value = limit + f64::from(tenth) * 10.0;
                cases.push((value, uncertainty, limit, "at_most"));
                cases.push((value, uncertainty, limit, "at_least"));
            }
        }
    }
    let scipy = theirs(&cases);
    let mut between = 0;
    for (case, scipy) in cases.iter().zip(scipy) {
        let found = ours(*case);
        check.near(found, scipy, case);
        between += i32::from((0.05..0.95).contains(&found));
    }
    assert!(between > 1_000, "{between}");
    Ok(check)
}
