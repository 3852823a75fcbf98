//! `combgate cash`: money given to an officer during a day, or taken back.

use super::ReconcileError;
use crate::cli;
use crate::closing::open_day;
use crate::currency::{self, sum, unit};
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Act, CashGiven, Store};
use crate::typed::count;
use chrono::NaiveDate;
use combgate_core::units::{Code, Currency, Label};
use serde::Serialize;
use std::path::Path;

/// Cash given, as it was typed.
pub(crate) struct Typed<'a> {
    pub(crate) handset: &'a str,
    pub(crate) amount: &'a str,
    pub(crate) day: Option<NaiveDate>,
    pub(crate) note: Option<&'a str>,
    pub(crate) act: Act,
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    day: NaiveDate,
    currency: Option<Currency>,
    minor: i64,
    note: Option<&'a Label>,
    by: &'a Label,
}

/// The command.
pub(crate) fn run(folder: &Path, asked: &cli::GiveCash) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let typed = Typed {
        handset: &asked.handset,
        amount: &asked.amount,
        day: asked.day,
        note: asked.note.as_deref(),
        act: Act {
            by: Label::new(&asked.by).map_err(ReconcileError::from)?,
            at: desk::now(),
        },
    };
    let cash = give(&mut desk.store, &typed)?;
    let currency = currency::of_ledger(&desk.store)?;
    Ok(Outcome::done(if asked.json {
        json(&Answer {
            handset: &cash.handset,
            day: cash.day,
            currency,
            minor: cash.minor,
            note: cash.note.as_ref(),
            by: &cash.by,
        })?
    } else {
        words(&cash, currency)
    }))
}

/// Keeps cash given to an officer, or taken back.
pub(crate) fn give(store: &mut impl Store, typed: &Typed<'_>) -> Result<CashGiven, ReconcileError> {
    let currency = currency::of_ledger(store)?;
    let places = currency.map_or(0, Currency::decimals);
    let minor = count(
        "--amount",
        typed.amount,
        usize::try_from(places).unwrap_or_default(),
    )?;
    if minor == 0 {
        return Err(ReconcileError::Nothing);
    }
    let handset = Code::new(typed.handset)?;
    if store.handset(&handset)?.is_none() {
        return Err(ReconcileError::NoHandset(handset));
    }
    let cash = CashGiven {
        day: match typed.day {
            Some(day) => day,
            None => open_day(store, typed.act.at.date_naive())?,
        },
        minor,
        note: typed.note.map(Label::new).transpose()?,
        by: typed.act.by.clone(),
        at: typed.act.at,
        handset,
    };
    store.atomically(|store| store.give_cash(&cash))?;
    Ok(cash)
}

fn words(cash: &CashGiven, currency: Option<Currency>) -> String {
    let way = if cash.minor < 0 {
        "taken back from"
    } else {
        "given to"
    };
    format!(
        "{} {} {way} the officer of {} on {} by {}\n",
        unit(currency),
        sum(cash.minor.saturating_abs(), currency),
        cash.handset,
        cash.day,
        cash.by,
    )
}
