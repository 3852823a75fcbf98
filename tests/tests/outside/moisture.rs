//! Moisture of honey against the published table of refractive index.
//!
//! Sources (tests/reference/README.md says where each was read): Chataway 1932, the table of AOAC
//! 969.38B, Codex and the harmonised methods of the International Honey Commission, printed with
//! its 0.00023 per degree in Bogdanov, Book of Honey, chapter 4 (2011).

use combgate_core::honey::{
    Basis, Reading, Refractometer, ScaleReading, UncertaintyBudget, brix_at, determine_moisture,
};
use combgate_core::units::{Brix, Celsius, Moisture, Offset, RangeError, RefractiveIndex};
use combgate_tests::outside::Outside;
use combgate_tests::reference::{rows, scaled};
use serde::Deserialize;
use std::error::Error;

const TABLE: &str = "table of AOAC 969.38B, Codex and the IHC (Chataway 1932)";

const UNIT: &str = "× 0.01 %";
/// Hundredths of a percent. Wedmore's formula stays within 0.0216 of the table's printed values,
/// and a result is rounded to a hundredth.
const TOLERANCE: f64 = 3.0;

#[derive(Deserialize)]
struct HoneyRow {
    water_g_per_100g: String,
    #[serde(rename = "refractive_index_nD20")]
    index: String,
}

impl HoneyRow {
    /// Hundredths of a percent.
    fn water(&self) -> i64 {
        scaled(&self.water_g_per_100g, 2)
    }

    /// Hundred-thousandths.
    fn index(&self) -> i64 {
        scaled(&self.index, 5)
    }
}

#[derive(Deserialize)]
struct CorrectionRow {
    #[serde(rename = "reading_temperature_relative_to_20C")]
    side: String,
    #[serde(rename = "operation_on_reading")]
    operation: String,
    #[serde(rename = "refractive_index_per_degC")]
    per_degree: String,
}

fn table() -> Vec<HoneyRow> {
    rows("honey_refractive_index_moisture.csv")
}

fn index_reading(hundred_thousandths: i64) -> Result<ScaleReading, RangeError> {
    RefractiveIndex::new(hundred_thousandths).map(ScaleReading::RefractiveIndex)
}

fn water_reading(hundredths: i64) -> Result<ScaleReading, RangeError> {
    Moisture::new(hundredths).map(ScaleReading::Water)
}

/// Hundredths of a percent that a checked, uncompensated instrument gives.
fn moisture(value: ScaleReading, tenths_c: i64) -> Result<i64, Box<dyn Error>> {
    let instrument = Refractometer {
        scale: value.scale(),
        compensated: false,
        offset: Some(Offset::new(0)?),
    };
    let reading = Reading {
        value,
        temperature: Celsius::new(tenths_c)?,
    };
    let result = determine_moisture(&[reading], instrument, &UncertaintyBudget::default())?;
    assert_eq!(result.basis, Basis::PublishedTable);
    Ok(result.moisture.get())
}

/// Source: all 61 rows of the table, 13.0 to 25.0 %.
pub(crate) fn every_row_at_20_degrees() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        TOLERANCE,
        UNIT,
        "Moisture from the refractive index at 20 °C",
        TABLE,
    );
    let table = table();
    assert_eq!(table.len(), 61);
    for row in table {
        check.near_whole(
            moisture(index_reading(row.index())?, 200)?,
            row.water(),
            &row.index,
        );
    }
    Ok(check)
}

/// Source: the table's note, 0.00023 per degree, added above 20 °C and taken off below.
pub(crate) fn every_row_read_warm_and_cold() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        TOLERANCE,
        UNIT,
        "The same, read at 35 °C and at 10 °C",
        "the table and its note, 0.00023 a degree",
    );
    let corrections: Vec<CorrectionRow> = rows("honey_refractive_index_temperature_correction.csv");
    assert_eq!(corrections.len(), 2);
    for correction in corrections {
        let per_degree = scaled(&correction.per_degree, 5);
        let (tenths, shown_less) = match (correction.side.as_str(), correction.operation.as_str()) {
            ("above 20 C", "add") => (350, 15 * per_degree),
            ("below 20 C", "subtract") => (100, -10 * per_degree),
            other => panic!("no such correction: {other:?}"),
        };
        for row in table() {
            let found = moisture(index_reading(row.index() - shown_less)?, tenths)?;
            check.near_whole(found, row.water(), (&row.index, tenths));
        }
    }
    Ok(check)
}

