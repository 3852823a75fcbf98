//! What went wrong below, as a sentence that says what to do.

mod documents;

pub use documents::of_document;

use crate::handset::Refused;
use crate::platform::database::StoreError;
use crate::platform::drafts::DraftError;
use crate::platform::files::FileError;
use crate::platform::journal::JournalError;
use crate::platform::keys::KeyError;
use crate::platform::locks::LockError;
use crate::speech::{fill, language};
use combgate_core::record::PaymentError;
use combgate_core::units::TextError;
use combgate_ui::figures::{self, Unreadable};
use combgate_ui::words::{Phrase, Word, text};

/// Says on the browser's console what whoever looks at the screen is told elsewhere.
pub fn log(word: Word) {
    leptos::logging::warn!("{}", text(language(), word));
}

/// The sentence for a failure of the store.
pub const fn of_store(error: &StoreError) -> Word {
    match error {
        StoreError::Unavailable => Word::ErrorNoStorage,
        StoreError::Newer => Word::ErrorStorageNewer,
        StoreError::Full => Word::ErrorStorageFull,
        StoreError::Taken | StoreError::Failed => Word::ErrorStorageFailed,
    }
}

/// The sentence for a failure of the journal.
pub const fn of_journal(error: &JournalError) -> Word {
    match error {
        JournalError::Store(error) => of_store(error),
        JournalError::NotNext { .. } => Word::ErrorJournalMoved,
        JournalError::Gap { .. } => Word::ErrorJournalBroken,
        JournalError::AlreadyIssued => Word::ReceiptAlready,
    }
}

/// The sentence for a lock that was not got.
pub const fn of_lock(error: &LockError) -> Word {
    match error {
        LockError::Unsupported => Word::ErrorNoStorage,
        LockError::Busy => Word::ErrorBusy,
    }
}

/// The sentence for a failure of the key.
pub const fn of_key(error: &KeyError) -> Word {
    match error {
        KeyError::Unsupported | KeyError::Failed => Word::ErrorKeyFailed,
        KeyError::Store(error) => of_store(error),
    }
}

/// The sentence for something that was not done.
pub const fn of_refused(refused: &Refused) -> Word {
    match refused {
        Refused::WrongPin => Word::LockWrong,
        Refused::LiftsNothing => Word::LockNotNewer,
        Refused::NoSealingKey => Word::LockNoKey,
        Refused::Vault(_) => Word::ErrorKeyFailed,
        Refused::NoClock => Word::ErrorClock,
        Refused::NotEnrolled => Word::ErrorNoKey,
        Refused::NoBrief => Word::ErrorNoBrief,
        Refused::DayNotOpen => Word::DayNotOpen,
        Refused::DayIsOpen => Word::DayIsOpen,
        Refused::DayIsClosed => Word::DayIsClosed,
        Refused::Damaged(_) => Word::ErrorJournalBroken,
        Refused::Brief(_) => Word::ErrorBriefDamaged,
        Refused::Acknowledgement(_) => Word::ErrorAcknowledgementDamaged,
        Refused::NoReceipt => Word::CancelOnlyReceipts,
        Refused::AlreadyCancelled => Word::CancelAlready,
        Refused::Payment(error) => of_payment(*error),
        Refused::Number(_) => Word::ErrorSeriesFull,
        Refused::Paper(_) | Refused::Document(_) => Word::ErrorEntryRefused,
        Refused::Key(error) => of_key(error),
        Refused::Journal(error) => of_journal(error),
        Refused::Lock(error) => of_lock(error),
        Refused::Store(error) => of_store(error),
    }
}

/// The sentence for a payment that is none.
pub const fn of_payment(error: PaymentError) -> Word {
    match error {
        PaymentError::NothingOwed => Word::PayNothing,
        PaymentError::NotPositive(_) => Word::FigureNotAFigure,
        PaymentError::TooMuch { .. } => Word::PayTooMuch,
        PaymentError::NoReference => Word::PayReferenceNeeded,
    }
}

/// The sentence for a draft that was not kept.
pub const fn of_draft(error: &DraftError) -> Word {
    match error {
        DraftError::Unavailable => Word::ErrorNoStorage,
        DraftError::NotKept | DraftError::Unreadable => Word::ErrorDraftUnsaved,
    }
}

/// The sentence for a file that was not read.
pub fn of_file(error: &FileError) -> String {
    match error {
        FileError::TooLarge { limit, .. } => {
            let megabytes = megabytes(*limit);
            fill(Phrase::ErrorFileTooLarge { limit: &megabytes })
        }
        FileError::NotText => text(language(), Word::ErrorFileNotText).to_owned(),
        FileError::Empty => text(language(), Word::ErrorFileEmpty).to_owned(),
        FileError::Several => text(language(), Word::ErrorFileSeveral).to_owned(),
        FileError::Failed => text(language(), Word::ErrorFileFailed).to_owned(),
    }
}

/// The sentence for a typed figure that was not read, in a unit of `places` decimals.
pub fn of_figure(error: Unreadable, places: usize) -> String {
    let word = match error {
        Unreadable::Empty => Word::FigureEmpty,
        Unreadable::NotAFigure => Word::FigureNotAFigure,
        Unreadable::TooManyDecimals => {
            let places = places.to_string();
            return fill(Phrase::FigureTooManyDecimals { places: &places });
        }
        Unreadable::TooLarge => Word::FigureTooLarge,
    };
    text(language(), word).to_owned()
}

/// The sentence for a code or a line of text that cannot be taken.
pub fn of_text(error: &TextError) -> String {
    let word = match error {
        TextError::Empty => Word::FieldEmpty,
        TextError::TooLong(_, most) => {
            let most = most.to_string();
            return fill(Phrase::FieldTooLong { most: &most });
        }
        TextError::BadCharacter(_) => Word::FieldNoCode,
        TextError::Control(_) => Word::FieldControl,
    };
    text(language(), word).to_owned()
}

/// Bytes in megabytes of 1,000,000 (SI), to one decimal, rounded down.
pub fn megabytes(bytes: u64) -> String {
    figures::decimal(i64::try_from(bytes / 100_000).unwrap_or(i64::MAX), 1, 0)
}
