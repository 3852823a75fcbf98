//! `combgate calc moisture`: moisture of honey from readings of a refractometer.

use crate::cli::CalcMoisture;
use crate::outcome::{Advice, Decimal, Failure, JsonError, Outcome, json};
use crate::typed::{FigureError, quantity};
use combgate_core::honey::{
    Basis, MoistureResult, Reading, Refractometer, RefractometerError, Scale, ScaleReading,
    UncertaintyBudget, determine_moisture,
};
use combgate_core::units::{Celsius, MoistureUncertainty, Offset};
use combgate_ui::figures::percent;
use serde::Serialize;
use std::fmt::Write;

/// Readings that give no moisture.
#[derive(Debug, thiserror::Error)]
enum MoistureError {
    /// A figure cannot be read.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// As many temperatures as readings, or one for all.
    #[error("{readings} readings and {temperatures} temperatures do not go together")]
    Temperatures {
        readings: usize,
        temperatures: usize,
    },
    /// Core refuses them.
    #[error(transparent)]
    Refractometer(#[from] RefractometerError),
}

impl Advice for MoistureError {
    fn hint(&self) -> String {
        match self {
            Self::Figure(error) => error.hint(),
            Self::Temperatures { .. } => {
                "give --temperature once for all readings, or once for each of them".to_owned()
            }
            Self::Refractometer(_) => {
                "--refractive-index, --brix and --water each name the scale of the instrument; \
                 see `combgate calc moisture --help`"
                    .to_owned()
            }
        }
    }
}

#[derive(Serialize)]
struct Answer {
    moisture_percent: Decimal,
    standard_uncertainty_percent: Decimal,
    corrected_percent: Vec<Decimal>,
    basis: Basis,
    instrument_checked: bool,
}

pub(super) fn run(asked: &CalcMoisture) -> Result<Outcome, Failure> {
    let (instrument, readings) = read(asked)?;
    let budget = UncertaintyBudget::default();
    let result = determine_moisture(&readings, instrument, &budget).map_err(MoistureError::from)?;
    Ok(Outcome::done(if asked.json {
        json(&answer(&result, instrument)?)?
    } else {
        words(&result, instrument)
    }))
}

fn read(asked: &CalcMoisture) -> Result<(Refractometer, Vec<Reading>), MoistureError> {
    let scale = if !asked.refractive_index.is_empty() {
        Scale::RefractiveIndex
    } else if !asked.brix.is_empty() {
        Scale::Brix
    } else {
        Scale::Water
    };
    let typed = match scale {
        Scale::RefractiveIndex => &asked.refractive_index,
        Scale::Brix => &asked.brix,
        Scale::Water => &asked.water,
    };
    let (readings, temperatures) = (typed.len(), asked.temperature.len());
    if temperatures != 1 && temperatures != readings {
        return Err(MoistureError::Temperatures {
            readings,
            temperatures,
        });
    }
    let readings = typed
        .iter()
        .zip(asked.temperature.iter().cycle())
        .map(|(value, temperature)| {
            Ok(Reading {
                value: on_scale(scale, value)?,
                temperature: quantity::<Celsius>("--temperature", temperature, 1)?,
            })
        })
        .collect::<Result<_, FigureError>>()?;
    let offset = asked
        .offset
        .as_deref()
        .map(|offset| quantity::<Offset>("--offset", offset, decimals(scale)))
        .transpose()?;
    let instrument = Refractometer {
        scale,
        compensated: asked.compensated,
        offset,
    };
    Ok((instrument, readings))
}

/// Decimals of the scale's smallest unit, in which core counts.
const fn decimals(scale: Scale) -> usize {
    match scale {
        Scale::RefractiveIndex => 5,
        Scale::Brix | Scale::Water => 2,
    }
}

fn on_scale(scale: Scale, typed: &str) -> Result<ScaleReading, FigureError> {
    let places = decimals(scale);
    Ok(match scale {
        Scale::RefractiveIndex => {
            ScaleReading::RefractiveIndex(quantity("--refractive-index", typed, places)?)
        }
        Scale::Brix => ScaleReading::Brix(quantity("--brix", typed, places)?),
        Scale::Water => ScaleReading::Water(quantity("--water", typed, places)?),
    })
}

fn answer(result: &MoistureResult, instrument: Refractometer) -> Result<Answer, JsonError> {
    let corrected = result
        .corrected
        .iter()
        .map(|moisture| Decimal::new(moisture.get(), 2))
        .collect::<Result<_, _>>()?;
    Ok(Answer {
        moisture_percent: Decimal::new(result.moisture.get(), 2)?,
        standard_uncertainty_percent: Decimal::new(result.standard_uncertainty.get(), 2)?,
        corrected_percent: corrected,
        basis: result.basis,
        instrument_checked: instrument.offset.is_some(),
    })
}

fn words(result: &MoistureResult, instrument: Refractometer) -> String {
    let uncertainty: MoistureUncertainty = result.standard_uncertainty;
    let mut text = format!(
        "moisture              {} %\nstandard uncertainty  {} points\n",
        percent(result.moisture.get()),
        percent(uncertainty.get()),
    );
    if result.corrected.len() > 1 {
        let each: Vec<_> = result
            .corrected
            .iter()
            .map(|moisture| percent(moisture.get()))
            .collect();
        // Writing to a string cannot fail.
        let _ = writeln!(text, "readings, corrected   {} %", each.join(", "));
    }
    let basis = match result.basis {
        Basis::PublishedTable => "the published table of index against water, 13 to 25 %",
        Basis::MakersScale => "the maker's water scale alone, outside the published table",
    };
    let _ = writeln!(text, "rests on              {basis}");
    if instrument.offset.is_none() {
        text.push_str(
            "The instrument counts as not checked: give --offset, what its last check read less \
             the reference (0 if it was right), and the uncertainty gets smaller.\n",
        );
    }
    text
}