/// Source: worked check of tests/reference/README.md. 1.4900 read at 25 °C becomes 1.49115 and so
/// 18.14 % by the formula; 18.60 % is what the table has for 1.4900 left uncorrected.
pub(crate) fn the_worked_check() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "1.4900 read at 25 °C is 18.14 %, and its mirror at 15 °C",
        "worked with Wedmore's formula as printed (Bogdanov, Book of Honey)",
    );
    check.same(&moisture(index_reading(149_000)?, 250)?, &18_14, "at 25 °C");
    assert!((moisture(index_reading(149_000)?, 200)? - 18_60).abs() <= 3);
    // Five degrees below, the same 0.00115 is taken off: 1.49115 read at 15 °C is 1.4900, and
    // 1.4900 read at 15 °C is 1.48885.
    for (cold, at_20) in [(149_115, 149_000), (149_000, 148_885)] {
        check.same(
            &moisture(index_reading(cold)?, 150)?,
            &moisture(index_reading(at_20)?, 200)?,
            cold,
        );
    }
    Ok(check)
}

/// A water scale goes through the index too: the printed index of the reading, brought to 20 °C,
/// is looked up in the printed table, straight lines between its rows.
///
/// Source: the table and its note. Two look-ups, so twice the formula's 0.0216 and a rounding.
pub(crate) fn a_water_scale_read_warm() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        5.0,
        UNIT,
        "A water scale read at 30 °C and at 10 °C",
        "a walk through the table, straight lines between its rows",
    );
    let table = table();
    for row in &table {
        for (tenths, correction) in [(300, 230), (100, -230)] {
            let at_20 = row.index() + correction;
            let Some(pair) = table
                .windows(2)
                .find(|pair| pair[0].index() >= at_20 && at_20 > pair[1].index())
            else {
                continue;
            };
            let (dry, wet) = (&pair[0], &pair[1]);
            let expected = dry.water()
                + (wet.water() - dry.water()) * (dry.index() - at_20) / (dry.index() - wet.index());
            let found = moisture(water_reading(row.water())?, tenths)?;
            check.near_whole(found, expected, (&row.water_g_per_100g, tenths));
        }
    }
    assert!(check.rows() >= 110, "{}", check.rows());
    Ok(check)
}

#[derive(Deserialize)]
struct SucroseCorrectionRow {
    #[serde(rename = "temperature_C")]
    degrees: String,
    #[serde(rename = "brix_reading_g_per_100g")]
    brix: String,
    #[serde(rename = "correction_to_add_brix")]
    correction: String,
    source: String,
}

/// A Brix scale that corrects for temperature by itself corrects for sucrose, and honey asks for a
/// little more: warm honey then seems a little too wet, cold honey a little too dry. The two published
/// corrections together say by how much, with the strongest solution of the sucrose table: up to
/// 30 degrees it stays within what a checked instrument is allowed to be off by.
///
/// Sources: the correction of honey as above, that of sucrose from the CRC Handbook.
pub(crate) fn a_brix_scale_that_corrects_for_sucrose() -> Result<Outside, Box<dyn Error>> {
    let allowed = UncertaintyBudget::default().checked_half_width.get();
    let mut check = Outside::within(
        f64::from(i32::try_from(allowed)?),
        UNIT,
        "What a self-correcting Brix scale leaves of honey's own correction",
        "CRC Handbook, temperature correction of sucrose, and the table's note",
    );
    let corrections: Vec<SucroseCorrectionRow> = rows("sucrose_brix_temperature_correction.csv");
    let corrections = corrections
        .iter()
        .filter(|row| row.source.starts_with("CRC") && row.brix == "75");
    for row in corrections {
        let degrees: i64 = row.degrees.parse()?;
        for honey in table() {
            let (water, index) = (honey.water(), honey.index());
            if !(1_600..=2_200).contains(&water) || index - 23 * (degrees - 20) <= 147_400 {
                continue;
            }
            // What the scale would show without correcting, and shows with the sucrose's.
            let shown = brix_at(RefractiveIndex::new(index - 23 * (degrees - 20))?)?.get();
            let corrected = Brix::new(shown + scaled(&row.correction, 2))?;
            let reading = Reading {
                value: ScaleReading::Brix(corrected),
                temperature: Celsius::new(10 * degrees)?,
            };
            let instrument = Refractometer {
                scale: reading.value.scale(),
                compensated: true,
                offset: Some(Offset::new(0)?),
            };
            let found = determine_moisture(&[reading], instrument, &UncertaintyBudget::default())?;
            check.near_whole(found.moisture.get(), water, (degrees, water));
        }
    }
    Ok(check)
}
