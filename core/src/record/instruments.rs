//! The day's instruments, and what their morning checks say.

use super::day::DayOpenedV1;
use super::delivery::{RefractometerV1, WeighingScaleV1};
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
        self.scale.as_ref().map(ScaleCardV1::as_checked)
    }

    /// The day's refractometer with what its check found; an offset too large to correct counts as
    /// no check.
    pub fn refractometer_as_checked(&self) -> Option<RefractometerV1> {
        self.refractometer
            .as_ref()
            .map(RefractometerCardV1::as_checked)
    }
}

impl ScaleCardV1 {
    /// The scale with the verdict of its check.
    pub fn as_checked(&self) -> WeighingScaleV1 {
        let check = match (self.known_g, self.shown_g) {
            // A weight that the scale cannot carry proves nothing, nor does an empty scale.
            (Some(known), Some(shown)) => WeighingScale::checked(self.interval_g, known, shown)
                .map_or(ScaleCheck::Failed, |scale| {
                    if known < scale.least_load() {
                        ScaleCheck::NotDone
                    } else {
                        scale.check
                    }
                }),
            _ => ScaleCheck::NotDone,
        };
        WeighingScaleV1 {
            interval_g: self.interval_g,
            check,
        }
    }
}

impl RefractometerCardV1 {
    /// The refractometer with what its check found; an offset too large to correct counts as no
    /// check.
    pub fn as_checked(&self) -> RefractometerV1 {
        RefractometerV1 {
            scale: self.scale,
            compensated: self.compensated,
            offset: self.check.as_ref().and_then(|check| {
                let offset = check.reading.checked_sub(check.reference)?;
                Offset::new(offset).ok()
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Currency, Label};

    fn opened(known: Option<i64>, shown: Option<i64>) -> DayOpenedV1 {
        let grams = |value: Option<i64>| value.map(|value| Grams::new(value).unwrap());
        DayOpenedV1 {
            day: "2026-10-09".parse().unwrap(),
            officer: Label::new("Neema Osale").unwrap(),
            brief_serial: 1,
            float_minor: 0,
            currency: Currency::new("KES").unwrap(),
            pails: 0,
            seals: 0,
            scale: Some(ScaleCardV1 {
                id: Code::new("SC-1").unwrap(),
                sticker: None,
                interval_g: ScaleInterval::new(10).unwrap(),
                known_g: grams(known),
                shown_g: grams(shown),
            }),
            refractometer: Some(RefractometerCardV1 {
                id: Code::new("RF-1").unwrap(),
                scale: Scale::Water,
                compensated: true,
                check: None,
            }),
        }
    }

    /// OIML R 76-1:2006, Table 3 (class III: at least 20 e) and Table 6 (0.5 e up to 500 e, twice
    /// that in service).
    #[test]
    fn a_scale_is_proven_only_by_a_weight_it_can_weigh() {
        let check = |known, shown| opened(known, shown).weighing_scale().unwrap().check;
        assert_eq!(check(Some(5_000), Some(5_010)), ScaleCheck::Passed);
        assert_eq!(check(Some(5_000), Some(5_020)), ScaleCheck::Failed);
        assert_eq!(check(Some(200), Some(200)), ScaleCheck::Passed);
        assert_eq!(check(Some(190), Some(190)), ScaleCheck::NotDone);
        assert_eq!(check(Some(0), Some(0)), ScaleCheck::NotDone);
        assert_eq!(check(Some(100_010), Some(100_010)), ScaleCheck::Failed);
        assert_eq!(check(Some(5_000), None), ScaleCheck::NotDone);
        assert_eq!(check(None, None), ScaleCheck::NotDone);
    }

    #[test]
    fn an_offset_is_reading_less_reference_and_one_too_large_is_no_check() {
        let offset = |reference, reading| {
            let mut day = opened(None, None);
            day.refractometer.as_mut().unwrap().check = Some(RefractometerCheckV1 {
                reference,
                reading,
                temperature_tenths_c: Celsius::new(200).unwrap(),
            });
            day.refractometer_as_checked().unwrap().offset
        };
        assert_eq!(offset(18_00, 18_20), Some(Offset::new(20).unwrap()));
        assert_eq!(offset(18_00, 8_00), Some(Offset::new(-1_000).unwrap()));
        assert_eq!(offset(18_00, 28_01), None);
        assert_eq!(offset(i64::MIN, i64::MAX), None);
        let unchecked = opened(None, None).refractometer_as_checked().unwrap();
        assert_eq!(unchecked.offset, None);
    }
}
