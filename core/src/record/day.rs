//! Beginning and end of an officer's day, and what happens to its clock.

use super::instruments::{RefractometerCardV1, ScaleCardV1};
use crate::units::{Currency, Label};
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

/// The officer starts the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayOpenedV1 {
    /// Which day.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Who buys.
    pub officer: Label,
    /// Serial of the brief worked by.
    pub brief_serial: u32,
    /// Cash counted in, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub float_minor: i64,
    /// Its currency.
    pub currency: Currency,
    /// Empty pails taken.
    pub pails: u32,
    /// Seals taken.
    pub seals: u32,
    /// The weighing scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scale: Option<ScaleCardV1>,
    /// The refractometer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refractometer: Option<RefractometerCardV1>,
}

/// The handset's clock was seen to jump.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClockNoticedV1 {
    /// Time of the last entry or sign of life before.
    #[serde(with = "super::time::instant")]
    pub before: DateTime<FixedOffset>,
    /// Wall clock less what it should have been, in seconds.
    pub jump_seconds: i64,
}

/// The officer ends the day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayClosedV1 {
    /// Which day.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Cash counted out, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub cash_minor: i64,
    /// Full pails counted.
    pub full_pails: u32,
    /// Empty pails counted.
    pub empty_pails: u32,
    /// Why cash or pails differ, when they do.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explanation: Option<Label>,
}
