//! The ledger as the desk needs it, whatever keeps it: a small [`Store`] that does all or nothing,
//! and a [`Ledger`] in three parts to work on within.
//!
//! [`sqlite`] keeps it in one file. Another keeper must pass the same suite, `tests/store.rs`.

mod journal;
mod papers;
mod register;
pub mod sqlite;

pub use journal::{Evidence, Journal, Noted, Waiting};
pub use papers::{BookedReceipt, Papers};
pub use register::{DocumentKind, GivenBrief, Handset, Register};

use crate::outcome::Advice;

/// What keeps the ledger.
pub trait Store {
    /// Does work on the ledger: all of it stays, or, when it fails or the power does, none of it.
    fn in_one<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&dyn Ledger) -> Result<T, E>,
    ) -> Result<T, E>;
}

/// The ledger within one piece of work.
pub trait Ledger: Register + Journal + Papers {}

impl<L: Register + Journal + Papers> Ledger for L {}

/// A ledger that cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Another program holds it.
    #[error("the ledger is in use by another program")]
    Busy,
    /// Written by a newer program.
    #[error("the ledger was written by a newer program than this one")]
    Newer,
    /// The machine refused.
    #[error("the ledger cannot be read or written: {0}")]
    Refused(String),
    /// What stands in it is not what this program writes.
    #[error("the ledger is damaged: {what} ({detail})")]
    Damaged {
        /// Which part.
        what: &'static str,
        /// In which way.
        detail: String,
    },
}

impl StoreError {
    pub(crate) fn damaged(what: &'static str, detail: impl std::fmt::Display) -> Self {
        Self::Damaged {
            what,
            detail: detail.to_string(),
        }
    }
}

impl Advice for StoreError {
    fn hint(&self) -> String {
        match self {
            Self::Busy => "wait until the other program is done, then give the command again",
            Self::Newer => "update this program, then give the command again",
            Self::Refused(_) => {
                "see that the disk has room and that you may write in the desk's folder, then give \
                 the command again; nothing was half written"
            }
            Self::Damaged { .. } => {
                "keep the folder as it is, and go on with a copy made before; bundles may be \
                 imported again"
            }
        }
        .to_owned()
    }
}
