//! A delivery on the wire: raw readings and weights, so that the desk can judge it anew.

use super::json::DocumentError;
use crate::honey::{Reading, Refractometer, Scale, ScaleReading};
use crate::intake::{
    Answer, Bee, CombCount, Delivery, Fault, Form, Hive, Pail, ScaleCheck, WeighingScale,
};
use crate::units::{
    Brix, Celsius, Code, Grams, Moisture, Offset, Points, RangeError, RefractiveIndex,
    ScaleInterval,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// See [`Delivery`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeliveryV1 {
    /// Which bee.
    pub bee: Bee,
    /// In what form.
    pub form: Form,
    /// From what hive.
    pub hive: Hive,
    /// Point counts, one a comb or comb side.
    pub combs: Vec<CombV1>,
    /// The instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refractometer: Option<RefractometerV1>,
    /// Its readings.
    pub readings: Vec<ReadingV1>,
    /// The checklist, each fault at most once.
    pub answers: Vec<AnswerV1>,
    /// The weighing scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale: Option<WeighingScaleV1>,
    /// The pails.
    pub pails: Vec<PailV1>,
}

/// See [`CombCount`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CombV1 {
    /// Points on capped honey.
    pub capped: Points,
    /// Points on open honey.
    pub open: Points,
    /// Points on no honey.
    pub other: Points,
}

/// See [`Refractometer`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RefractometerV1 {
    /// Its scale, which gives the unit of readings and offset.
    pub scale: Scale,
    /// Corrects for temperature by itself.
    pub compensated: bool,
    /// Reading less reference at the day's check, in the scale's smallest units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offset: Option<Offset>,
}

/// See [`Reading`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingV1 {
    /// Hundred-thousandths of index, hundredths of Brix, or hundredths of a percent of water.
    pub value: i64,
    /// Tenths of a degree.
    pub temperature_tenths_c: Celsius,
}

/// One answer of the checklist.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AnswerV1 {
    /// Which question.
    pub fault: Fault,
    /// What was found.
    pub answer: Answer,
}

/// See [`WeighingScale`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeighingScaleV1 {
    /// Interval e in grams.
    pub interval_g: ScaleInterval,
    /// The day's check.
    pub check: ScaleCheck,
}

/// See [`Pail`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PailV1 {
    /// Number painted on it.
    pub number: Code,
    /// Seal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seal: Option<Code>,
    /// Full, in grams.
    pub gross_g: Grams,
    /// Empty, in grams.
    pub tare_g: Grams,
}

impl TryFrom<&DeliveryV1> for Delivery {
    type Error = DocumentError;

    fn try_from(wire: &DeliveryV1) -> Result<Self, DocumentError> {
        let malformed =
            |detail: &dyn std::fmt::Display| DocumentError::malformed("delivery", detail);
        let mut answers = BTreeMap::new();
        for given in &wire.answers {
            if answers.insert(given.fault, given.answer).is_some() {
                return Err(malformed(&format!("'{:?}' is answered twice", given.fault)));
            }
        }
        let scale = wire.refractometer.map(|instrument| instrument.scale);
        let readings = wire
            .readings
            .iter()
            .map(|reading| {
                let scale = scale.ok_or_else(|| malformed(&"readings without a refractometer"))?;
                Ok(Reading {
                    value: on_scale(scale, reading.value).map_err(|error| malformed(&error))?,
                    temperature: reading.temperature_tenths_c,
                })
            })
            .collect::<Result<_, DocumentError>>()?;
        let delivery = Self {
            bee: wire.bee,
            form: wire.form,
            hive: wire.hive,
            combs: wire
                .combs
                .iter()
                .map(|comb| CombCount {
                    capped: comb.capped,
                    open: comb.open,
                    other: comb.other,
                })
                .collect(),
            refractometer: wire.refractometer.map(|instrument| Refractometer {
                scale: instrument.scale,
                compensated: instrument.compensated,
                offset: instrument.offset,
            }),
            readings,
            answers,
            scale: wire.scale.map(|scale| WeighingScale {
                interval: scale.interval_g,
                check: scale.check,
            }),
            pails: wire.pails.iter().map(Pail::from).collect(),
        };
        delivery.check().map_err(|error| malformed(&error))?;
        Ok(delivery)
    }
}

impl From<&PailV1> for Pail {
    fn from(wire: &PailV1) -> Self {
        Self {
            number: wire.number.clone(),
            seal: wire.seal.clone(),
            gross: wire.gross_g,
            tare: wire.tare_g,
        }
    }
}

fn on_scale(scale: Scale, count: i64) -> Result<ScaleReading, RangeError> {
    Ok(match scale {
        Scale::RefractiveIndex => ScaleReading::RefractiveIndex(RefractiveIndex::new(count)?),
        Scale::Brix => ScaleReading::Brix(Brix::new(count)?),
        Scale::Water => ScaleReading::Water(Moisture::new(count)?),
    })
}

impl From<&Delivery> for DeliveryV1 {
    fn from(delivery: &Delivery) -> Self {
        Self {
            bee: delivery.bee,
            form: delivery.form,
            hive: delivery.hive,
            combs: delivery
                .combs
                .iter()
                .map(|comb| CombV1 {
                    capped: comb.capped,
                    open: comb.open,
                    other: comb.other,
                })
                .collect(),
            refractometer: delivery.refractometer.map(|instrument| RefractometerV1 {
                scale: instrument.scale,
                compensated: instrument.compensated,
                offset: instrument.offset,
            }),
            readings: delivery
                .readings
                .iter()
                .map(|reading| ReadingV1 {
                    value: reading.value.count(),
                    temperature_tenths_c: reading.temperature,
                })
                .collect(),
            answers: delivery
                .answers
                .iter()
                .map(|(fault, answer)| AnswerV1 {
                    fault: *fault,
                    answer: *answer,
                })
                .collect(),
            scale: delivery.scale.map(|scale| WeighingScaleV1 {
                interval_g: scale.interval,
                check: scale.check,
            }),
            pails: delivery
                .pails
                .iter()
                .map(|pail| PailV1 {
                    number: pail.number.clone(),
                    seal: pail.seal.clone(),
                    gross_g: pail.gross,
                    tare_g: pail.tare,
                })
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests;
