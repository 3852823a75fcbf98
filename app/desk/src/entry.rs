//! `combgate entry`: one booked entry, as it was signed, and what was found in it.

use crate::cli;
use crate::desk;
use crate::enrol::{EnrolError, known};
use crate::findings::{FindingAnswer, finding_line, of_handset};
use crate::keys::DeskCheck;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Journals, Papers, StoreError};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{Digest, ParsedEntry, ReceiptNumber};
use combgate_core::units::Code;
use serde::Serialize;
use serde_json::Value;
use std::fmt::Write;
use std::path::Path;

/// An entry that cannot be shown.
#[derive(Debug, thiserror::Error)]
pub(crate) enum EntryError {
    /// Whose.
    #[error(transparent)]
    Handset(#[from] EnrolError),
    /// Not booked.
    #[error("no entry {seq} of handset {handset} is booked")]
    NotBooked {
        /// Whose.
        handset: Code,
        /// Which.
        seq: u64,
    },
    /// No such paper.
    #[error("no booked receipt or slip has the number {0}")]
    NoPaper(ReceiptNumber),
    /// Neither a paper nor an entry is named.
    #[error("'{0}' is no number of a receipt or slip, and no entry of a handset is named")]
    NoNumber(String),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for EntryError {
    fn hint(&self) -> String {
        match self {
            Self::Handset(error) => error.hint(),
            Self::NotBooked { .. } => {
                "see with `combgate handsets` up to which entry a handset is booked".to_owned()
            }
            Self::NoPaper(_) => {
                "look whether the number was read rightly; else its bundle has not come yet"
                    .to_owned()
            }
            Self::NoNumber(_) => {
                "give a number such as K7-26-00001, or a handset and the place in its journal"
                    .to_owned()
            }
            Self::Store(error) => error.hint(),
        }
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    seq: u64,
    at: DateTime<FixedOffset>,
    kind: &'static str,
    digest: Digest,
    signed: Value,
    findings: Vec<FindingAnswer<'a>>,
}

/// The signed text of an entry; `None` where it is no JSON, which a booked entry is.
pub(crate) fn signed_text(entry: &ParsedEntry) -> Option<Value> {
    let payload = entry.compact().split('.').nth(1)?;
    let bytes = URL_SAFE_NO_PAD.decode(payload).ok()?;
    serde_json::from_slice(&bytes).ok()
}

/// The number of a receipt or slip as people type it: with small letters, and blanks for dashes.
pub(crate) fn typed_number(typed: &str) -> Option<ReceiptNumber> {
    let parts: Vec<&str> = typed
        .split(|c: char| c == '-' || c.is_whitespace())
        .filter(|part| !part.is_empty())
        .collect();
    ReceiptNumber::try_from(parts.join("-").to_uppercase()).ok()
}

/// The handset and its entry that are asked for.
fn place(store: &impl Papers, asked: &cli::AskEntry) -> Result<(String, u64), EntryError> {
    if let Some(seq) = asked.seq {
        return Ok((asked.of.clone(), seq));
    }
    let number = typed_number(&asked.of)
        .ok_or_else(|| EntryError::NoNumber(asked.of.chars().take(40).collect()))?;
    match store.numbered(&number)? {
        Some(paper) => Ok((paper.handset.to_string(), paper.seq)),
        None => Err(EntryError::NoPaper(number)),
    }
}

/// Prints an entry.
pub(crate) fn run(folder: &Path, asked: &cli::AskEntry) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let (of, seq) = place(&desk.store, asked)?;
    let handset = known(&desk.store, &of).map_err(EntryError::from)?;
    let entry = desk
        .store
        .booked_among(&handset.code, seq..=seq)?
        .pop()
        .ok_or_else(|| EntryError::NotBooked {
            handset: handset.code.clone(),
            seq,
        })?;
    let mut found = of_handset(&desk.store, &DeskCheck, &handset)?;
    found.retain(|each| each.finding.seq == seq);
    let answer = Answer {
        handset: &handset.code,
        seq: entry.seq(),
        at: entry.at(),
        kind: entry.body().kind(),
        digest: entry.hash(),
        signed: signed_text(&entry).unwrap_or_default(),
        findings: found
            .iter()
            .map(|each| FindingAnswer::of(&each.finding))
            .collect(),
    };
    if asked.json {
        return Ok(Outcome::done(json(&answer)?));
    }
    let mut findings = String::new();
    for each in &found {
        // Writing to a string cannot fail.
        let _ = writeln!(
            findings,
            "{}  {}",
            each.id(),
            finding_line(&each.finding, "")
        );
    }
    Ok(Outcome::done(format!(
        "Handset {}, entry {}, {}, written {}, digest {}\n{}\n{}",
        answer.handset,
        answer.seq,
        answer.kind,
        answer.at.to_rfc3339(),
        answer.digest,
        json(&answer.signed)?.trim_end(),
        if findings.is_empty() {
            "Nothing was found in it.\n"
        } else {
            &findings
        }
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_type_them() {
        let number = ReceiptNumber::try_from("K7-26-00041".to_owned()).unwrap();
        for typed in [
            "K7-26-00041",
            " k7-26-00041 ",
            "k7 26 00041",
            "K7 - 26 - 00041",
        ] {
            assert_eq!(typed_number(typed).as_ref(), Some(&number), "{typed}");
        }
        for typed in ["", "K7", "K7-26", "<b>", "K7-26-00000"] {
            assert_eq!(typed_number(typed), None, "{typed}");
        }
    }
}
