//! Carrying out a reversal that a clerk decided on: a payment of the desk on the receipt, or what the
//! receipt still owes. Nothing is erased; the reversal names the finding, and one of a debt can
//! itself be undone.
//!
//! Who decided it does not carry it out. What an officer signed is not the desk's to undo: for that
//! there is the officer's own cancellation.

use super::looked_at::{LookedAt, of_all};
use crate::accounts::{AccountError, Right};
use crate::closing::open_day;
use crate::keys::DeskCheck;
use crate::outcome::Advice;
use crate::payments::{PayError, take_back};
use crate::store::{
    Account, Act, OfWhat, Paper, PaperKind, PaymentRow, Reversal, Reversed, Step, Store, StoreError,
};
use chrono::{DateTime, FixedOffset};
use combgate_core::clerk::{Another, PersonError};
use combgate_core::record::ReceiptNumber;
use combgate_core::units::{Label, TextError};

/// A reversal that is not carried out.
#[derive(Debug, thiserror::Error)]
pub enum ReverseError {
    /// No such finding.
    #[error("there is no finding {0}")]
    Unknown(String),
    /// Nobody decided on it.
    #[error("it is not decided that what stands on this finding is reversed")]
    NotDecided,
    /// Not on a receipt.
    #[error("this finding is not on a receipt, so nothing at the desk stands on it")]
    NoReceipt,
    /// Nothing to reverse.
    #[error("nothing of what was asked for stands on receipt {0}")]
    Nothing(ReceiptNumber),
    /// No reversal of a debt to undo.
    #[error("no reversal of a debt stands because of this finding")]
    NothingToUndo,
    /// Who did the earlier part.
    #[error(transparent)]
    Person(#[from] PersonError),
    /// Not theirs to do.
    #[error("{0} may not reverse")]
    NotTheirs(combgate_core::units::Code),
    /// A payment.
    #[error(transparent)]
    Pay(#[from] PayError),
    /// The reason.
    #[error("the words cannot be kept: {0}")]
    Words(#[from] TextError),
    /// Who does it.
    #[error(transparent)]
    Account(#[from] AccountError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ReverseError {
    fn hint(&self) -> String {
        match self {
            Self::Unknown(_) => {
                "see what there is with `combgate findings --all`, by its identity".to_owned()
            }
            Self::NotDecided => {
                "decide on it first with `combgate settle FINDING --step reverse`".to_owned()
            }
            Self::NoReceipt => {
                "ask the officer to cancel the paper: what an officer signed, an officer undoes"
                    .to_owned()
            }
            Self::Nothing(_) => {
                "look at the receipt with `combgate findings --all --json` and `combgate pay list`"
                    .to_owned()
            }
            Self::NothingToUndo => "nothing is to be done".to_owned(),
            Self::Person(_) => {
                "who decides on a reversal does not carry it out, and who carried it out does not \
                 undo it"
                    .to_owned()
            }
            Self::NotTheirs(_) => "ask a bookkeeper or an approver".to_owned(),
            Self::Pay(error) => error.hint(),
            Self::Words(_) => "write one line that says why".to_owned(),
            Self::Account(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// What of the desk stands on a receipt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// The receipt.
    pub paper: Paper,
    /// Payments of the desk that are not reversed.
    pub payments: Vec<PaymentRow>,
    /// What it still owes, minor units; nothing where that is reversed already.
    pub debt_minor: i64,
}

/// What is to be reversed of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wanted {
    /// The desk's payments.
    pub payments: bool,
    /// What is owed once they are reversed.
    pub debt: bool,
}

/// What of the desk stands on the receipt that a finding is on; `None` where it is on none.
pub fn standing_on(store: &impl Store, each: &LookedAt) -> Result<Option<Standing>, StoreError> {
    let paper = store.paper(&each.handset, each.finding.seq)?;
    let Some(paper) = paper.filter(|paper| paper.kind == PaperKind::Receipt) else {
        return Ok(None);
    };
    let mut payments = store.payments_on_receipt(&paper.handset, paper.seq)?;
    payments.retain(|payment| payment.reversed.is_none());
    Ok(Some(Standing {
        debt_minor: paper.facts().owed_minor().max(0),
        payments,
        paper,
    }))
}

fn found(store: &impl Store, id: &str) -> Result<LookedAt, ReverseError> {
    of_all(store, &DeskCheck)?
        .into_iter()
        .find(|each| each.id() == id)
        .ok_or_else(|| ReverseError::Unknown(id.chars().take(32).collect()))
}

fn act(by: &Account, now: DateTime<FixedOffset>) -> Result<Act, ReverseError> {
    if !by.role.may(Right::ReversePayments) {
        return Err(ReverseError::NotTheirs(by.name.clone()));
    }
    Ok(Act {
        by: Label::new(by.name.as_str())?,
        at: now,
    })
}

/// Carries a reversal out; gives the finding as it then stands.
pub fn carry_out<S: Store>(
    store: &mut S,
    id: &str,
    wanted: Wanted,
    because: &str,
    by: &Account,
    now: DateTime<FixedOffset>,
) -> Result<LookedAt, ReverseError> {
    let act = act(by, now)?;
    let because = Label::new(because)?;
    store.atomically(|store| {
        let each = found(store, id)?;
        let step = each
            .last_step()
            .filter(|step| step.step == Step::Reverse)
            .ok_or(ReverseError::NotDecided)?;
        let who = Label::new(step.account.as_str())?;
        Another::than(act.by.clone(), [(&who, "decided on this reversal")])?;
        let standing = standing_on(store, &each)?.ok_or(ReverseError::NoReceipt)?;
        let reversed = Reversed {
            day: open_day(store, now.date_naive())?,
            act: act.clone(),
            because: because.clone(),
        };
        let keep = |of: OfWhat, minor: i64| {
            store.keep_reversal(&Reversal {
                id: 0,
                handset: each.handset.clone(),
                seq: each.finding.seq,
                code: each.finding.code.clone(),
                sentence: each.finding.sentence.clone(),
                of,
                minor,
                day: reversed.day,
                act: act.clone(),
                because: because.clone(),
                undone: None,
            })
        };
        let mut any = false;
        for payment in standing.payments.iter().filter(|_| wanted.payments) {
            take_back(store, payment, &reversed)?;
            keep(OfWhat::Payment(payment.id), payment.minor)?;
            any = true;
        }
        if wanted.debt {
            // Asked anew: a payment that was reversed is owed again.
            let owed = standing_on(store, &each)?.map_or(0, |standing| standing.debt_minor);
            if owed > 0 {
                // Money that a list is about to pay is no debt to take away.
                if let Some(payment) = listed(store, &standing.paper)? {
                    return Err(PayError::Listed {
                        receipt: payment.receipt,
                        list: payment.list,
                    }
                    .into());
                }
                keep(OfWhat::Debt, owed)?;
                any = true;
            }
        }
        if !any {
            return Err(ReverseError::Nothing(standing.paper.number));
        }
        found(store, id)
    })
}

/// A payment that stands on a list and did not go out.
fn listed(store: &impl Store, paper: &Paper) -> Result<Option<PaymentRow>, StoreError> {
    let payments = store.payments_on_receipt(&paper.handset, paper.seq)?;
    Ok(payments
        .into_iter()
        .find(|payment| payment.reversed.is_none() && payment.settled.is_none()))
}

/// Undoes the reversal of a debt: it is owed again.
pub fn undo<S: Store>(
    store: &mut S,
    id: &str,
    because: &str,
    by: &Account,
    now: DateTime<FixedOffset>,
) -> Result<LookedAt, ReverseError> {
    let act = act(by, now)?;
    let because = Label::new(because)?;
    store.atomically(|store| {
        let each = found(store, id)?;
        let reversal = each
            .reversals
            .iter()
            .find(|reversal| reversal.is_standing_debt())
            .ok_or(ReverseError::NothingToUndo)?;
        Another::than(act.by.clone(), [(&reversal.act.by, "reversed this debt")])?;
        let undone = Reversed {
            day: open_day(store, now.date_naive())?,
            act,
            because,
        };
        store.undo_reversal(reversal.id, &undone)?;
        found(store, id)
    })
}
