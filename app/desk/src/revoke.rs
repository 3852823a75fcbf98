//! `combgate revoke`: from when on a handset is no longer believed.
//!
//! What it wrote before stands. What it wrote from then on stays booked, so that nothing is lost,
//! and every such entry is a finding.

use crate::accounts::{AccountError, Right, account_name, active};
use crate::cli;
use crate::desk;
use crate::enrol::{EnrolError, known};
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Account, Cause, Revocation, Store, StoreError, word_of};
use chrono::{DateTime, FixedOffset};
use combgate_core::units::{Code, Label, TextError};
use serde::Serialize;
use std::path::Path;

/// A handset that stays in use.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RevokeError {
    /// Which handset.
    #[error(transparent)]
    Handset(#[from] EnrolError),
    /// Who says so.
    #[error(transparent)]
    Account(#[from] AccountError),
    /// Not theirs to say.
    #[error("{0} may not take a handset out of use")]
    NotTheirs(Code),
    /// A handset cannot take its own place.
    #[error("handset {0} cannot take its own place")]
    Itself(Code),
    /// Replaced by nothing.
    #[error("it is not said which handset takes its place")]
    NoReplacement,
    /// Before it was there.
    #[error("the handset was enrolled at {0} only")]
    BeforeEnrolment(DateTime<FixedOffset>),
    /// Words.
    #[error("the words cannot be kept: {0}")]
    Words(#[from] TextError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for RevokeError {
    fn hint(&self) -> String {
        match self {
            Self::Handset(error) => error.hint(),
            Self::Account(error) => error.hint(),
            Self::NotTheirs(_) => "ask a bookkeeper or an approver".to_owned(),
            Self::Itself(_) | Self::NoReplacement => {
                "enrol the new handset first, then name its code as the replacement".to_owned()
            }
            Self::BeforeEnrolment(_) => {
                "choose a later moment; to disbelieve all of it, choose the moment of enrolment"
                    .to_owned()
            }
            Self::Words(_) => "write one line that says what happened".to_owned(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// What is said of a handset.
pub(crate) struct Said<'a> {
    pub(crate) handset: &'a str,
    pub(crate) from_at: DateTime<FixedOffset>,
    pub(crate) cause: Cause,
    pub(crate) replacement: Option<&'a str>,
    pub(crate) words: &'a str,
}

/// Takes a handset out of use.
pub(crate) fn revoke(
    store: &mut impl Store,
    said: &Said<'_>,
    by: &Account,
    now: DateTime<FixedOffset>,
) -> Result<Revocation, RevokeError> {
    if !by.role.may(Right::Revoke) {
        return Err(RevokeError::NotTheirs(by.name.clone()));
    }
    let words = Label::new(said.words)?;
    store.atomically(|store| {
        let handset = known(store, said.handset)?;
        let replacement = said
            .replacement
            .map(|typed| known(store, typed))
            .transpose()?
            .map(|handset| handset.code);
        if replacement.as_ref() == Some(&handset.code) {
            return Err(RevokeError::Itself(handset.code));
        }
        if said.cause == Cause::Replaced && replacement.is_none() {
            return Err(RevokeError::NoReplacement);
        }
        // Its own first entry may be older than its enrolment at the desk.
        let first = store.first_moment(&handset.code)?;
        let since = first.map_or(handset.enrolled_at, |first| first.min(handset.enrolled_at));
        if said.from_at < since {
            return Err(RevokeError::BeforeEnrolment(since));
        }
        let revocation = Revocation {
            handset: handset.code,
            from_at: said.from_at,
            cause: said.cause,
            replacement,
            words,
            account: by.name.clone(),
            made_at: now,
        };
        store.revoke(&revocation)?;
        Ok(revocation)
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    from: DateTime<FixedOffset>,
    cause: String,
    replacement: Option<&'a Code>,
}

/// The command.
pub(crate) fn run(folder: &Path, asked: &cli::Revoke) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let name = account_name(&asked.by)?;
    let by = active(&desk.store, &name)?.ok_or(AccountError::Unknown(name))?;
    let said = Said {
        handset: &asked.handset,
        from_at: asked.from,
        cause: asked.cause,
        replacement: asked.replacement.as_deref(),
        words: &asked.words,
    };
    let revocation = revoke(&mut desk.store, &said, &by, desk::now())?;
    Ok(Outcome::done(if asked.json {
        json(&Answer {
            handset: &revocation.handset,
            from: revocation.from_at,
            cause: word_of(&revocation.cause),
            replacement: revocation.replacement.as_ref(),
        })?
    } else {
        format!(
            "Handset {} is out of use from {} on: its later entries are findings, its earlier \
             ones stand.\n",
            revocation.handset,
            revocation.from_at.to_rfc3339()
        )
    }))
}
