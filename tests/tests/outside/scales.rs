//! What a class III weighing scale may be wrong by, against the published rows.
//!
//! Source: OIML R 76-1:2006, Tables 3 and 6 (tests/reference/scales_oiml.csv says where each row
//! was read; the factor in service, 3.5.2, is from memory and checked for consistency only).

use combgate_core::clerk::tolerance;
use combgate_core::intake::{
    Pail, ScaleCheck, WeighingScale, WeightError, WeightMark, maximum_permissible_error, weigh,
};
use combgate_core::units::{Code, Grams, ScaleInterval};
use combgate_tests::outside::Outside;
use combgate_tests::reference::{rows, scaled};
use serde::Deserialize;
use std::error::Error;

/// Scales of the field, in grams a step.
const INTERVALS: [i64; 9] = [1, 2, 5, 10, 20, 50, 100, 200, 1_000];

#[derive(Deserialize)]
struct ScaleRow {
    document: String,
    table: String,
    accuracy_class: String,
    lower_bound: String,
    lower_inclusive: String,
    upper_bound: String,
    upper_inclusive: String,
    value: String,
    provenance: String,
}

fn class_three(table: &str) -> Vec<ScaleRow> {
    rows::<ScaleRow>("scales_oiml.csv")
        .into_iter()
        .filter(|row| {
            row.document.starts_with("OIML R 76")
                && row.table == table
                && row.accuracy_class == "III"
        })
        .collect()
}

/// Milligrams allowed for a load in grams.
fn allowed(load: i64, interval: i64) -> Result<i64, Box<dyn Error>> {
    let error = maximum_permissible_error(Grams::new(load)?, ScaleInterval::new(interval)?)?;
    Ok(error.milligrams())
}

/// The tolerance between gate and store is the sum of what both scales may be wrong by in service:
/// Table 6 times the factor of clause 3.5.2 (the file marks that one as from memory), each scale at
/// its own load.
pub(crate) fn gate_and_store() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "What gate and store may differ by, milligrams",
        "OIML R 76-1:2006, Table 6 and 3.5.2 (the factor from memory)",
    );
    let in_service = rows::<ScaleRow>("scales_oiml.csv")
        .into_iter()
        .find(|row| row.table == "clause 3.5.2")
        .map(|row| scaled(&row.value, 0))
        .ok_or("the factor in service is not in the file")?;
    let milligrams = |band: &ScaleRow, e: i64| scaled(&band.value, 1) * e * 100 * in_service;
    let bands = class_three("Table 6");
    for (gate, store) in bands
        .iter()
        .flat_map(|one| bands.iter().map(move |other| (one, other)))
    {
        for (there, here) in INTERVALS
            .iter()
            .flat_map(|e| INTERVALS.map(|other| (*e, other)))
        {
            let load = |band: &ScaleRow, e: i64| scaled(&band.upper_bound, 0) * e;
            let allowed = tolerance(
                (Grams::new(load(gate, there))?, ScaleInterval::new(there)?),
                (Grams::new(load(store, here))?, ScaleInterval::new(here)?),
                Grams::ZERO,
                None,
            )?;
            let both = milligrams(gate, there) + milligrams(store, here);
            let ours = (allowed.gained.milligrams(), allowed.lost.milligrams());
            check.same(&ours, &(both, both), (there, here));
        }
    }
    Ok(check)
}

/// Each band at its first load, inside it, and at its last load, on every usual interval.
pub(crate) fn every_band_at_its_edges() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "What a class III scale may err by, milligrams",
        "OIML R 76-1:2006, Table 6",
    );
    let bands = class_three("Table 6");
    assert_eq!(bands.len(), 3);
    for band in &bands {
        assert_eq!(band.provenance, "read");
        assert_eq!(band.upper_inclusive, "yes");
        let (lower, upper) = (scaled(&band.lower_bound, 0), scaled(&band.upper_bound, 0));
        // Tenths of an interval, in grams a step, are hundreds of milligrams.
        let tenths = scaled(&band.value, 1);
        for interval in INTERVALS {
            let just_over = lower * interval + i64::from(band.lower_inclusive == "no");
            for load in [
                just_over,
                i64::midpoint(lower, upper) * interval,
                upper * interval,
            ] {
                check.same(
                    &allowed(load, interval)?,
                    &(tenths * interval * 100),
                    (load, interval),
                );
            }
        }
    }
    // The bands meet without a gap.
    for pair in bands.windows(2) {
        assert_eq!(pair[0].upper_bound, pair[1].lower_bound);
    }
    Ok(check)
}

