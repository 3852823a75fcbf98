//! Moisture of honey from a refractometer, with its standard uncertainty.
//!
//! # References
//! - Formula: Wedmore, Bee World 36 (1955) 197, fitted to Chataway's table of 1932, which is the
//!   table of AOAC 969.38B, Codex and the harmonised methods of the International Honey
//!   Commission: `w = (-0.26810 - log10(nD20 - 1)) / 0.002243`. Printed copies show the constant
//!   as 1.73190, which is bar notation for -1 + 0.73190.
//! - Temperature: add 0.00023 to the index per degree above 20 °C, subtract below (same sources).
//! - Uncertainty: JCGM 100:2008, 4.3.7 (a half-width `a` with nothing more known is `a / √3`) and
//!   5.1.2 (independent parts add in quadrature).
//!
//! A sucrose (Brix) scale is taken through the sucrose table to the index first: 100 less Brix
//! is wrong by 1.5 to 1.8 points on honey.

use super::sucrose::{SucroseError, refractive_index_at};
use super::uncertainty::{UncertaintyBudget, combined_uncertainty};
use crate::units::{
    Brix, Celsius, Moisture, MoistureUncertainty, Offset, RefractiveIndex, as_float, integer_above,
    nearest_integer,
};
use serde::{Deserialize, Serialize};

/// Most readings that one determination takes.
pub const READINGS_AT_MOST: usize = 9;

const INDEX_UNITS: f64 = 100_000.0;
pub(super) const HUNDREDTHS: f64 = 100.0;
pub(super) const TENTHS: f64 = 10.0;
pub(super) const INDEX_PER_DEGREE: f64 = 0.00023;
const WEDMORE_INTERCEPT: f64 = -0.268_10;
pub(super) const WEDMORE_SLOPE: f64 = 0.002_243;
/// Chataway's table: nD20 1.4740 (25.0 % water) to 1.5044 (13.0 %).
const TABLE_INDEX: std::ops::RangeInclusive<f64> = 1.4740..=1.5044;
/// The same table's water contents, hundredths of a percent.
const TABLE_WATER: std::ops::RangeInclusive<f64> = 13.0..=25.0;
/// Where honey is read in the field; beyond it the linear correction is a guess (common practice).
const READING_TENTHS_C: std::ops::RangeInclusive<i64> = 0..=450;
/// Absorbs the last bit of a sum of decimals at an edge; a thousandth of the scale's smallest unit.
const EDGE: f64 = 1e-8;

/// What the instrument's scale shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Scale {
    /// Refractive index nD.
    #[serde(rename = "refractive_index")]
    RefractiveIndex,
    /// Sucrose, degrees Brix.
    #[serde(rename = "brix")]
    Brix,
    /// Water in honey, percent.
    #[serde(rename = "water")]
    Water,
}

/// A value read off the scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScaleReading {
    /// Refractive index.
    RefractiveIndex(RefractiveIndex),
    /// Degrees Brix.
    Brix(Brix),
    /// Water, percent.
    Water(Moisture),
}

impl ScaleReading {
    /// Which scale it was read on.
    pub const fn scale(self) -> Scale {
        match self {
            Self::RefractiveIndex(_) => Scale::RefractiveIndex,
            Self::Brix(_) => Scale::Brix,
            Self::Water(_) => Scale::Water,
        }
    }

    /// The count of the scale's smallest units.
    pub const fn count(self) -> i64 {
        match self {
            Self::RefractiveIndex(index) => index.get(),
            Self::Brix(brix) => brix.get(),
            Self::Water(water) => water.get(),
        }
    }
}

/// One reading with the temperature of prism and sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// What was read.
    pub value: ScaleReading,
    /// Temperature of prism and sample.
    pub temperature: Celsius,
}

/// The instrument as it was that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refractometer {
    /// Its scale.
    pub scale: Scale,
    /// Whether it corrects for temperature by itself; such a reading is never corrected twice.
    pub compensated: bool,
    /// What its last check found, reading less reference; `None` when it was not checked.
    pub offset: Option<Offset>,
}

