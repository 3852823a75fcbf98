//! `combgate terms …`: policies and price lists, their days in force, and trying one out and taking
//! it in.

pub(crate) mod sheet;
pub(crate) mod trial;

use crate::cli::{self, TermsWhat};
use crate::desk;
use crate::files::read_text;
use crate::init::take_terms;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Act, Office, Terms, TermsKind};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{Digest, TERMS_BYTES_AT_MOST};
use combgate_core::units::{Code, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;
use trial::{TrialError, Tried, read_either};

#[derive(Serialize)]
struct Answer<'a> {
    kind: &'static str,
    id: &'a Code,
    digest: Digest,
    from: NaiveDate,
    until: Option<NaiveDate>,
    in_force: bool,
    taken_in_at: DateTime<FixedOffset>,
    taken_in_by: Option<&'a Label>,
}

impl<'a> Answer<'a> {
    fn of(terms: &'a Terms, in_force: bool) -> Self {
        Self {
            kind: kind_word(terms.kind),
            id: &terms.code,
            digest: terms.digest,
            from: terms.first_day,
            until: terms.last_day,
            in_force,
            taken_in_at: terms.taken_in_at,
            taken_in_by: terms.taken_in_by.as_ref(),
        }
    }
}

const fn kind_word(kind: TermsKind) -> &'static str {
    match kind {
        TermsKind::Policy => "policy",
        TermsKind::PriceList => "price list",
    }
}

/// Does what is asked.
pub(crate) fn run(folder: &Path, what: &TermsWhat) -> Result<Outcome, Failure> {
    match what {
        TermsWhat::List(asked) => list(folder, asked),
        TermsWhat::Try(asked) => trial::run(folder, asked),
        TermsWhat::Take(asked) => take(folder, asked),
    }
}

fn list(folder: &Path, asked: &cli::ListTerms) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let today = desk::now().date_naive();
    let mut all = Vec::new();
    for kind in [TermsKind::Policy, TermsKind::PriceList] {
        let in_force = desk.store.terms_in_force(kind, today)?;
        let in_force = in_force.map(|terms| terms.digest);
        for terms in desk.store.all_terms(kind)? {
            let holds = in_force == Some(terms.digest);
            all.push((terms, holds));
        }
    }
    let answers: Vec<Answer<'_>> = all
        .iter()
        .map(|(terms, holds)| Answer::of(terms, *holds))
        .collect();
    Ok(Outcome::done(if asked.json {
        json(&answers)?
    } else {
        answers.iter().map(words).collect()
    }))
}

fn take(folder: &Path, asked: &cli::TakeTerms) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let text = read_text(&asked.file, TERMS_BYTES_AT_MOST)?;
    let kind = kind_of(&text)?;
    let act = Act {
        by: Label::new(&asked.by).map_err(crate::init::InitError::By)?,
        at: desk::now(),
    };
    let taken = take_terms(&mut desk.store, kind, &text, &act)?;
    let in_force = desk.store.terms_in_force(kind, act.at.date_naive())?;
    let answer = Answer::of(
        &taken,
        in_force.is_some_and(|one| one.digest == taken.digest),
    );
    Ok(Outcome::done(if asked.json {
        json(&answer)?
    } else {
        words(&answer)
    }))
}

/// Whether a text is a policy or a price list; an error says why it is neither.
pub(crate) fn kind_of(text: &str) -> Result<TermsKind, TrialError> {
    Ok(match read_either(text)? {
        Tried::Policy(_) => TermsKind::Policy,
        Tried::PriceList(_) => TermsKind::PriceList,
    })
}

fn words(answer: &Answer<'_>) -> String {
    let mut text = format!(
        "{:<11}{:<16}{} to ",
        answer.kind,
        answer.id.as_str(),
        answer.from
    );
    // Writing to a string cannot fail.
    let _ = match answer.until {
        Some(until) => write!(text, "{until}"),
        None => write!(text, "further notice"),
    };
    if answer.in_force {
        text.push_str(", in force today");
    }
    let _ = write!(text, "; taken in {}", answer.taken_in_at.to_rfc3339());
    if let Some(by) = answer.taken_in_by {
        let _ = write!(text, " by {by}");
    }
    text + "\n"
}
