//! The sucrose scale against published tables and against SciPy's monotone cubic.
//!
//! Sources (tests/reference/README.md says where each was read): CRC Handbook (four decimals),
//! OIV Oeno 21/2004 Table II (five), and the ICUMSA scale of 1974, which is from memory and never
//! the only oracle here.
//!
//! Most CRC rows and the OIV rows at whole degrees are the nodes of the curve: there a row checks
//! that the table was copied right and that the curve goes through it. The other rows check the
//! curve between its nodes.

use combgate_core::honey::{
    Reading, Refractometer, Scale, ScaleReading, SucroseError, UncertaintyBudget, brix_at,
    determine_moisture, refractive_index_at,
};
use combgate_core::units::{Brix, Celsius, Offset, RefractiveIndex};
use combgate_tests::outside::Outside;
use combgate_tests::python;
use combgate_tests::reference::{path_of, rows, scaled};
use serde::{Deserialize, Serialize};
use std::error::Error;
use std::path::PathBuf;

const TABLE: &str = "sucrose_brix_refractive_index.csv";

#[derive(Deserialize)]
struct SucroseRow {
    brix_g_per_100g: String,
    #[serde(rename = "refractive_index_nD20")]
    index: String,
    source: String,
    provenance: String,
}

impl SucroseRow {
    fn brix(&self) -> Result<Brix, Box<dyn Error>> {
        Ok(Brix::new(scaled(&self.brix_g_per_100g, 2))?)
    }

    fn index(&self) -> Result<RefractiveIndex, Box<dyn Error>> {
        Ok(RefractiveIndex::new(scaled(&self.index, 5))?)
    }
}

/// Rows of one source.
fn rows_of(source: &str) -> Vec<SucroseRow> {
    rows::<SucroseRow>(TABLE)
        .into_iter()
        .filter(|row| row.source.starts_with(source))
        .collect()
}

/// Holds each row to a tolerance in hundredths of a degree, both ways: Brix from the printed
/// index, and the index at the printed Brix, a hundredth of a degree being worth at most 0.000026.
fn check(
    rows: &[SucroseRow],
    hundredths: u8,
    source: &'static str,
) -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        f64::from(hundredths),
        "× 0.01 Brix",
        "Brix from the index, and the index from Brix",
        source,
    );
    for row in rows {
        let brix = brix_at(row.index()?)?.get();
        check.near_whole(brix, row.brix()?.get(), &row.index);
        let index = refractive_index_at(row.brix()?)?;
        let printed: f64 = row.index.parse()?;
        assert!(
            (index - printed).abs() <= f64::from(hundredths) * 0.000_026,
            "{} Brix is {printed}, not {index} ({})",
            row.brix_g_per_100g,
            row.source
        );
    }
    Ok(check)
}

/// Source: CRC Handbook, 63 rows, 0 to 84 Brix.
pub(crate) fn crc_rows() -> Result<Outside, Box<dyn Error>> {
    let rows = rows_of("CRC");
    assert_eq!(rows.len(), 63);
    check(&rows, 5, "CRC Handbook, 0 to 84 Brix")
}

/// Source: OIV Oeno 21/2004, Table II. Of its rows only the whole degrees, 29.3 and 30 are nodes.
pub(crate) fn oiv_rows() -> Result<Outside, Box<dyn Error>> {
    let rows = rows_of("OIV");
    assert_eq!(rows.len(), 28);
    let between_nodes = rows
        .iter()
        .filter(|row| !row.brix_g_per_100g.ends_with(".0") && row.brix_g_per_100g != "29.3")
        .count();
    assert_eq!(between_nodes, 20);
    check(&rows, 1, "OIV Oeno 21/2004, Table II")
}

/// Source: ICUMSA 1974 in fives, from memory, so a row here proves nothing alone; 25, 35 and so on
/// up to 75 lie between nodes. 85 is past the table.
pub(crate) fn icumsa_rows() -> Result<Outside, Box<dyn Error>> {
    let mut rows = rows_of("ICUMSA");
    assert_eq!(rows.len(), 18);
    assert!(rows.iter().all(|row| row.provenance == "memory"));
    let last = rows.pop().ok_or("no row")?;
    assert_eq!(last.brix_g_per_100g, "85");
    assert!(matches!(
        brix_at(last.index()?),
        Err(SucroseError::IndexOutsideTable(_))
    ));
    // 0 Brix is printed 1.33299, a unit below the CRC row that opens the table.
    assert!(brix_at(rows.remove(0).index()?).is_err());
    check(&rows, 5, "ICUMSA 1974 in fives (from memory)")
}

#[derive(Serialize)]
struct CubicQuestion {
    table: PathBuf,
    brix: Vec<f64>,
}

#[derive(Deserialize)]
struct CubicAnswer {
    nodes: usize,
    index: Vec<f64>,
}

fn ask_cubic(brix: Vec<f64>) -> CubicAnswer {
    let question = CubicQuestion {
        table: path_of(TABLE),
        brix,
    };
    let answer: CubicAnswer = python::ask("sucrose_cubic.py", &question);
    assert_eq!(answer.index.len(), question.brix.len());
    answer
}

