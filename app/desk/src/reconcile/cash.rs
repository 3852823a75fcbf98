//! `combgate cash`: money given to an officer during a day, or taken back.

use super::ReconcileError;
use crate::cli;
use crate::closing::open_day;
use crate::currency::{self, sum, unit};
use crate::desk;
use crate::outcome::{Failure, Outcome};
use crate::store::{CashGiven, Store};
use crate::typed::count;
use combgate_core::units::{Code, Currency, Label};
use std::path::Path;

/// Keeps cash given.
pub(crate) fn run(folder: &Path, asked: &cli::GiveCash) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    Ok(give(&mut desk.store, asked)?)
}

fn give(store: &mut impl Store, asked: &cli::GiveCash) -> Result<Outcome, ReconcileError> {
    let now = desk::now();
    let currency = currency::of_ledger(store)?;
    let places = currency.map_or(0, Currency::decimals);
    let minor = count(
        "--amount",
        &asked.amount,
        usize::try_from(places).unwrap_or_default(),
    )?;
    if minor == 0 {
        return Err(ReconcileError::Nothing);
    }
    let handset = Code::new(&asked.handset)?;
    if store.handset(&handset)?.is_none() {
        return Err(ReconcileError::NoHandset(handset));
    }
    let cash = CashGiven {
        day: match asked.day {
            Some(day) => day,
            None => open_day(store, now.date_naive())?,
        },
        minor,
        note: asked.note.as_deref().map(Label::new).transpose()?,
        by: Label::new(&asked.by)?,
        at: now,
        handset,
    };
    store.atomically(|store| store.give_cash(&cash))?;
    let way = if minor < 0 {
        "taken back from"
    } else {
        "given to"
    };
    Ok(Outcome::done(format!(
        "{} {} {way} the officer of {} on {} by {}\n",
        unit(currency),
        sum(minor.saturating_abs(), currency),
        cash.handset,
        cash.day,
        cash.by,
    )))
}
