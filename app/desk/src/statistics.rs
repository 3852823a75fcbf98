//! `combgate statistics`: where a person would look rather than read. Kilograms by day and grade,
//! moisture against its limits, last digits of what was weighed by officer and scale.

use crate::cli;
use crate::currency;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Journals, Papers, SqliteStore, StoreError};
use crate::terms::trial::last_month;
use chrono::NaiveDate;
use combgate_core::clerk::LastDigits;
use combgate_core::intake::{Bee, Decision};
use combgate_core::record::{
    AssessmentV1, DayOpenedV1, DeliveryV1, EntryBody, GroundCode, ParsedEntry,
};
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::{kilograms, percent};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::ops::RangeInclusive;
use std::path::Path;

/// Width of a step of the moisture's distribution, hundredths of a percent.
pub(crate) const STEP: i64 = 25;

/// Moisture of one kind of bee's honey.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Moistures {
    /// How many, by the lower end of their step, hundredths of a percent.
    pub(crate) counts: BTreeMap<i64, u64>,
    /// Limits that they were judged by, hundredths of a percent.
    pub(crate) limits: BTreeSet<i64>,
}

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
    for paper in store.papers_between(days.clone())? {
        let Some(grade) = paper.grade.filter(|_| paper.cancelled_by.is_none()) else {
            continue;
        };
        if paper.decision == Decision::Buy {
            let day = found.grams.entry(paper.day).or_default();
            *day.entry(grade.clone()).or_default() += paper.net_g;
            let day = found.payable_minor.entry(paper.day).or_default();
            *day.entry(grade).or_default() += paper.payable_minor;
        }
    }
    let mut digits: BTreeMap<(String, String), LastDigits> = BTreeMap::new();
    for (day, _) in store.days()? {
        if days.contains(&day) {
            one_day(&store.booked_on(day)?, &mut found, &mut digits);
        }
    }
    found.weighed = digits
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

fn one_day(
    entries: &[(Code, ParsedEntry)],
    found: &mut Statistics,
    digits: &mut BTreeMap<(String, String), LastDigits>,
) {
    let mut opened: BTreeMap<&Code, &DayOpenedV1> = BTreeMap::new();
    for (handset, entry) in entries {
        let (delivery, assessment) = match entry.body() {
            EntryBody::DayOpened(opening) => {
                opened.insert(handset, opening);
                continue;
            }
            EntryBody::Receipt(receipt) => (&receipt.delivery, &receipt.assessment),
            EntryBody::Slip(slip) => (&slip.delivery, &slip.assessment),
            _ => continue,
        };
        count_moisture(delivery.bee, assessment, found);
        if let Some(opening) = opened.get(handset) {
            count_digits(opening, delivery, digits);
        }
    }
}

fn count_moisture(bee: Bee, assessment: &AssessmentV1, found: &mut Statistics) {
    let moistures = match bee {
        Bee::Honeybee => &mut found.honeybee,
        Bee::StinglessBee => &mut found.stingless_bee,
    };
    let Some(moisture) = &assessment.moisture else {
        return;
    };
    let hundredths = moisture.moisture_hundredths.get();
    let step = hundredths.div_euclid(STEP) * STEP;
    *moistures.counts.entry(step).or_default() += 1;
    let of_moisture = |code| {
        matches!(
            code,
            GroundCode::MoistureMeets
                | GroundCode::MoistureTooNear
                | GroundCode::MoistureFails
                | GroundCode::MoistureFailsOnTooLittle
        )
    };
    let grounds = assessment.grounds.iter();
    let limits = grounds.filter(|ground| of_moisture(ground.code));
    moistures
        .limits
        .extend(limits.filter_map(|ground| ground.limit_hundredths));
}

fn count_digits(
    opening: &DayOpenedV1,
    delivery: &DeliveryV1,
    digits: &mut BTreeMap<(String, String), LastDigits>,
) {
    let Some(scale) = &opening.scale else {
        return;
    };
    let of = (opening.officer.to_string(), scale.id.to_string());
    let counted = digits.entry(of).or_default();
    let interval = i64::from(scale.interval_g);
    for pail in &delivery.pails {
        counted.count(pail.gross_g.get() / interval.max(1));
    }
}

/// The command.
pub(crate) fn run(folder: &Path, asked: &cli::AskStatistics) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let month = last_month(&desk.store)?;
    let first = asked.from.unwrap_or(*month.start());
    let last = asked.to.unwrap_or(*month.end());
    let found = gather(&desk.store, first..=last)?;
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
