//! Figures typed on the command line, read exactly into core's quantities; nothing is rounded.

use crate::outcome::Advice;
use combgate_core::units::RangeError;
use combgate_ui::figures::{Unreadable, parse};

/// A typed figure that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FigureError {
    /// Not digits and a decimal point.
    #[error("{option} '{typed}' is not a figure")]
    NotAFigure {
        /// Which option.
        option: &'static str,
        /// What was typed.
        typed: String,
    },
    /// Finer than the quantity is counted.
    #[error("{option} {typed} has more decimals than are taken: {places} at most")]
    TooManyDecimals {
        /// Which option.
        option: &'static str,
        /// What was typed.
        typed: String,
        /// Decimals taken.
        places: usize,
    },
    /// Outside the quantity's range.
    #[error("{option}: {error}")]
    OutOfRange {
        /// Which option.
        option: &'static str,
        /// In which way.
        error: RangeError,
    },
}

impl Advice for FigureError {
    fn hint(&self) -> String {
        match self {
            Self::NotAFigure { .. } => {
                "write digits with a decimal point and no commas or units, such as 18.6".to_owned()
            }
            Self::TooManyDecimals { places: 0, .. } => {
                "write a whole number; nothing is rounded for you".to_owned()
            }
            Self::TooManyDecimals { places, .. } => {
                format!("write at most {places} decimals; nothing is rounded for you")
            }
            Self::OutOfRange { .. } => "look at the figure and its unit again".to_owned(),
        }
    }
}

/// Reads a figure of an option in units of `10^-places`.
pub(crate) fn quantity<Quantity>(
    option: &'static str,
    typed: &str,
    places: usize,
) -> Result<Quantity, FigureError>
where
    Quantity: TryFrom<i64, Error = RangeError>,
{
    Quantity::try_from(count(option, typed, places)?)
        .map_err(|error| FigureError::OutOfRange { option, error })
}

/// Reads a figure of an option as a count of `10^-places`.
pub(crate) fn count(option: &'static str, typed: &str, places: usize) -> Result<i64, FigureError> {
    let shortened = || typed.chars().take(40).collect();
    parse(typed, places).map_err(|unreadable| match unreadable {
        Unreadable::TooManyDecimals => FigureError::TooManyDecimals {
            option,
            typed: shortened(),
            places,
        },
        Unreadable::Empty | Unreadable::NotAFigure | Unreadable::TooLarge => {
            FigureError::NotAFigure {
                option,
                typed: shortened(),
            }
        }
    })
}
