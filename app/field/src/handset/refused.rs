//! Why this handset did not do what it was asked.

use crate::platform::database::StoreError;
use crate::platform::journal::JournalError;
use crate::platform::keys::KeyError;
use crate::platform::locks::LockError;
use crate::platform::vault::VaultError;
use combgate_core::record::{
    AcknowledgementError, BriefError, DocumentError, EntryFault, IssueError, NumberError,
    PaymentError,
};

/// Why something was not done. Nothing was added to the journal.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// Another PIN.
    #[error("the PIN is another")]
    WrongPin,
    /// The brief is no newer than the one that the lock was put on with.
    #[error("the brief is not newer")]
    LiftsNothing,
    /// The brief does not say for whom to seal.
    #[error("the brief has no key to seal for")]
    NoSealingKey,
    /// Sealing or opening.
    #[error(transparent)]
    Vault(#[from] VaultError),
    /// The clock shows a time that no calendar has.
    #[error("the phone's clock cannot be read")]
    NoClock,
    /// The handset has no key yet.
    #[error("the handset is not enrolled")]
    NotEnrolled,
    /// No brief was taken in.
    #[error("there is no brief")]
    NoBrief,
    /// No day is open.
    #[error("no day is open")]
    DayNotOpen,
    /// A day is open already.
    #[error("a day is open already")]
    DayIsOpen,
    /// The day was closed, and no day is opened twice.
    #[error("the day was closed")]
    DayIsClosed,
    /// There is no receipt at this place.
    #[error("there is no such receipt")]
    NoReceipt,
    /// The receipt was undone before.
    #[error("the receipt is cancelled already")]
    AlreadyCancelled,
    /// A stored entry cannot be read.
    #[error("a stored entry is damaged: {0}")]
    Damaged(#[from] EntryFault),
    /// The brief is not taken.
    #[error(transparent)]
    Brief(#[from] BriefError),
    /// The acknowledgement is not taken.
    #[error(transparent)]
    Acknowledgement(#[from] AcknowledgementError),
    /// The paper cannot be made.
    #[error(transparent)]
    Paper(#[from] IssueError),
    /// What is owed is not paid like this.
    #[error(transparent)]
    Payment(#[from] PaymentError),
    /// The series is used up.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// Too large to be written.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The key.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// The journal.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The right to write.
    #[error(transparent)]
    Lock(#[from] LockError),
    /// The state store.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Refused {
    /// Whether the journal itself is damaged: then what is left of it goes to the desk, and
    /// nothing more is bought with this handset.
    pub const fn is_damage(&self) -> bool {
        matches!(
            self,
            Self::Damaged(_) | Self::Journal(JournalError::Gap { .. })
        )
    }
}