/// What the value rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Basis {
    /// The published table of index against water, 13 to 25 %.
    #[serde(rename = "published_table")]
    PublishedTable,
    /// The maker's water scale alone, wetter than the published table (stingless-bee honey).
    #[serde(rename = "makers_scale")]
    MakersScale,
}

/// Moisture with its standard uncertainty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoistureResult {
    /// Mean of the corrected readings.
    pub moisture: Moisture,
    /// One standard deviation, rounded up.
    pub standard_uncertainty: MoistureUncertainty,
    /// Each reading after correction, in the order given.
    pub corrected: Vec<Moisture>,
    /// What the value rests on; the weaker one if readings differ.
    pub basis: Basis,
}

/// A determination before rounding, in percent of water.
#[derive(Debug, Clone, PartialEq)]
pub struct UnroundedMoisture {
    /// Each reading after correction, in the order given.
    pub waters: Vec<f64>,
    /// Their mean.
    pub mean: f64,
    /// One standard deviation.
    pub standard_uncertainty: f64,
    /// What the value rests on; the weaker one if readings differ.
    pub basis: Basis,
}

/// A reading that gives no moisture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum RefractometerError {
    /// Nothing to average.
    #[error("no reading was given: read the refractometer at least once")]
    NoReading,
    /// Too many to average.
    #[error("more than {READINGS_AT_MOST} readings: keep the last {READINGS_AT_MOST}")]
    TooManyReadings,
    /// A reading from another instrument among the rest.
    #[error("the readings are from different scales: read all of them on the one instrument")]
    MixedScales,
    /// Too cold or too hot to correct.
    #[error("the sample is at {:.1} °C: bring instrument and sample to between 0 and 45 °C and read again", as_float(.0.get()) / TENTHS)]
    TemperatureOutOfRange(Celsius),
    /// The Brix scale's table ends.
    #[error(transparent)]
    Sucrose(#[from] SucroseError),
    /// Wetter or drier than the published table.
    #[error(
        "the reading lies outside the honey table (13.0 to 25.0 % water, index 1.5044 to 1.4740): check that the prism is clean and the sample melted, or use a water scale made for this honey"
    )]
    OutsideTable,
    /// A water scale beyond the table cannot be corrected for temperature.
    #[error(
        "outside 13 to 25 % a water reading can only be used from a compensated instrument or at 20.0 °C: cool the sample and read again"
    )]
    BeyondTableUncorrected,
}

/// Corrects and averages readings of one sample.
///
/// # Units
/// Moisture in hundredths of a percent (g of water in 100 g).
///
/// # Examples
/// Chataway's table: nD20 1.4915 is 18.0 % water. The worked check of the correction: 1.4900 read
/// at 25 °C is 1.49115 at 20 °C, which is 18.14 %.
/// ```
/// # use combgate_core::{honey::*, units::*};
/// let instrument =
///     Refractometer { scale: Scale::RefractiveIndex, compensated: false, offset: None };
/// let reading = Reading {
///     value: ScaleReading::RefractiveIndex(RefractiveIndex::new(149_000)?),
///     temperature: Celsius::new(25_0)?,
/// };
/// let result = determine_moisture(&[reading], instrument, &UncertaintyBudget::default())?;
/// assert_eq!(result.moisture, Moisture::new(18_14)?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn determine_moisture(
    readings: &[Reading],
    instrument: Refractometer,
    budget: &UncertaintyBudget,
) -> Result<MoistureResult, RefractometerError> {
    let unrounded = determine_unrounded(readings, instrument, budget)?;
    let corrected = unrounded
        .waters
        .iter()
        .map(|water| to_moisture(*water))
        .collect::<Result<_, _>>()?;
    let standard_uncertainty = MoistureUncertainty::new(integer_above(
        unrounded.standard_uncertainty * HUNDREDTHS - EDGE,
    ))
    .unwrap_or(MoistureUncertainty::MAX);
    Ok(MoistureResult {
        moisture: to_moisture(unrounded.mean)?,
        standard_uncertainty,
        corrected,
        basis: unrounded.basis,
    })
}

