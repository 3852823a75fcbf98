//! Findings: what is open, the evidence for it, and what a clerk does with it.

mod command;
mod evidence;
mod looked_at;
pub mod reverse;
mod settle;

pub(crate) use command::{list, reverse as run_reverse, settle};
pub(crate) use evidence::opening_before;
pub use evidence::{Side, Value, What, evidence};
pub use looked_at::{LookedAt, of_all, of_handset};
pub(crate) use looked_at::{after_revocation, disbelieved};
pub use settle::{SettleError, take_step};

use crate::store::FindingRow;
use combgate_core::clerk::FindingWeight;
use combgate_core::record::ReceiptNumber;
use serde::Serialize;

/// A finding in an answer.
#[derive(Serialize)]
pub(crate) struct FindingAnswer<'a> {
    seq: u64,
    number: Option<&'a ReceiptNumber>,
    code: &'a str,
    weight: &'static str,
    sentence: &'a str,
}

impl<'a> FindingAnswer<'a> {
    pub(crate) fn of(finding: &'a FindingRow) -> Self {
        Self {
            seq: finding.seq,
            number: finding.number.as_ref(),
            code: &finding.code,
            weight: weight_word(finding.weight),
            sentence: &finding.sentence,
        }
    }
}

/// A finding on one line; `place` says more of where it is.
pub(crate) fn finding_line(finding: &FindingRow, place: &str) -> String {
    let paper = finding
        .number
        .as_ref()
        .map_or_else(String::new, |number| format!(", {number}"));
    format!(
        "{:<8}  entry {}{place}{paper}: {} [{}]",
        weight_word(finding.weight),
        finding.seq,
        finding.sentence,
        finding.code
    )
}

/// The word for a weight, in tables, answers and on paper.
pub(crate) const fn weight_word(weight: FindingWeight) -> &'static str {
    match weight {
        FindingWeight::Note => "note",
        FindingWeight::Question => "question",
        FindingWeight::Serious => "serious",
    }
}
