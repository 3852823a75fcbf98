//! `combgate calc scale`: how far a class III weighing scale may err at a load.

use crate::cli::CalcScale;
use crate::outcome::{Advice, Decimal, Failure, JsonError, Outcome, json};
use crate::typed::{FigureError, quantity};
use combgate_core::intake::{
    MassError, ScaleCheck, WeighingScale, WeightError, maximum_permissible_error,
};
use combgate_core::units::{Grams, ScaleInterval};
use combgate_ui::figures::{decimal, kilograms};
use serde::Serialize;

/// A load that no such scale carries.
#[derive(Debug, thiserror::Error)]
enum ScaleError {
    /// A figure cannot be read.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// Core refuses it.
    #[error(transparent)]
    Weight(#[from] WeightError),
}

impl Advice for ScaleError {
    fn hint(&self) -> String {
        match self {
            Self::Figure(error) => error.hint(),
            Self::Weight(_) => {
                "--load is in kilograms and --interval in grams, as marked e on the \
                                scale's plate"
                    .to_owned()
            }
        }
    }
}

#[derive(Serialize)]
struct Answer {
    load_g: i64,
    interval_g: i64,
    maximum_permissible_error_g: Decimal,
    in_service_error_g: Decimal,
    minimum_load_g: i64,
    below_minimum_load: bool,
}

/// A load, a scale, and how far it may err.
struct Found {
    load: Grams,
    interval: ScaleInterval,
    error: MassError,
    least: Grams,
}

pub(super) fn run(asked: &CalcScale) -> Result<Outcome, Failure> {
    let found = find(asked)?;
    Ok(Outcome::done(if asked.json {
        json(&answer(&found)?)?
    } else {
        words(&found)
    }))
}

fn find(asked: &CalcScale) -> Result<Found, ScaleError> {
    let load = quantity("--load", &asked.load, 3)?;
    let interval = quantity("--interval", &asked.interval, 0)?;
    let scale = WeighingScale {
        interval,
        check: ScaleCheck::NotDone,
    };
    Ok(Found {
        load,
        interval,
        error: maximum_permissible_error(load, interval)?,
        least: scale.least_load(),
    })
}

fn answer(found: &Found) -> Result<Answer, JsonError> {
    Ok(Answer {
        load_g: found.load.get(),
        interval_g: found.interval.get(),
        maximum_permissible_error_g: Decimal::new(found.error.milligrams(), 3)?,
        in_service_error_g: Decimal::new(found.error.in_service().milligrams(), 3)?,
        minimum_load_g: found.least.get(),
        below_minimum_load: found.load < found.least,
    })
}

fn words(found: &Found) -> String {
    let grams = |error: MassError| decimal(error.milligrams(), 3, 0);
    let mut text = format!(
        "load                       {} kg on a class III scale of e = {} g\n\
         maximum permissible error  {} g either way on verification, {} g in service\n\
         minimum load               {} kg\n",
        kilograms(found.load.get()),
        found.interval.get(),
        grams(found.error),
        grams(found.error.in_service()),
        kilograms(found.least.get()),
    );
    if found.load < found.least {
        text.push_str(
            "The load is below the minimum: the scale's error weighs too much. Weigh more at \
             once, or on a finer scale.\n",
        );
    }
    text
}
