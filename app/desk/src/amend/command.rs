//! `combgate member set`, `take` and `history`.

use super::{AmendError, Field, differences, set as set_member, take as take_register};
use crate::cli;
use crate::currency;
use crate::desk;
use crate::files::read_text;
use crate::outcome::{Failure, Outcome, json};
use crate::register::BYTES_AT_MOST;
use crate::store::{Act, History, MemberChange, RegisterChange};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::MemberV1;
use combgate_core::units::{Code, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

#[derive(Serialize)]
struct SetAnswer<'a> {
    change: &'static str,
    member: &'a MemberV1,
}

#[derive(Serialize)]
struct TakeAnswer {
    added: u64,
    changed: u64,
}

#[derive(Serialize)]
struct ChangeAnswer<'a> {
    by: &'a Label,
    at: DateTime<FixedOffset>,
    was: Option<&'a MemberV1>,
    became: Option<&'a MemberV1>,
}

fn act(by: &str) -> Result<Act, AmendError> {
    Ok(Act {
        by: Label::new(by)?,
        at: desk::now(),
    })
}

/// Changes a member, or puts one on the register.
pub(crate) fn set(folder: &Path, asked: &cli::SetMember) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let typed = |field| match field {
        Field::Name => asked.name.clone(),
        Field::Village => asked.village.clone(),
        Field::Phone => asked.phone.clone(),
        Field::Language => asked.language.clone(),
        Field::Premiums => asked.premiums.clone(),
        Field::AdvancePayee => asked.advance_payee.clone(),
        Field::Advance => asked.advance.clone(),
    };
    let act = act(&asked.by)?;
    let (member, change) = set_member(&mut desk.store, &asked.member, typed, None, &act)?;
    let (word, said) = match change {
        RegisterChange::Added => ("added", "is on the register now"),
        RegisterChange::Changed => ("changed", "is changed"),
        RegisterChange::Unchanged => ("unchanged", "is as it was"),
    };
    Ok(Outcome::done(if asked.json {
        json(&SetAnswer {
            change: word,
            member: &member,
        })?
    } else {
        format!("Member {}, {}, {said}.\n", member.number, member.name)
    }))
}

/// Brings the register up to date.
pub(crate) fn take(folder: &Path, asked: &cli::TakeMembers) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let text = read_text(&asked.file, BYTES_AT_MOST)?;
    let (added, changed) = take_register(&mut desk.store, &text, &act(&asked.by)?)?;
    Ok(Outcome::done(if asked.json {
        json(&TakeAnswer { added, changed })?
    } else {
        format!("The register is up to date: {added} new, {changed} changed.\n")
    }))
}

/// Prints a member's changes, the newest first.
pub(crate) fn history(folder: &Path, asked: &cli::MemberHistory) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let number = Code::new(&asked.member).map_err(AmendError::from)?;
    let changes = desk.store.changes(&number)?;
    if asked.json {
        let answers: Vec<ChangeAnswer<'_>> = changes.iter().map(ChangeAnswer::of).collect();
        return Ok(Outcome::done(json(&answers)?));
    }
    let currency = currency::of_ledger(&desk.store)?;
    let mut text = String::new();
    for change in &changes {
        let new = if change.was.is_none() && change.became.is_some() {
            ", put on the register"
        } else {
            ""
        };
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{} by {}{new}",
            change.act.at.to_rfc3339(),
            change.act.by
        );
        for (field, was, became) in differences(change, currency) {
            let _ = writeln!(text, "  {}: '{was}' -> '{became}'", field.name());
        }
    }
    if text.is_empty() {
        text.push_str("No change of this member is kept.\n");
    }
    Ok(Outcome::done(text))
}

impl<'a> ChangeAnswer<'a> {
    fn of(change: &'a MemberChange) -> Self {
        Self {
            by: &change.act.by,
            at: change.act.at,
            was: change.was.as_ref(),
            became: change.became.as_ref(),
        }
    }
}
