//! An officer's day against what was counted and what came to the store.

pub(crate) mod cash;
pub(crate) mod command;

use crate::outcome::Advice;
use crate::store::{Store, StoreError};
use chrono::NaiveDate;
use combgate_core::clerk::{OfficerDay, PailCount, PailOut, reconcile};
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
    let openings = store.openings_of(day)?;
    let mut days = Vec::new();
    let mut before = None;
    for (code, entry) in &openings {
        let EntryBody::DayOpened(opened) = entry.body() else {
            continue;
        };
        if handset.is_some_and(|only| only != code) {
            continue;
        }
        // Cash given counts once, even if the day was opened twice.
        let given = if before.replace(code) == Some(code) {
            0
        } else {
            given(store, code, day)?
        };
        let mut pails = PailCount::default();
        for (stands, many) in store.pails_stand(code, day)? {
            pails.count(stands, many);
        }
        let moved = store.moved(code, entry.seq())?;
        let officer_day = reconcile(opened, &moved, given, pails, || {
            on_the_way(store, code, day)
        })?;
        days.push(HandsetDay {
            handset: code.clone(),
            officer_day,
        });
    }
    Ok(days)
}

/// Cash given on a day, minor units.
fn given(store: &impl Store, handset: &Code, day: NaiveDate) -> Result<i64, StoreError> {
    let given = store.cash_given(handset, day)?;
    let minor = given.iter().map(|cash| cash.minor);
    Ok(minor.fold(0, |sum: i64, minor| sum.saturating_add(minor)))
}

fn on_the_way(
    store: &impl Store,
    handset: &Code,
    day: NaiveDate,
) -> Result<Vec<PailOut>, StoreError> {
    let rows = store.on_the_way_of(handset, day)?.into_iter();
    let out = rows.map(|row| PailOut {
        number: row.number,
        paper: row.paper,
    });
    Ok(out.collect())
}
