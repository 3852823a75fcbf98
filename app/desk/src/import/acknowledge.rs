//! The acknowledgement: what arrived, and what the clerk asks, signed for the handset.

use crate::findings::{LookedAt, of_handset};
use crate::keys::{DeskCheck, DeskKey, DeskKeyError};
use crate::outcome::Advice;
use crate::store::{Handset, Store, StoreError};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{AcknowledgementV1, DocumentError, QuestionV1};
use combgate_core::units::{Code, Label, TextError};

/// An acknowledgement that cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum AcknowledgeError {
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// The document.
    #[error("the acknowledgement cannot be written: {0}")]
    Document(#[from] DocumentError),
    /// A finding's words.
    #[error("the acknowledgement cannot be written: {0}")]
    Text(#[from] TextError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for AcknowledgeError {
    fn hint(&self) -> String {
        match self {
            Self::Key(error) => error.hint(),
            Self::Store(error) => error.hint(),
            Self::Document(_) | Self::Text(_) => {
                "the bundles are booked; report this fault, and import them again later for their \
                 acknowledgement: nothing is booked twice"
                    .to_owned()
            }
        }
    }
}

/// Signs what of a handset is booked, and what its officer is asked: every finding that is not
/// settled, in the clerk's own words where there are any.
pub fn acknowledgement(
    store: &impl Store,
    key: &DeskKey,
    handset: &Handset,
    now: DateTime<FixedOffset>,
) -> Result<String, AcknowledgeError> {
    let findings = of_handset(store, &DeskCheck, handset)?;
    let document = AcknowledgementV1 {
        // Set when it is made ready for signing.
        format: String::new(),
        handset: handset.key.id(),
        made_at: now,
        booked_to: handset.head.seq,
        head: handset.head.hash,
        questions: findings
            .iter()
            .filter(|each| each.is_asked())
            .map(question)
            .collect::<Result<_, _>>()?,
    };
    let unsigned = document.unsigned(key.public().id())?;
    Ok(key.sign(&unsigned)? + "\n")
}

fn question(each: &LookedAt) -> Result<QuestionV1, TextError> {
    let finding = &each.finding;
    Ok(QuestionV1 {
        seq: finding.seq,
        finding: Code::new(&finding.code)?,
        sentence: match each.last_step() {
            Some(step) => step.words.clone(),
            None => shortened(&finding.sentence)?,
        },
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
