//! Sums of money in documents: minor units, bounded, so that no entry can overflow a ledger.

use crate::units::Money;
use serde::de::Error;
use serde::{Deserialize, Deserializer};

/// For `#[serde(deserialize_with)]` on a sum.
pub(super) fn minor<'de, D: Deserializer<'de>>(deserializer: D) -> Result<i64, D::Error> {
    bounded(i64::deserialize(deserializer)?)
}

/// For `#[serde(default, deserialize_with)]` on a sum that may be missing.
pub(super) fn minor_if_any<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<i64>, D::Error> {
    Option::<i64>::deserialize(deserializer)?
        .map(bounded)
        .transpose()
}

fn bounded<E: Error>(minor: i64) -> Result<i64, E> {
    if (-Money::MAX_MINOR..=Money::MAX_MINOR).contains(&minor) {
        Ok(minor)
    } else {
        Err(E::custom(format!(
            "{minor} minor units are beyond any sum of money"
        )))
    }
}
