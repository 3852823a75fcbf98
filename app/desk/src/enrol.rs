//! `combgate enrol`: puts a handset on the desk's list from its enrolment card.

use crate::cli;
use crate::desk;
use crate::files::{FileError, read_text};
use crate::import::book_card;
use crate::keys::DeskCheck;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Handset, Journals, SqliteStore, Store, StoreError};
use combgate_core::clerk::ReviewState;
use combgate_core::record::{
    BundleError, ENTRY_BYTES_AT_MOST, Entry, EntryBody, JournalHead, KeyError, KeyId, PublicKey,
};
use combgate_core::units::{Code, Label, TextError};
use serde::Serialize;
use std::path::Path;

/// Longest handset code: it begins every receipt number, and is read aloud.
const CODE_CHARACTERS_AT_MOST: usize = 8;
/// Codes that are given out when none is asked for.
const CODES: std::ops::RangeInclusive<u32> = 1..=9_999;

/// A handset that is not enrolled.
#[derive(Debug, thiserror::Error)]
pub(crate) enum EnrolError {
    /// The card's file.
    #[error(transparent)]
    File(#[from] FileError),
    /// It is no card.
    #[error(transparent)]
    Card(#[from] BundleError),
    /// Its key.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// A code that cannot begin receipt numbers.
    #[error("'{0}' cannot be a handset's code")]
    BadCode(String),
    /// A code itself.
    #[error(transparent)]
    Code(#[from] TextError),
    /// Another handset's code.
    #[error("{0} is the code of another handset")]
    CodeTaken(Code),
    /// It is enrolled under another code.
    #[error("this handset is enrolled as {0} already")]
    OtherCode(Code),
    /// No such handset.
    #[error("no handset {0} is enrolled")]
    Unknown(String),
    /// All codes are used.
    #[error("every code from K1 to K9999 is used")]
    NoCodeLeft,
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for EnrolError {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::Card(_) | Self::Key(_) => {
                "ask the officer to show or send the handset's enrolment card again".to_owned()
            }
            Self::BadCode(_) | Self::Code(_) => format!(
                "choose letters and digits, at most {CODE_CHARACTERS_AT_MOST}, such as --code K7"
            ),
            Self::CodeTaken(_) => {
                "choose another code with --code, or leave it out: a code is never used again"
                    .to_owned()
            }
            Self::OtherCode(code) => {
                format!("go on with {code}; receipts bear it, so it cannot change")
            }
            Self::Unknown(_) => {
                "enrol it from its card with `combgate enrol CARD`, or look at its code again"
                    .to_owned()
            }
            Self::NoCodeLeft => "choose a code with --code".to_owned(),
            Self::Store(error) => error.hint(),
        }
    }
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    name: &'a Label,
    /// RFC 7638 thumbprint, of which officer and clerk compare the first letters.
    key: KeyId,
    key_short: String,
    enrolled_before: bool,
}

/// Enrols the handset of a card.
pub(crate) fn run(folder: &Path, asked: &cli::Enrol) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    // A line end may follow the card.
    let card = read_text(&asked.card, ENTRY_BYTES_AT_MOST + 2).map_err(EnrolError::from)?;
    let (handset, known) = enrol_card(&mut desk.store, &card, asked.code.as_deref())?;
    if asked.json {
        return Ok(Outcome::done(json(&Answer {
            handset: &handset.code,
            name: &handset.name,
            key: handset.key.id(),
            key_short: handset.key.id().short(),
            enrolled_before: known,
        })?));
    }
    let happened = if known {
        "was enrolled before"
    } else {
        "is enrolled"
    };
    Ok(Outcome::done(format!(
        "Handset {code} {happened}: {name}, key {key}.\n\
         Compare the key with what the handset shows: if it differs, this is another handset's card.\n\
         Next: `combgate brief --handset {code} --out FILE`.\n",
        code = handset.code,
        name = handset.name,
        key = handset.key.id().short(),
    )))
}

/// The handset of a code that was typed.
pub(crate) fn known(store: &impl Journals, typed: &str) -> Result<Handset, EnrolError> {
    let unknown = || EnrolError::Unknown(typed.chars().take(Code::MAX).collect());
    let code = Code::new(typed).map_err(|_| unknown())?;
    store.handset(&code)?.ok_or_else(unknown)
}

/// Enrols the handset of a card under a code, or the next free one; says whether it was enrolled
/// before.
pub(crate) fn enrol_card(
    store: &mut SqliteStore,
    card: &str,
    code: Option<&str>,
) -> Result<(Handset, bool), EnrolError> {
    let (card, key, name) = read_card(card)?;
    let asked_for = code.map(checked_code).transpose()?;
    store.atomically(|store| enrol(store, &card, key, name, asked_for))
}

fn read_card(text: &str) -> Result<(Entry, PublicKey, Label), EnrolError> {
    let card = Entry::from_card(text, &DeskCheck)?;
    let EntryBody::Enrolled(enrolled) = card.body() else {
        // Never so, because a card is an enrolment; said rather than assumed.
        return Err(EnrolError::BadCode(card.body().kind().to_owned()));
    };
    let key = PublicKey::try_from(&enrolled.jwk)?;
    let name = enrolled.name.clone();
    Ok((card, key, name))
}

fn checked_code(typed: &str) -> Result<Code, EnrolError> {
    let code = Code::new(typed)?;
    let fits = code.as_str().len() <= CODE_CHARACTERS_AT_MOST
        && code.as_str().chars().all(|c| c.is_ascii_alphanumeric());
    if fits {
        Ok(code)
    } else {
        Err(EnrolError::BadCode(code.to_string()))
    }
}

fn enrol(
    store: &SqliteStore,
    card: &Entry,
    key: PublicKey,
    name: Label,
    asked_for: Option<Code>,
) -> Result<(Handset, bool), EnrolError> {
    if let Some(known) = store.handset_of_key(&key.id())? {
        return match asked_for {
            Some(code) if code != known.code => Err(EnrolError::OtherCode(known.code)),
            _ => Ok((known, true)),
        };
    }
    let code = match asked_for {
        Some(code) if store.handset(&code)?.is_some() => return Err(EnrolError::CodeTaken(code)),
        Some(code) => code,
        None => free_code(store)?,
    };
    let now = desk::now();
    let mut handset = Handset {
        review: ReviewState::new(code.clone()),
        code,
        name,
        key,
        enrolled_at: now,
        head: JournalHead::EMPTY,
    };
    store.add_handset(&handset)?;
    book_card(store, &DeskCheck, &mut handset, card, now.date_naive())?;
    Ok((handset, false))
}

fn free_code(store: &SqliteStore) -> Result<Code, EnrolError> {
    for number in CODES {
        let code = Code::new(&format!("K{number}"))?;
        if store.handset(&code)?.is_none() {
            return Ok(code);
        }
    }
    Err(EnrolError::NoCodeLeft)
}