fn degrees(hundredths: i64) -> Result<f64, Box<dyn Error>> {
    Ok(f64::from(i32::try_from(hundredths)?) / 100.0)
}

/// Source: SciPy's `PchipInterpolator` (Fritsch and Butland) on nodes read from the published
/// table by the script, at every hundredth of a degree.
pub(crate) fn the_curve_is_scipys() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        1e-9,
        "",
        "The sucrose curve at every hundredth Brix",
        "SciPy, PchipInterpolator",
    );
    let hundredths: Vec<i64> = (0..=84_00).collect();
    let brix = hundredths
        .iter()
        .map(|value| degrees(*value))
        .collect::<Result<_, _>>()?;
    let answer = ask_cubic(brix);
    // 63 CRC rows, seven of them replaced by OIV rows, and 29.3 besides.
    assert_eq!(answer.nodes, 64);
    for (value, theirs) in hundredths.iter().zip(&answer.index) {
        check.near(refractive_index_at(Brix::new(*value)?)?, *theirs, value);
    }
    Ok(check)
}

/// Source: the same. Every index has its Brix to the nearest hundredth: SciPy's curve crosses the
/// index within half a hundredth of the answer.
pub(crate) fn the_inverse() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "The nearest hundredth Brix to an index",
        "SciPy's curve crosses the index there",
    );
    let indices: Vec<i64> = (133_300..=150_100).step_by(7).collect();
    let found = indices
        .iter()
        .map(|index| Ok(brix_at(RefractiveIndex::new(*index)?)?.get()))
        .collect::<Result<Vec<i64>, Box<dyn Error>>>()?;
    let side = |by: f64| {
        found
            .iter()
            .map(|hundredths| Ok((degrees(*hundredths)? + by).clamp(0.0, 84.0)))
            .collect::<Result<Vec<f64>, Box<dyn Error>>>()
    };
    let below = ask_cubic(side(-0.005_001)?);
    let above = ask_cubic(side(0.005_001)?);
    for (position, index) in indices.iter().enumerate() {
        let index = f64::from(i32::try_from(*index)?) / 10_0000.0;
        let between =
            below.index[position] <= index + 1e-12 && index <= above.index[position] + 1e-12;
        check.same(&between, &true, (index, found[position]));
    }
    Ok(check)
}

#[derive(Deserialize)]
struct DerivedRow {
    #[serde(rename = "honey_moisture_g_per_100g")]
    water: String,
    #[serde(rename = "refractive_index_nD20")]
    index: String,
    #[serde(rename = "sucrose_brix_from_icumsa_memory_points")]
    brix_icumsa: String,
    #[serde(rename = "sucrose_brix_from_crc_read_points")]
    brix_crc: String,
    #[serde(rename = "moisture_error_if_100_minus_brix_crc")]
    error_crc: String,
}

/// What sucrose scale a honey shows, and back: a tenth of a degree, a tenth of a percent.
///
/// Source: tests/reference, derived from the two published tables, so a check of sense only.
pub(crate) fn honey_on_a_sucrose_scale() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::within(
        10.0,
        "× 0.01",
        "Honey on a Brix scale, there and back",
        "the honey and the sucrose table together (derived)",
    );
    let rows: Vec<DerivedRow> = rows("honey_moisture_vs_sucrose_brix_derived.csv");
    assert_eq!(rows.len(), 14);
    let mut judged = 0;
    for row in rows {
        let index = RefractiveIndex::new(scaled(&row.index, 5))?;
        if row.brix_crc.is_empty() {
            // Drier than the sucrose table reaches: an error, not an extrapolation.
            assert!(brix_at(index).is_err(), "{}", row.index);
            continue;
        }
        let (water, crc) = (scaled(&row.water, 2), scaled(&row.brix_crc, 2));
        let shown = brix_at(index)?.get();
        for expected in [crc, scaled(&row.brix_icumsa, 2)] {
            check.near_whole(shown, expected, &row.index);
        }
        judged += 1;
        if row.water == "25.0" {
            // The last row of the honey table; its Brix, rounded to a hundredth, lies just beyond.
            continue;
        }
        let found = moisture_at_brix(crc)?;
        check.near_whole(found, water, &row.brix_crc);
        let naive_error = 10_000 - crc - found;
        check.near_whole(naive_error, scaled(&row.error_crc, 2), &row.error_crc);
        assert!((150..=180).contains(&naive_error), "{naive_error}");
    }
    assert_eq!(judged, 12);
    Ok(check)
}

fn moisture_at_brix(hundredths: i64) -> Result<i64, Box<dyn Error>> {
    let instrument = Refractometer {
        scale: Scale::Brix,
        compensated: true,
        offset: Some(Offset::new(0)?),
    };
    let reading = Reading {
        value: ScaleReading::Brix(Brix::new(hundredths)?),
        temperature: Celsius::new(200)?,
    };
    let result = determine_moisture(&[reading], instrument, &UncertaintyBudget::default())?;
    Ok(result.moisture.get())
}
