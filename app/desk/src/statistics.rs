//! `combgate statistics`: where a person would look rather than read. Kilograms by day and grade,
//! moisture against its limits, last digits of what was weighed by officer and scale. What is counted
//! is counted when it is booked, so a month is as quick to show as a day.

mod tally;

pub(crate) use tally::{Moistures, STEP, Tally};

use crate::cli;
use crate::currency;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{SqliteStore, StoreError, Sums};
use crate::terms::trial::days_of;
use chrono::NaiveDate;
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::{kilograms, percent};
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt::Write;
use std::ops::RangeInclusive;
use std::path::Path;

/// What an officer weighed with a scale.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Weighed {
    pub(crate) officer: String,
    pub(crate) scale: String,
    /// How often each last digit came.
    pub(crate) digits: [u64; 10],
    /// Whether that asks a question.
    pub(crate) uneven: bool,
    /// Whether there are enough to say anything.
    pub(crate) enough: bool,
}

/// Figures of some days.
#[derive(Debug, Serialize)]
pub(crate) struct Statistics {
    pub(crate) first: NaiveDate,
    pub(crate) last: NaiveDate,
    /// Net grams bought and not cancelled, by day and grade.
    pub(crate) grams: BTreeMap<NaiveDate, BTreeMap<Code, i64>>,
    /// What they came to, minor units, all additions and deductions in it.
    pub(crate) payable_minor: BTreeMap<NaiveDate, BTreeMap<Code, i64>>,
    pub(crate) honeybee: Moistures,
    pub(crate) stingless_bee: Moistures,
    pub(crate) weighed: Vec<Weighed>,
}

impl Statistics {
    /// What a kilogram came to on a day in a grade, minor units, to the nearest; `None` where
    /// nothing was bought.
    pub(crate) fn per_kg_minor(&self, day: NaiveDate, grade: &Code) -> Option<i64> {
        let grams = i128::from(*self.grams.get(&day)?.get(grade)?);
        let minor = i128::from(*self.payable_minor.get(&day)?.get(grade)?);
        if grams <= 0 {
            return None;
        }
        let doubled = minor.saturating_mul(2_000).saturating_add(grams);
        i64::try_from(doubled.div_euclid(grams.saturating_mul(2))).ok()
    }
}

/// Gathers the figures of some days.
pub(crate) fn gather(
    store: &SqliteStore,
    days: RangeInclusive<NaiveDate>,
) -> Result<Statistics, StoreError> {
    let mut found = Statistics {
        first: *days.start(),
        last: *days.end(),
        grams: BTreeMap::new(),
        payable_minor: BTreeMap::new(),
        honeybee: Moistures::default(),
        stingless_bee: Moistures::default(),
        weighed: Vec::new(),
    };
    for (day, grade, stands) in store.stands_by_grade(days.clone())? {
        let of_day = found.grams.entry(day).or_default();
        of_day.insert(grade.clone(), stands.net_g);
        let of_day = found.payable_minor.entry(day).or_default();
        of_day.insert(grade, stands.payable_minor);
    }
    let tally = Tally::of(store.tallied(days)?);
    found.honeybee = tally.honeybee;
    found.stingless_bee = tally.stingless_bee;
    found.weighed = tally
        .digits
        .into_iter()
        .map(|((officer, scale), digits)| Weighed {
            officer,
            scale,
            digits: *digits.counts(),
            uneven: digits.is_uneven(),
            enough: digits.is_enough(),
        })
        .collect();
    Ok(found)
}

/// The command.
pub(crate) fn run(folder: &Path, asked: &cli::AskStatistics) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let found = gather(&desk.store, days_of(&desk.store, &asked.days)?)?;
    Ok(Outcome::done(if asked.json {
        json(&found)?
    } else {
        words(&found, currency::of_ledger(&desk.store)?)
    }))
}

fn words(found: &Statistics, currency: Option<Currency>) -> String {
    let mut text = format!(
        "{} to {}\n\nnet kg by day and grade\n",
        found.first, found.last
    );
    // Writing to a string cannot fail.
    for (day, grades) in &found.grams {
        let _ = write!(text, "  {day}");
        for (grade, grams) in grades {
            let _ = write!(text, "  {grade} {}", kilograms(*grams));
        }
        text.push('\n');
    }
    let _ = writeln!(
        text,
        "\n{} a kilogram by day and grade",
        currency::unit(currency)
    );
    for (day, grades) in &found.grams {
        let _ = write!(text, "  {day}");
        for grade in grades.keys() {
            if let Some(minor) = found.per_kg_minor(*day, grade) {
                let _ = write!(text, "  {grade} {}", currency::sum(minor, currency));
            }
        }
        text.push('\n');
    }
    for (name, moistures) in [
        ("honeybees", &found.honeybee),
        ("stingless bees", &found.stingless_bee),
    ] {
        let _ = writeln!(text, "\nmoisture of honey of {name}, percent from");
        for (step, count) in &moistures.counts {
            let _ = writeln!(text, "  {:>6}  {count}", percent(*step));
        }
    }
    text.push_str("\nlast digits of full weights, 0 to 9\n");
    for weighed in &found.weighed {
        let question = if weighed.uneven {
            "  uneven: ask how the scale is read"
        } else {
            ""
        };
        let _ = writeln!(
            text,
            "  {}, {}: {:?}{question}",
            weighed.officer, weighed.scale, weighed.digits
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reckoned by hand: 500.00 for 1.500 kg is 333.33 a kilogram; half a minor unit goes up.
    #[test]
    fn a_kilograms_price_is_what_was_paid_by_what_was_weighed() {
        let day = NaiveDate::from_ymd_opt(2026, 10, 9).unwrap();
        for (grams, minor, per_kg) in [
            (1_500, 50_000, Some(33_333)),
            (2_000, 5, Some(3)),
            (1_000, 42_000, Some(42_000)),
            (0, 0, None),
            (i64::MAX, i64::MAX, Some(1_000)),
        ] {
            let grade = Code::new("A").unwrap();
            let of = |value| BTreeMap::from([(day, BTreeMap::from([(grade.clone(), value)]))]);
            let found = Statistics {
                first: day,
                last: day,
                grams: of(grams),
                payable_minor: of(minor),
                honeybee: Moistures::default(),
                stingless_bee: Moistures::default(),
                weighed: Vec::new(),
            };
            assert_eq!(found.per_kg_minor(day, &grade), per_kg, "{grams} {minor}");
        }
    }
}
