//! The day's instruments, and what their morning checks say.

use super::delivery::{RefractometerV1, WeighingScaleV1};
use super::entry::DayOpenedV1;
use crate::honey::Scale;
use crate::intake::{ScaleCheck, WeighingScale};
use crate::units::{Celsius, Code, Grams, Offset, ScaleInterval};
use serde::{Deserialize, Serialize};

/// A weighing scale and its check with a known weight.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScaleCardV1 {
    /// Its number.
    pub id: Code,
    /// The authority's sticker, if it bears one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sticker: Option<Code>,
    /// Interval e in grams.
    pub interval_g: ScaleInterval,
    /// Known weight put on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub known_g: Option<Grams>,
    /// What it showed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shown_g: Option<Grams>,
}

/// A refractometer and its check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RefractometerCardV1 {
    /// Its number.
    pub id: Code,
    /// Its scale.
    pub scale: Scale,
    /// Corrects for temperature by itself.
    pub compensated: bool,
    /// The check, if it was made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub check: Option<RefractometerCheckV1>,
}

/// A check against a block or oil of known value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RefractometerCheckV1 {
    /// What the reference is, in the scale's smallest units.
    pub reference: i64,
    /// What was read, in the scale's smallest units.
    pub reading: i64,
    /// At what temperature.
    pub temperature_tenths_c: Celsius,
}

impl DayOpenedV1 {
    /// The day's weighing scale with the verdict of its check.
    pub fn weighing_scale(&self) -> Option<WeighingScaleV1> {
        self.scale.as_ref().map(|card| {
            let check = match (card.known_g, card.shown_g) {
                // A weight that the scale cannot carry proves nothing.
                (Some(known), Some(shown)) => WeighingScale::checked(card.interval_g, known, shown)
                    .map_or(ScaleCheck::Failed, |scale| scale.check),
                _ => ScaleCheck::NotDone,
            };
            WeighingScaleV1 {
                interval_g: card.interval_g,
                check,
            }
        })
    }

    /// The day's refractometer with what its check found; an offset too large to correct counts as
    /// no check.
    pub fn refractometer_as_checked(&self) -> Option<RefractometerV1> {
        self.refractometer.as_ref().map(|card| RefractometerV1 {
            scale: card.scale,
            compensated: card.compensated,
            offset: card.check.as_ref().and_then(|check| {
                let offset = check.reading.checked_sub(check.reference)?;
                Offset::new(offset).ok()
            }),
        })
    }
}
