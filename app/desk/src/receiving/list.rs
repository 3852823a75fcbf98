//! `combgate pails`: what is on its way, what came, and what no paper names.

use super::answer::{ReceivingAnswer, kind_word, words as receiving_words};
use super::{Judged, ReceiveError, judge};
use crate::cli;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{PailRow, Store};
use chrono::{Days, NaiveDate};
use combgate_core::record::ReceiptNumber;
use combgate_core::units::Code;
use serde::Serialize;
use std::fmt::Write;
use std::ops::RangeInclusive;
use std::path::Path;

/// How far back is looked when nothing is said: a season.
const DAYS_BACK: Days = Days::new(180);

/// Pails of some days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Pails {
    /// Expected and not there yet.
    pub on_the_way: Vec<PailRow>,
    /// There.
    pub received: Vec<Judged>,
    /// There without a paper, whatever the day.
    pub without_paper: Vec<Judged>,
}

/// Pails of papers of some days.
pub(crate) fn read(
    store: &impl Store,
    days: RangeInclusive<NaiveDate>,
) -> Result<Pails, ReceiveError> {
    let mut pails = Pails {
        on_the_way: Vec::new(),
        received: Vec::new(),
        without_paper: Vec::new(),
    };
    for pail in store.pails_on(days)? {
        match &pail.received {
            None if pail.cancelled => {}
            None => pails.on_the_way.push(pail),
            Some(received) => {
                if let Some(row) = store.receiving(received.id)? {
                    pails.received.push(judge(store, row)?);
                }
            }
        }
    }
    for row in store.unmatched()? {
        pails.without_paper.push(judge(store, row)?);
    }
    Ok(pails)
}

/// Lists pails.
pub(crate) fn run(folder: &Path, asked: &cli::AskPails) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let to = asked.to.unwrap_or_else(|| desk::now().date_naive());
    let from = asked.from.unwrap_or_else(|| to - DAYS_BACK);
    let pails = read(&desk.store, from..=to)?;
    Ok(Outcome::done(if asked.json {
        json(&Answer::of(&pails))?
    } else {
        words(&pails)
    }))
}

#[derive(Serialize)]
struct Answer<'a> {
    on_the_way: Vec<Expected<'a>>,
    received: Vec<ReceivingAnswer<'a>>,
    without_paper: Vec<ReceivingAnswer<'a>>,
}

#[derive(Serialize)]
struct Expected<'a> {
    pail: &'a Code,
    paper: &'a ReceiptNumber,
    kind: &'static str,
    member: &'a Code,
    day: NaiveDate,
}

impl<'a> Answer<'a> {
    fn of(pails: &'a Pails) -> Self {
        Self {
            on_the_way: pails
                .on_the_way
                .iter()
                .map(|pail| Expected {
                    pail: &pail.number,
                    paper: &pail.paper,
                    kind: kind_word(pail.kind),
                    member: &pail.member,
                    day: pail.day,
                })
                .collect(),
            received: pails.received.iter().map(ReceivingAnswer::of).collect(),
            without_paper: pails
                .without_paper
                .iter()
                .map(ReceivingAnswer::of)
                .collect(),
        }
    }
}

fn words(pails: &Pails) -> String {
    let mut text = format!("On the way: {}\n", pails.on_the_way.len());
    for pail in &pails.on_the_way {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "  pail {}, {} {} of {}",
            pail.number,
            kind_word(pail.kind),
            pail.paper,
            pail.day
        );
    }
    for (title, judged) in [
        ("Received", &pails.received),
        ("Without a paper", &pails.without_paper),
    ] {
        let _ = writeln!(text, "{title}: {}", judged.len());
        for judged in judged {
            text.push_str(&receiving_words(judged));
        }
    }
    text
}
