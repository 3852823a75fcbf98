//! Days and times in documents: one spelling each, so that every program reads the same.
//!
//! A day is `2026-10-09`. A time is RFC 3339 with its offset, `2026-10-09T07:10:00+03:00`; its
//! fraction of a second, if any, has 3, 6 or 9 digits.

#![allow(
    clippy::trivially_copy_pass_by_ref,
    clippy::ref_option,
    reason = "serde hands values over by reference"
)]

use chrono::{DateTime, FixedOffset, NaiveDate, SecondsFormat};
use serde::{Deserialize, Deserializer, Serializer};

/// The day of a text in the one spelling that documents have, `2026-10-09`.
pub fn read_day(text: &str) -> Option<NaiveDate> {
    let [y @ .., b'-', m1, m2, b'-', d1, d2] = text.as_bytes() else {
        return None;
    };
    let number = |digits: &[u8]| {
        digits.iter().try_fold(0, |number, digit| match digit {
            b'0'..=b'9' => Some(number * 10 + u32::from(digit - b'0')),
            _ => None,
        })
    };
    let year = number(<&[u8; 4]>::try_from(y).ok()?)?;
    NaiveDate::from_ymd_opt(
        year.try_into().ok()?,
        number(&[*m1, *m2])?,
        number(&[*d1, *d2])?,
    )
}

fn read_time(text: &str) -> Option<DateTime<FixedOffset>> {
    let time = DateTime::parse_from_rfc3339(text).ok()?;
    [true, false]
        .into_iter()
        .any(|zero_is_z| time.to_rfc3339_opts(SecondsFormat::AutoSi, zero_is_z) == text)
        .then_some(time)
}

fn short(text: &str) -> String {
    text.chars().take(40).collect()
}

fn day_or<E: serde::de::Error>(text: &str) -> Result<NaiveDate, E> {
    read_day(text)
        .ok_or_else(|| E::custom(format!("'{}' is not a day such as 2026-10-09", short(text))))
}

fn time_or<E: serde::de::Error>(text: &str) -> Result<DateTime<FixedOffset>, E> {
    read_time(text).ok_or_else(|| {
        E::custom(format!(
            "'{}' is not a time such as 2026-10-09T07:10:00+03:00",
            short(text)
        ))
    })
}

/// For `#[serde(with)]` on a day.
pub(super) mod day {
    use super::{Deserialize, Deserializer, NaiveDate, Serializer, day_or};

    pub(in super::super) fn serialize<S: Serializer>(
        day: &NaiveDate,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_str(day)
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<NaiveDate, D::Error> {
        day_or(&String::deserialize(deserializer)?)
    }
}

/// For `#[serde(default, with)]` on a day that may be missing.
pub(super) mod day_if_any {
    use super::{Deserialize, Deserializer, NaiveDate, Serializer, day_or};

    pub(in super::super) fn serialize<S: Serializer>(
        day: &Option<NaiveDate>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match day {
            Some(day) => serializer.collect_str(day),
            None => serializer.serialize_none(),
        }
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<NaiveDate>, D::Error> {
        Option::<String>::deserialize(deserializer)?
            .map(|text| day_or(&text))
            .transpose()
    }
}

/// For `#[serde(with)]` on days that are in order.
pub(super) mod days {
    use super::{Deserialize, Deserializer, NaiveDate, Serializer, day_or};
    use std::collections::BTreeSet;

    pub(in super::super) fn serialize<S: Serializer>(
        days: &BTreeSet<NaiveDate>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(days.iter().map(ToString::to_string))
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<BTreeSet<NaiveDate>, D::Error> {
        let texts = Vec::<String>::deserialize(deserializer)?;
        texts.iter().map(|text| day_or(text)).collect()
    }
}

/// For `#[serde(default, with)]` on a time that may be missing.
pub(super) mod instant_if_any {
    use super::{DateTime, Deserialize, Deserializer, FixedOffset, Serializer, instant, time_or};

    pub(in super::super) fn serialize<S: Serializer>(
        time: &Option<DateTime<FixedOffset>>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match time {
            Some(time) => instant::serialize(time, serializer),
            None => serializer.serialize_none(),
        }
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<DateTime<FixedOffset>>, D::Error> {
        Option::<String>::deserialize(deserializer)?
            .map(|text| time_or(&text))
            .transpose()
    }
}

/// For `#[serde(with)]` on a time.
pub(super) mod instant {
    use super::{
        DateTime, Deserialize, Deserializer, FixedOffset, SecondsFormat, Serializer, time_or,
    };

    pub(in super::super) fn serialize<S: Serializer>(
        time: &DateTime<FixedOffset>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&time.to_rfc3339_opts(SecondsFormat::AutoSi, true))
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<DateTime<FixedOffset>, D::Error> {
        time_or(&String::deserialize(deserializer)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_has_one_spelling() {
        assert_eq!(read_day("2026-10-09"), NaiveDate::from_ymd_opt(2026, 10, 9));
        // A sign before the year would be a formula in a spreadsheet.
        for bad in [
            "2026-10-9",
            "2026-1-01",
            " 2026-10-09",
            "2026- 10-9",
            "+2026-10-09",
            "+262142-12-31",
            "-026-10-09",
            "20261009",
            "2026-02-29",
            "",
        ] {
            assert_eq!(read_day(bad), None, "{bad}");
        }
    }

    /// RFC 3339, 5.6: four digits of the year, `T`, seconds, offset with a colon.
    #[test]
    fn a_time_is_rfc_3339_with_its_offset() {
        for good in [
            "2026-10-09T07:10:00+03:00",
            "2026-10-09T07:10:00.120+03:00",
            "2026-10-09T04:10:00Z",
            "2026-10-09T04:10:00+00:00",
            "2026-10-09T04:10:00.123456789-03:30",
        ] {
            assert!(read_time(good).is_some(), "{good}");
        }
        for bad in [
            "2026-10-09T07:10:00",
            "2026-10-09 07:10:00+03:00",
            "2026-10-09T07:10:00 +03:00",
            "2026-10-09T07:10:00+0300",
            "2026-10-09T07:10:00+03",
            "2026-10-09t07:10:00z",
            "2026-10-09T7:10:00+03:00",
            "2026-10-09T07:10+03:00",
            "2026-10-09T07:10:00.1+03:00",
            "2026-10-09T07:10:00.1234567891+03:00",
            "+2026-10-09T07:10:00+03:00",
            "2026-10-09T07:10:00 UTC",
            "",
        ] {
            assert_eq!(read_time(bad), None, "{bad}");
        }
    }
}
