//! What a clerk does with a finding: written down with reason, name and moment, never taken back.

use super::looked_at::{LookedAt, of_all};
use crate::accounts::{AccountError, Right, account_name, active};
use crate::keys::DeskCheck;
use crate::outcome::Advice;
use crate::store::{Account, Clerks, FindingStep, Step, Store, StoreError};
use chrono::{DateTime, FixedOffset};
use combgate_core::units::{Label, TextError};

/// A step that is not taken.
#[derive(Debug, thiserror::Error)]
pub enum SettleError {
    /// No such finding.
    #[error("there is no finding {0}")]
    Unknown(String),
    /// No reason, or one that cannot be kept.
    #[error("the words cannot be kept: {0}")]
    Words(#[from] TextError),
    /// Who does it.
    #[error(transparent)]
    Account(#[from] AccountError),
    /// Not theirs to do.
    #[error("{0} may not settle findings")]
    NotTheirs(combgate_core::units::Code),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for SettleError {
    fn hint(&self) -> String {
        match self {
            Self::Unknown(_) => {
                "it may be gone because what was missing came; see what there is with `combgate \
                 findings --all`"
                    .to_owned()
            }
            Self::Words(_) => {
                "write one line that says why, or what the officer is asked".to_owned()
            }
            Self::Account(error) => error.hint(),
            Self::NotTheirs(_) => "ask a bookkeeper".to_owned(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// Keeps a step on findings, on all of them or on none; gives each as it then stands, in their order.
pub fn take_step(
    store: &mut impl Store,
    ids: &[&str],
    step: Step,
    words: &str,
    by: &Account,
    now: DateTime<FixedOffset>,
) -> Result<Vec<LookedAt>, SettleError> {
    if !by.role.may(Right::Settle) {
        return Err(SettleError::NotTheirs(by.name.clone()));
    }
    let words = Label::new(words)?;
    store.atomically(|store| {
        let mut all = of_all(store, &DeskCheck)?;
        let mut settled = Vec::new();
        for (place, id) in ids.iter().enumerate() {
            // Named twice is meant once.
            if ids[..place].contains(id) {
                continue;
            }
            let found = all
                .iter()
                .position(|each| each.id() == *id)
                .ok_or_else(|| SettleError::Unknown(id.chars().take(32).collect()))?;
            let mut found = all.swap_remove(found);
            let taken = FindingStep {
                handset: found.handset.clone(),
                seq: found.finding.seq,
                code: found.finding.code.clone(),
                sentence: found.finding.sentence.clone(),
                step,
                words: words.clone(),
                account: by.name.clone(),
                taken_at: now,
            };
            store.take_step(&taken)?;
            found.steps.push(taken);
            settled.push(found);
        }
        Ok(settled)
    })
}

/// The account of a name that was given on the command line.
pub(super) fn by(store: &impl Clerks, typed: &str) -> Result<Account, SettleError> {
    let name = account_name(typed)?;
    active(store, &name)?.ok_or_else(|| AccountError::Unknown(name).into())
}
