//! An officer's day against what was counted and what came to the store.

pub(crate) mod cash;
pub(crate) mod command;

use crate::outcome::Advice;
use crate::store::{PaperKind, Store, StoreError};
use chrono::NaiveDate;
use combgate_core::clerk::{DayPail, OfficerDay, reconcile};
use combgate_core::record::EntryBody;
use combgate_core::units::{Code, TextError};

/// An officer's day with the handset it was bought with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HandsetDay {
    /// The handset.
    pub handset: Code,
    /// The day.
    pub officer_day: OfficerDay,
}

/// A day that cannot be reconciled.
#[derive(Debug, thiserror::Error)]
pub enum ReconcileError {
    /// No such handset.
    #[error("no handset {0} is enrolled")]
    NoHandset(Code),
    /// A text.
    #[error(transparent)]
    Text(#[from] TextError),
    /// A sum that is none.
    #[error(transparent)]
    Figure(#[from] crate::FigureError),
    /// No cash.
    #[error("nothing was given")]
    Nothing,
    /// The currency.
    #[error(transparent)]
    Currency(#[from] crate::currency::CurrencyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ReconcileError {
    fn hint(&self) -> String {
        match self {
            Self::NoHandset(_) | Self::Text(_) => {
                "give the code of an enrolled handset, and a name".to_owned()
            }
            Self::Figure(error) => error.hint(),
            Self::Nothing => "give the sum, such as 5000, or -2000 for cash taken back".to_owned(),
            Self::Currency(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// Every officer's day of a date, in order of handset; one handset alone, if named. A day that was
/// opened twice stands twice.
pub fn officer_days(
    store: &impl Store,
    day: NaiveDate,
    handset: Option<&Code>,
) -> Result<Vec<HandsetDay>, ReconcileError> {
    if let Some(code) = handset
        && store.handset(code)?.is_none()
    {
        return Err(ReconcileError::NoHandset(code.clone()));
    }
    let pails = store.pails_on(day..=day)?;
    let openings = store.openings_of(day)?;
    let mut days = Vec::new();
    for known in store.handsets()? {
        if handset.is_some_and(|only| *only != known.code) {
            continue;
        }
        let own: Vec<DayPail> = pails
            .iter()
            .filter(|pail| pail.at.handset == known.code)
            .map(|pail| DayPail {
                number: pail.number.clone(),
                paper: pail.paper.clone(),
                held: pail.kind == PaperKind::Slip,
                cancelled: pail.cancelled,
                received: pail.received.is_some(),
            })
            .collect();
        let given = store.cash_given(&known.code, day)?;
        let mut given = given
            .iter()
            .fold(0, |sum: i64, cash| sum.saturating_add(cash.minor));
        for (_, opened) in openings.iter().filter(|(code, _)| *code == known.code) {
            let last = match store.end_after(&known.code, opened.seq())? {
                Some(next) if matches!(next.body(), EntryBody::DayClosed(_)) => next.seq(),
                Some(next) => next.seq().saturating_sub(1),
                None => known.head.seq,
            };
            let entries = store.booked_among(&known.code, opened.seq()..=last)?;
            if let Some(officer_day) = reconcile(&entries, given, &own) {
                days.push(HandsetDay {
                    handset: known.code.clone(),
                    officer_day,
                });
            }
            // Cash given counts once, even if the day was opened twice.
            given = 0;
        }
    }
    Ok(days)
}
