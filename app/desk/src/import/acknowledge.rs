//! The acknowledgement: what arrived, and what the clerk asks, signed for the handset.

use super::Imported;
use crate::keys::{DeskKey, DeskKeyError};
use crate::outcome::Advice;
use crate::store::FindingRow;
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{AcknowledgementV1, DocumentError, QuestionV1};
use combgate_core::units::{Code, Label, TextError};

/// An acknowledgement that cannot be made.
#[derive(Debug, thiserror::Error)]
pub(super) enum AcknowledgeError {
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// The document.
    #[error("the acknowledgement cannot be written: {0}")]
    Document(#[from] DocumentError),
    /// A finding's words.
    #[error("the acknowledgement cannot be written: {0}")]
    Text(#[from] TextError),
}

impl Advice for AcknowledgeError {
    fn hint(&self) -> String {
        match self {
            Self::Key(error) => error.hint(),
            Self::Document(_) | Self::Text(_) => {
                "the bundles are booked; report this fault, and import them again later for their \
                 acknowledgement: nothing is booked twice"
                    .to_owned()
            }
        }
    }
}

/// Signs what a handset's bundles came to; all of them are of one handset.
pub(super) fn acknowledgement(
    key: &DeskKey,
    imported: &[&Imported],
    now: DateTime<FixedOffset>,
) -> Result<Option<String>, AcknowledgeError> {
    let Some(last) = imported.last() else {
        return Ok(None);
    };
    let mut findings: Vec<&FindingRow> = imported
        .iter()
        .flat_map(|imported| imported.questions())
        .collect();
    findings.sort();
    findings.dedup();
    let document = AcknowledgementV1 {
        // Set when it is made ready for signing.
        format: String::new(),
        handset: last.handset.key.id(),
        made_at: now,
        booked_to: last.handset.head.seq,
        head: last.handset.head.hash,
        questions: findings
            .into_iter()
            .map(question)
            .collect::<Result<_, _>>()?,
    };
    let unsigned = document.unsigned(key.public().id())?;
    Ok(Some(key.sign(&unsigned)? + "\n"))
}

fn question(finding: &FindingRow) -> Result<QuestionV1, TextError> {
    Ok(QuestionV1 {
        seq: finding.seq,
        finding: Code::new(&finding.code)?,
        sentence: shortened(&finding.sentence)?,
    })
}

/// A sentence may quote what a stranger wrote: what a line of text cannot hold is left out.
fn shortened(sentence: &str) -> Result<Label, TextError> {
    let printable: String = sentence
        .chars()
        .filter(|character| Label::new(&format!("-{character}-")).is_ok())
        .take(Label::MAX)
        .collect();
    Label::new(&printable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_that_quotes_a_stranger_still_fits() {
        let long = "a\u{202E}b\nc".to_owned() + &"d".repeat(500);
        let kept = shortened(&long).unwrap();
        assert!(kept.as_str().starts_with("abcd"), "{kept}");
        assert_eq!(kept.as_str().chars().count(), 400);
        assert_eq!(shortened("as it is").unwrap().as_str(), "as it is");
    }
}
