//! What an import says, in words and in JSON.

use super::{ImportError, Imported, Refused};
use crate::findings::{FindingAnswer, finding_line};
use crate::outcome::Advice;
use combgate_core::record::Digest;
use combgate_core::units::Code;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// What became of one file.
#[derive(Serialize)]
#[serde(untagged)]
pub(super) enum FileAnswer<'a> {
    Imported(Box<ImportedAnswer<'a>>),
    NotImported {
        file: String,
        error: String,
        hint: String,
    },
}

#[derive(Serialize)]
pub(super) struct ImportedAnswer<'a> {
    file: String,
    file_digest: Digest,
    handset: &'a Code,
    first_seq: u64,
    last_seq: u64,
    entries: u64,
    nothing_new: bool,
    booked: u64,
    known: u64,
    kept_apart: u64,
    waiting: u64,
    refused: Vec<RefusedAnswer<'a>>,
    booked_to: u64,
    head: Digest,
    findings: Vec<FindingAnswer<'a>>,
}

#[derive(Serialize)]
struct RefusedAnswer<'a> {
    position: usize,
    seq: u64,
    reason: &'a str,
}

impl<'a> FileAnswer<'a> {
    pub(super) fn imported(file: &Path, imported: &'a Imported) -> Self {
        let bundle = &imported.bundle;
        Self::Imported(Box::new(ImportedAnswer {
            file: file.display().to_string(),
            file_digest: bundle.file,
            handset: &imported.handset.code,
            first_seq: bundle.first_seq,
            last_seq: bundle.last_seq,
            entries: bundle.count,
            nothing_new: imported.nothing_new,
            booked: imported.extension.booked,
            known: imported.extension.known,
            kept_apart: imported.extension.apart,
            waiting: imported.waiting.map_or(0, |waiting| waiting.count),
            refused: imported.refused.iter().map(RefusedAnswer::of).collect(),
            booked_to: imported.handset.head.seq,
            head: imported.handset.head.hash,
            findings: imported.findings.iter().map(FindingAnswer::of).collect(),
        }))
    }

    pub(super) fn not_imported(file: &Path, error: &ImportError) -> Self {
        Self::NotImported {
            file: file.display().to_string(),
            error: error.to_string(),
            hint: error.hint(),
        }
    }
}

impl<'a> RefusedAnswer<'a> {
    fn of(refused: &'a Refused) -> Self {
        Self {
            position: refused.position,
            seq: refused.seq,
            reason: &refused.reason,
        }
    }
}

/// What became of one file, in words.
pub(super) fn words(file: &Path, imported: &Imported) -> String {
    let handset = &imported.handset;
    let bundle = &imported.bundle;
    let mut text = format!(
        "{}: handset {}, {}\n  entries {} to {}: ",
        file.display(),
        handset.code,
        handset.name,
        bundle.first_seq,
        bundle.last_seq,
    );
    // Writing to a string cannot fail.
    let _ = if imported.nothing_new {
        writeln!(text, "nothing new; nothing was changed")
    } else {
        writeln!(
            text,
            "{} booked, {} kept apart, {} known before, {} refused",
            imported.extension.booked,
            imported.extension.apart,
            imported.extension.known,
            imported.refused.len()
        )
    };
    let _ = writeln!(text, "  booked up to entry {}", handset.head.seq);
    if let Some(waiting) = imported.waiting {
        let _ = writeln!(
            text,
            "  waiting for entries that are missing: {}",
            waiting.count
        );
    }
    if imported.findings.is_empty() {
        text.push_str("  nothing to look at\n");
    } else {
        let _ = writeln!(text, "  to look at: {}", imported.findings.len());
    }
    for finding in &imported.findings {
        let refused = imported
            .refused
            .iter()
            .find(|refused| refused.seq == finding.seq && finding.code == "entry-refused");
        let place = refused.map_or_else(String::new, |refused| {
            format!(", place {} of the file", refused.position)
        });
        let _ = writeln!(text, "    {}", finding_line(finding, &place));
    }
    text
}
