//! What the code on a receipt or slip is worth.

use crate::cli;
use crate::files::{FileError, read_text};
use crate::keys::DeskCheck;
use crate::outcome::{Advice, Exit, Failure, Outcome, json};
use combgate_core::intake::Decision;
use combgate_core::record::{
    DocumentError, HANDSETS_BYTES_AT_MOST, Handsets, HandsetsError, KeyId, Stub, StubError, StubV1,
};
use combgate_core::units::{Code, Label};
use combgate_ui::figures::kilograms;
use combgate_ui::sentences::money;
use serde::Serialize;
use std::fmt::Write;

/// A code that is no stub, or that nobody on the list signed.
#[derive(Debug, thiserror::Error)]
pub(super) enum StubProblem {
    /// The list cannot be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// The key asked for is none.
    #[error("'{0}' is no key")]
    BadKey(String, DocumentError),
    /// It is no stub.
    #[error(transparent)]
    Unusable(#[from] StubError),
    /// The list, or what it says of the stub.
    #[error(transparent)]
    List(#[from] HandsetsError),
}

impl Advice for StubProblem {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::BadKey(..) => {
                "give the whole key, 43 characters, as `combgate handsets` prints it".to_owned()
            }
            Self::Unusable(_) => "scan the code again, and give its text as it is".to_owned(),
            Self::List(HandsetsError::Jws(_) | HandsetsError::Document(_)) => {
                "ask the cooperative for its list of handsets again".to_owned()
            }
            Self::List(_) => "do not believe the paper before the desk has looked at it".to_owned(),
        }
    }

    fn exit(&self) -> Exit {
        match self {
            Self::List(HandsetsError::Jws(_) | HandsetsError::Document(_))
            | Self::File(_)
            | Self::BadKey(..)
            | Self::Unusable(_) => Exit::Unusable,
            Self::List(_) => Exit::Questioned,
        }
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    /// Whether a list was given and a handset on it signed the stub.
    proven: bool,
    handset: Option<&'a Code>,
    cooperative: Option<&'a Label>,
    key: KeyId,
    stub: &'a StubV1,
}

/// Checks a stub by the desk's list, if there is one; without it nothing is proven.
pub(super) fn run(asked: &cli::Verify, text: &str) -> Result<Outcome, Failure> {
    let stub = Stub::parse(text).map_err(StubProblem::from)?;
    let handsets = list(asked)?;
    let handset = handsets
        .as_ref()
        .map(|list| list.verify(&stub, &DeskCheck))
        .transpose()
        .map_err(StubProblem::from)?;
    let cooperative = handsets.as_ref().map(|list| &list.payload().cooperative);
    let answer = Answer {
        proven: handset.is_some(),
        handset,
        cooperative,
        key: stub.kid(),
        stub: stub.says(),
    };
    let exit = if answer.proven {
        Exit::Done
    } else {
        Exit::Questioned
    };
    let text = if asked.json {
        json(&answer)?
    } else {
        words(asked, &answer)
    };
    Ok(Outcome {
        exit,
        ..Outcome::done(text)
    })
}

fn list(asked: &cli::Verify) -> Result<Option<Handsets>, StubProblem> {
    let Some(path) = &asked.handsets else {
        return Ok(None);
    };
    let desk = asked
        .desk_key
        .as_ref()
        .map(|typed| {
            KeyId::try_from(typed.clone())
                .map_err(|error| StubProblem::BadKey(typed.clone(), error))
        })
        .transpose()?;
    // A line end may follow the list.
    let text = read_text(path, HANDSETS_BYTES_AT_MOST + 2)?;
    Ok(Some(Handsets::read(&text, desk, &DeskCheck)?))
}

fn words(asked: &cli::Verify, answer: &Answer<'_>) -> String {
    let stub = answer.stub;
    let what = match stub.decision {
        Decision::Buy => "receipt",
        Decision::Hold => "slip of a hold",
        Decision::Refuse => "slip of a refusal",
    };
    let mut text = format!(
        "{}: {what} {}, {}\n",
        asked.file.display(),
        stub.number,
        stub.day
    );
    // Writing to a string cannot fail.
    if let Some(net) = stub.net_g {
        let _ = writeln!(text, "net      {} kg", kilograms(net.get()));
    }
    if let Some(sum) = &stub.money {
        let _ = writeln!(text, "paid     {}", money(sum.paid_minor, sum.currency));
        let _ = writeln!(text, "owed     {}", money(sum.owed_minor, sum.currency));
    }
    let _ = writeln!(text, "entry    {}", stub.entry);
    match answer.handset.zip(answer.cooperative) {
        Some((handset, cooperative)) => {
            let _ = writeln!(
                text,
                "signed   by handset {handset} of {cooperative}, key {}",
                answer.key.short()
            );
            if asked.desk_key.is_none() {
                text.push_str(
                    "Whose list it is, only its desk key can say: give it with --desk-key.\n",
                );
            }
        }
        None => {
            let _ = writeln!(
                text,
                "signed   unproven: it names key {}\n\
                 Give the cooperative's list of handsets with --handsets FILE.",
                answer.key.short()
            );
        }
    }
    text
}
