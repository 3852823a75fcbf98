//! `combgate findings` and `combgate settle`.

use super::evidence::{Side, evidence};
use super::looked_at::{LookedAt, of_all, of_handset};
use super::reverse::{ReverseError, Wanted, carry_out, undo};
use super::settle::{by, take_step};
use super::{FindingAnswer, finding_line};
use crate::cli::{self, ReverseWhat};
use crate::currency::{of_ledger, sum, unit};
use crate::desk;
use crate::enrol::known;
use crate::keys::DeskCheck;
use crate::outcome::{Exit, Failure, Outcome, json};
use crate::payments::PayError;
use crate::store::{FindingStep, Journals, OfWhat, Reversal, SqliteStore, StoreError, word_of};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::units::{Code, Currency, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

#[derive(Serialize)]
struct LookedAtAnswer<'a> {
    id: String,
    handset: &'a Code,
    #[serde(flatten)]
    finding: FindingAnswer<'a>,
    settled: bool,
    evidence: Vec<Side>,
    steps: Vec<StepAnswer<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reversals: Vec<ReversalAnswer<'a>>,
}

#[derive(Serialize)]
struct ReversalAnswer<'a> {
    /// `None` where the debt was reversed.
    payment: Option<i64>,
    minor: i64,
    day: NaiveDate,
    by: &'a Label,
    because: &'a Label,
    undone_by: Option<&'a Label>,
}

#[derive(Serialize)]
struct StepAnswer<'a> {
    step: String,
    words: &'a Label,
    by: &'a Code,
    at: DateTime<FixedOffset>,
}

/// Lists findings.
pub(crate) fn list(folder: &Path, asked: &cli::AskFindings) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let mut found = match &asked.handset {
        Some(typed) => of_handset(&desk.store, &DeskCheck, &known(&desk.store, typed)?)?,
        None => of_all(&desk.store, &DeskCheck)?,
    };
    found.retain(|each| asked.all || !each.is_settled());
    let questioned = found.iter().any(LookedAt::is_asked);
    let mut outcome = Outcome::done(if asked.json {
        let answers: Vec<_> = found
            .iter()
            .map(|each| answer(&desk.store, each))
            .collect::<Result<_, _>>()?;
        json(&answers)?
    } else {
        found.iter().map(words).collect()
    });
    if found.is_empty() && !asked.json {
        outcome.text.push_str("Nothing to look at.\n");
    }
    if questioned {
        outcome.exit = Exit::Questioned;
    }
    Ok(outcome)
}

/// Writes down what is done with findings.
pub(crate) fn settle(folder: &Path, asked: &cli::Settle) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let account = by(&desk.store, &asked.by)?;
    let ids: Vec<&str> = asked.findings.iter().map(String::as_str).collect();
    let found = take_step(
        &mut desk.store,
        &ids,
        asked.step,
        &asked.words,
        &account,
        desk::now(),
    )?;
    Ok(Outcome::done(if asked.json {
        let answers: Vec<_> = found
            .iter()
            .map(|each| answer(&desk.store, each))
            .collect::<Result<_, _>>()?;
        json(&answers)?
    } else {
        found.iter().map(words).collect()
    }))
}

/// Carries a reversal out that was decided on, or undoes one of a debt.
pub(crate) fn reverse(folder: &Path, asked: &cli::ReverseFinding) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let account = by(&desk.store, &asked.by)?;
    let store = &mut desk.store;
    let (id, reason, now) = (&asked.finding, &asked.reason, desk::now());
    let wanted = match asked.what {
        ReverseWhat::Undo => None,
        what => Some(Wanted {
            payments: what != ReverseWhat::Debt,
            debt: what != ReverseWhat::Payments,
        }),
    };
    let found = match wanted {
        Some(wanted) => carry_out(store, id, wanted, reason, &account, now)?,
        None => undo(store, id, reason, &account, now)?,
    };
    Ok(Outcome::done(if asked.json {
        json(&answer(&desk.store, &found)?)?
    } else {
        let currency = of_ledger(&desk.store)
            .map_err(PayError::from)
            .map_err(ReverseError::from)?;
        words(&found) + &reversal_words(&found, currency)
    }))
}

fn reversal_words(each: &LookedAt, currency: Option<Currency>) -> String {
    each.reversals
        .iter()
        .fold(String::new(), |mut text, reversal| {
            let what = match reversal.of {
                OfWhat::Payment(_) => "payment of the desk",
                OfWhat::Debt => "what was owed",
            };
            // Writing to a string cannot fail.
            let _ = write!(
                text,
                "                  reversed on {} by {}: {what}, {} {}: {}",
                reversal.day,
                reversal.act.by,
                unit(currency),
                sum(reversal.minor, currency),
                reversal.because
            );
            if let Some(undone) = &reversal.undone {
                let _ = write!(text, "; undone by {}: {}", undone.act.by, undone.because);
            }
            text + "\n"
        })
}

fn answer<'a>(store: &SqliteStore, each: &'a LookedAt) -> Result<LookedAtAnswer<'a>, StoreError> {
    let sides = match store.handset(&each.handset)? {
        Some(handset) if each.finding.seq > 0 => {
            evidence(store, &handset, each.finding.seq, &each.finding.code)?
        }
        _ => Vec::new(),
    };
    Ok(LookedAtAnswer {
        id: each.id(),
        handset: &each.handset,
        finding: FindingAnswer::of(&each.finding),
        settled: each.is_settled(),
        evidence: sides,
        steps: each.steps.iter().map(step_answer).collect(),
        reversals: each.reversals.iter().map(reversal_answer).collect(),
    })
}

fn reversal_answer(reversal: &Reversal) -> ReversalAnswer<'_> {
    ReversalAnswer {
        payment: match reversal.of {
            OfWhat::Payment(id) => Some(id),
            OfWhat::Debt => None,
        },
        minor: reversal.minor,
        day: reversal.day,
        by: &reversal.act.by,
        because: &reversal.because,
        undone_by: reversal.undone.as_ref().map(|undone| &undone.act.by),
    }
}

fn step_answer(step: &FindingStep) -> StepAnswer<'_> {
    StepAnswer {
        step: word_of(&step.step),
        words: &step.words,
        by: &step.account,
        at: step.taken_at,
    }
}

fn words(each: &LookedAt) -> String {
    let mut text = format!(
        "{}  {}  {}\n",
        each.id(),
        each.handset,
        finding_line(&each.finding, "")
    );
    for step in &each.steps {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "                  {} by {}, {}: {}",
            word_of(&step.step),
            step.account,
            step.taken_at.date_naive(),
            step.words
        );
    }
    text
}