/// The same before anything is rounded, for comparing machines and programs to the bit.
pub fn determine_unrounded(
    readings: &[Reading],
    instrument: Refractometer,
    budget: &UncertaintyBudget,
) -> Result<UnroundedMoisture, RefractometerError> {
    if readings.is_empty() {
        return Err(RefractometerError::NoReading);
    }
    if readings.len() > READINGS_AT_MOST {
        return Err(RefractometerError::TooManyReadings);
    }
    let mut waters = Vec::with_capacity(readings.len());
    let mut basis = Basis::PublishedTable;
    for reading in readings {
        let (water, of) = water_of(reading, instrument)?;
        waters.push(water);
        if of == Basis::MakersScale {
            basis = of;
        }
    }
    let count = as_float(i64::try_from(waters.len()).unwrap_or(1));
    let mean = waters.iter().sum::<f64>() / count;
    Ok(UnroundedMoisture {
        standard_uncertainty: combined_uncertainty(&waters, mean, instrument, budget),
        waters,
        mean,
        basis,
    })
}

/// Water in percent of one reading, unrounded.
fn water_of(
    reading: &Reading,
    instrument: Refractometer,
) -> Result<(f64, Basis), RefractometerError> {
    if reading.value.scale() != instrument.scale {
        return Err(RefractometerError::MixedScales);
    }
    let tenths = reading.temperature.get();
    if !READING_TENTHS_C.contains(&tenths) {
        return Err(RefractometerError::TemperatureOutOfRange(
            reading.temperature,
        ));
    }
    let true_count = reading.value.count() - instrument.offset.map_or(0, Offset::get);
    let degrees_above_20 = if instrument.compensated {
        0.0
    } else {
        as_float(tenths) / TENTHS - 20.0
    };
    let index_as_read = match reading.value {
        ScaleReading::RefractiveIndex(_) => as_float(true_count) / INDEX_UNITS,
        ScaleReading::Brix(_) => {
            let brix = Brix::new(true_count).map_err(|_| RefractometerError::OutsideTable)?;
            refractive_index_at(brix)?
        }
        ScaleReading::Water(_) => {
            let water = as_float(true_count) / HUNDREDTHS;
            // Drier than the table is no honey: a digit was left out or read on another line.
            if water < *TABLE_WATER.start() - EDGE {
                return Err(RefractometerError::OutsideTable);
            }
            if !TABLE_WATER.contains(&water) {
                return if degrees_above_20 == 0.0 {
                    Ok((water, Basis::MakersScale))
                } else {
                    Err(RefractometerError::BeyondTableUncorrected)
                };
            }
            if degrees_above_20 == 0.0 {
                return Ok((water, Basis::PublishedTable));
            }
            index_of(water)
        }
    };
    let index_at_20 = index_as_read + INDEX_PER_DEGREE * degrees_above_20;
    if index_at_20 < TABLE_INDEX.start() - EDGE || index_at_20 > TABLE_INDEX.end() + EDGE {
        return Err(RefractometerError::OutsideTable);
    }
    Ok((wedmore(index_at_20), Basis::PublishedTable))
}

/// Wedmore's equation: water in percent from nD20.
fn wedmore(index_at_20: f64) -> f64 {
    (WEDMORE_INTERCEPT - libm::log10(index_at_20 - 1.0)) / WEDMORE_SLOPE
}

/// Wedmore's equation turned round.
pub(super) fn index_of(water: f64) -> f64 {
    1.0 + libm::exp10(WEDMORE_INTERCEPT - WEDMORE_SLOPE * water)
}

fn to_moisture(water: f64) -> Result<Moisture, RefractometerError> {
    Moisture::new(nearest_integer(water * HUNDREDTHS)).map_err(|_| RefractometerError::OutsideTable)
}

#[cfg(test)]
mod tests;