pub(crate) fn beyond_the_last_band() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "A gram over the last band is refused",
        "OIML R 76-1:2006, Table 6",
    );
    let most: i64 = class_three("Table 6")
        .iter()
        .map(|band| scaled(&band.upper_bound, 0))
        .max()
        .ok_or("no band")?;
    assert_eq!(most, 10_000);
    for interval in INTERVALS {
        let (load, step) = (
            Grams::new(most * interval + 1)?,
            ScaleInterval::new(interval)?,
        );
        check.same(
            &maximum_permissible_error(load, step),
            &Err(WeightError::AboveRange {
                load,
                interval: step,
            }),
            load,
        );
    }
    Ok(check)
}

/// Table 3: the least load of class III is 20 e. A pail under it is marked, one at it is not.
pub(crate) fn the_least_load() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "The least load of a class III scale",
        "OIML R 76-1:2006, Table 3",
    );
    let least = class_three("Table 3");
    assert_eq!(least.len(), 2);
    for row in least {
        let intervals = scaled(&row.value, 0);
        for interval in INTERVALS {
            let scale = WeighingScale {
                interval: ScaleInterval::new(interval)?,
                check: ScaleCheck::Passed,
            };
            let expected = Grams::new(intervals * interval)?;
            check.same(&scale.least_load(), &expected, interval);
            let pail = |gross: i64| {
                Ok::<_, Box<dyn Error>>(Pail {
                    number: Code::new("P1")?,
                    seal: None,
                    gross: Grams::new(gross * interval)?,
                    tare: Grams::ZERO,
                })
            };
            assert_eq!(weigh(&[pail(intervals)?], scale)?.marks, []);
            assert_eq!(
                weigh(&[pail(intervals - 1)?], scale)?.marks,
                [WeightMark::UnderLeastLoad {
                    pail: Code::new("P1")?,
                    least: expected
                }]
            );
        }
    }
    Ok(check)
}

/// The day's check passes at the error allowed in service and fails one gram beyond.
///
/// Source: R 76-1:2006, 3.5.2, from memory; the band it doubles is a read row of Table 6.
pub(crate) fn the_check_weight_in_service() -> Result<Outside, Box<dyn Error>> {
    let mut outcome = Outside::exact(
        "The day's check at the error in service, and a gram beyond",
        "OIML R 76-1:2006, 3.5.2 (from memory), on Table 6",
    );
    let factor = scaled(&class_three_in_service()?.value, 0);
    for band in class_three("Table 6") {
        let interval = 10;
        let known = scaled(&band.upper_bound, 0) * interval;
        let allowed = factor * scaled(&band.value, 1) * interval / 10;
        let check = |shown: i64| {
            WeighingScale::checked(
                ScaleInterval::new(interval)?,
                Grams::new(known)?,
                Grams::new(shown)?,
            )
            .map_err(Box::<dyn Error>::from)
        };
        for side in [-1, 1] {
            let at = check(known + side * allowed)?;
            let over = check(known + side * (allowed + 1))?;
            let found = [at.check, over.check];
            outcome.same(&found, &[ScaleCheck::Passed, ScaleCheck::Failed], known);
        }
    }
    Ok(outcome)
}

fn class_three_in_service() -> Result<ScaleRow, Box<dyn Error>> {
    rows::<ScaleRow>("scales_oiml.csv")
        .into_iter()
        .find(|row| row.table == "clause 3.5.2" && row.provenance == "memory")
        .ok_or_else(|| "no row for the error in service".into())
}
