//! Why a pail is not received.

use crate::desk::DeskError;
use crate::outcome::{Advice, Exit};
use crate::store::StoreError;
use crate::typed::FigureError;
use chrono::NaiveDate;
use combgate_core::clerk::PersonError;
use combgate_core::intake::WeightError;
use combgate_core::record::{NumberError, ReceiptNumber};
use combgate_core::units::{Code, Label, TextError};

/// A pail that is not received.
#[derive(Debug, thiserror::Error)]
pub enum ReceiveError {
    /// The buyer cannot receive.
    #[error(transparent)]
    Person(#[from] PersonError),
    /// Received before.
    #[error("pail {pail} was received on {day} by {by}")]
    Twice {
        /// Which pail.
        pail: Code,
        /// When.
        day: NaiveDate,
        /// By whom.
        by: Label,
    },
    /// It stands on several papers.
    #[error("pail {pail} is expected from several papers: {}", listed(papers))]
    Several {
        /// Which pail.
        pail: Code,
        /// Which papers.
        papers: Vec<ReceiptNumber>,
    },
    /// The paper named does not name the pail.
    #[error("pail {pail} does not stand on paper {paper}, or that paper is not booked")]
    NotOnPaper {
        /// Which pail.
        pail: Code,
        /// Which paper.
        paper: ReceiptNumber,
    },
    /// Weighed again, but never weighed.
    #[error("pail {0} was never received, so it cannot be weighed again")]
    NeverReceived(Code),
    /// A weight that cannot be.
    #[error(transparent)]
    Weight(#[from] WeightError),
    /// A figure.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// A text.
    #[error("{option}: {error}")]
    Text {
        /// Which option.
        option: &'static str,
        /// What is wrong with it.
        error: TextError,
    },
    /// A paper's number.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// The desk.
    #[error(transparent)]
    Desk(#[from] DeskError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ReceiveError {
    fn hint(&self) -> String {
        match self {
            Self::Person(_) => "give the name of who weighs it now with --by; it cannot be who \
                                bought it"
                .to_owned(),
            Self::Twice { .. } => {
                "to weigh it again, say why with --again REASON; if it came with \
                                   other honey whose bundle is not here yet, give --no-paper"
                    .to_owned()
            }
            Self::Several { .. } => "say which with --paper NUMBER".to_owned(),
            Self::NotOnPaper { .. } => {
                "look at the number of the paper, and import the officer's bundles".to_owned()
            }
            Self::NeverReceived(_) => "leave --again out".to_owned(),
            Self::Weight(_) => "read the display again, and look at the interval on the scale's \
                                plate"
                .to_owned(),
            Self::Figure(error) => error.hint(),
            Self::Text { .. } => "write it again by hand".to_owned(),
            Self::Number(_) => "copy the number from the paper".to_owned(),
            Self::Desk(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }

    fn exit(&self) -> Exit {
        match self {
            Self::Person(_) | Self::Twice { .. } => Exit::Questioned,
            _ => Exit::Unusable,
        }
    }
}

fn listed(papers: &[ReceiptNumber]) -> String {
    let papers: Vec<String> = papers.iter().map(ToString::to_string).collect();
    papers.join(", ")
}
