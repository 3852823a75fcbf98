//! `combgate entry`: one booked entry, as it was signed, and what was found in it.

use crate::cli;
use crate::desk;
use crate::enrol::{EnrolError, known};
use crate::findings::{FindingAnswer, finding_line, of_handset};
use crate::keys::RingCheck;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Journals, StoreError};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{Digest, ParsedEntry};
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

/// Prints an entry.
pub(crate) fn run(folder: &Path, asked: &cli::AskEntry) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let handset = known(&desk.store, &asked.handset).map_err(EntryError::from)?;
    let entry = desk
        .store
        .booked_among(&handset.code, asked.seq..=asked.seq)?
        .pop()
        .ok_or_else(|| EntryError::NotBooked {
            handset: handset.code.clone(),
            seq: asked.seq,
        })?;
    let mut found = of_handset(&desk.store, &RingCheck, &handset)?;
    found.retain(|each| each.finding.seq == asked.seq);
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
