//! `combgate reconcile`: an officer's cash and pails of a day.

use super::{HandsetDay, ReconcileError, officer_days};
use crate::cli;
use crate::currency::sum;
use crate::desk;
use crate::findings::weight_word;
use crate::outcome::{Exit, Failure, Outcome, json};
use chrono::NaiveDate;
use combgate_core::clerk::{CashCount, FindingWeight, PailCount};
use combgate_core::units::{Code, Currency, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// Prints officers' days.
pub(crate) fn run(folder: &Path, asked: &cli::AskReconcile) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let handset = asked
        .handset
        .as_deref()
        .map(Code::new)
        .transpose()
        .map_err(ReconcileError::from)?;
    let days = officer_days(&desk.store, asked.day, handset.as_ref())?;
    let asks = days.iter().any(|day| {
        let mut findings = day.officer_day.findings.iter();
        findings.any(|finding| finding.weight() >= FindingWeight::Question)
    });
    Ok(Outcome {
        text: if asked.json {
            json(&days.iter().map(Answer::of).collect::<Vec<_>>())?
        } else {
            words(asked.day, &days)
        },
        troubles: Vec::new(),
        exit: if asks { Exit::Questioned } else { Exit::Done },
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    day: NaiveDate,
    officer: &'a Label,
    currency: Currency,
    cash: CashAnswer,
    pails: PailAnswer,
    findings: Vec<Found>,
}

#[derive(Serialize)]
#[allow(clippy::struct_field_names)] // each names its unit, as everywhere in answers
struct CashAnswer {
    float_minor: i64,
    given_minor: i64,
    paid_minor: i64,
    returned_minor: i64,
    expected_minor: i64,
    counted_minor: Option<i64>,
    difference_minor: Option<i64>,
}

#[derive(Serialize)]
struct PailAnswer {
    taken: u64,
    bought: u64,
    held: u64,
    given_back: u64,
    counted_full: Option<u64>,
    received: u64,
    on_the_way: u64,
}

#[derive(Serialize)]
struct Found {
    code: &'static str,
    weight: &'static str,
    sentence: String,
}

impl<'a> Answer<'a> {
    fn of(day: &'a HandsetDay) -> Self {
        let officer_day = &day.officer_day;
        Self {
            handset: &day.handset,
            day: officer_day.day,
            officer: &officer_day.officer,
            currency: officer_day.currency,
            cash: CashAnswer::of(&officer_day.cash),
            pails: PailAnswer::of(&officer_day.pails),
            findings: officer_day
                .findings
                .iter()
                .map(|finding| Found {
                    code: finding.code(),
                    weight: weight_word(finding.weight()),
                    sentence: finding.to_string(),
                })
                .collect(),
        }
    }
}

impl CashAnswer {
    fn of(cash: &CashCount) -> Self {
        Self {
            float_minor: cash.float_minor,
            given_minor: cash.given_minor,
            paid_minor: cash.paid_minor,
            returned_minor: cash.returned_minor,
            expected_minor: cash.expected_minor(),
            counted_minor: cash.counted_minor,
            difference_minor: cash.difference_minor(),
        }
    }
}

impl PailAnswer {
    const fn of(pails: &PailCount) -> Self {
        Self {
            taken: pails.taken,
            bought: pails.bought,
            held: pails.held,
            given_back: pails.given_back,
            counted_full: pails.counted_full,
            received: pails.received,
            on_the_way: pails.on_the_way,
        }
    }
}

fn words(on: NaiveDate, days: &[HandsetDay]) -> String {
    if days.is_empty() {
        return format!("No officer's day of {on} is booked.\n");
    }
    let mut text = String::new();
    for HandsetDay {
        handset,
        officer_day,
    } in days
    {
        let currency = Some(officer_day.currency);
        let cash = CashAnswer::of(&officer_day.cash);
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{on}, handset {handset}, {}, money in {}",
            officer_day.officer, officer_day.currency
        );
        for (what, minor) in [
            ("float counted in", Some(cash.float_minor)),
            ("given during the day", Some(cash.given_minor)),
            ("paid out", Some(-cash.paid_minor)),
            ("came back", Some(cash.returned_minor)),
            ("should be in the box", Some(cash.expected_minor)),
            ("counted", cash.counted_minor),
            ("difference", cash.difference_minor),
        ] {
            let shown = minor.map_or_else(|| "not yet".to_owned(), |minor| sum(minor, currency));
            let _ = writeln!(text, "  {what:<22}{shown:>16}");
        }
        let pails = &officer_day.pails;
        let counted = pails
            .counted_full
            .map_or_else(|| "not yet".to_owned(), |count| count.to_string());
        let _ = writeln!(
            text,
            "  pails: {} taken, {} bought, {} held, {} given back, {counted} full counted, {} \
             received, {} on the way",
            pails.taken,
            pails.bought,
            pails.held,
            pails.given_back,
            pails.received,
            pails.on_the_way,
        );
        for finding in &officer_day.findings {
            let _ = writeln!(
                text,
                "  {:<8}  {finding} [{}]",
                weight_word(finding.weight()),
                finding.code()
            );
        }
    }
    text
}
