//! `combgate close` and `combgate closed`: days whose books are fixed.
//!
//! A day is closed with its sums. Nothing is booked on it after that: what comes late counts on the
//! open day and says so, and a correction is a reversal on an open day. So the sums of a closed day
//! can be made again at any time, and must be what they were.

use crate::cli;
use crate::currency::{self, CurrencyError, sum, unit};
use crate::desk;
use crate::outcome::{Advice, Exit, Failure, Outcome, json};
use crate::store::{Act, ClosedDay, DaySums, PailRow, Store, StoreError};
use chrono::{Days, NaiveDate};
use combgate_core::clerk::{CloseError, DayBook};
use combgate_core::record::{DayTotalV1, EntryBody};
use combgate_core::units::{Code, Currency, Label, TextError};
use combgate_ui::figures::kilograms;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// How far back pails are looked for that did not come.
const DAYS_BACK: Days = Days::new(30);
/// Pails named that did not come; the others are counted.
const PAILS_NAMED: usize = 200;

/// A day that is not closed.
#[derive(Debug, thiserror::Error)]
pub enum ClosingError {
    /// It cannot be closed.
    #[error(transparent)]
    Close(#[from] CloseError),
    /// Who closes it.
    #[error("--by: {0}")]
    By(#[from] TextError),
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ClosingError {
    fn hint(&self) -> String {
        match self {
            Self::Close(CloseError::Already(_)) => {
                "see which days are closed with `combgate closed`".to_owned()
            }
            Self::Close(CloseError::NotYet { .. }) => "wait until that day is over".to_owned(),
            Self::By(_) => "write the name of who closes the day".to_owned(),
            Self::Currency(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// What is still open with the days that were closed. It closes all the same, and the clerk knows.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StillOpen {
    /// Handsets whose officer has not closed a day among them, each with the day.
    pub officers: Vec<(Code, NaiveDate)>,
    /// Handsets of which entries are missing.
    pub missing: Vec<Code>,
    /// How many pails did not come to the store.
    pub pails_count: u64,
    /// The first of them.
    pub pails: Vec<PailRow>,
    /// Serious findings in what was booked on these days.
    pub serious: u64,
}

/// What the sums of a closed day are held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// The sums that are kept beside the entries: quick, however many entries there are.
    Kept,
    /// Those, and the sums that the signed entries give when every one of them is read again.
    Entries,
}

/// The days on which something done today counts.
pub fn open_day(store: &impl Store, today: NaiveDate) -> Result<NaiveDate, StoreError> {
    Ok(store.closed_to()?.open_day(today))
}

/// The sums of a day as they are kept beside the entries, which is quick.
fn kept_sums(store: &impl Store, day: NaiveDate) -> Result<DaySums, StoreError> {
    in_all(store, &store.day_sums(day)?.total)
}

/// The sums of a day as its signed entries give them now.
pub fn sums(store: &impl Store, day: NaiveDate) -> Result<DaySums, StoreError> {
    let mut book = DayBook::new(day);
    for (handset, entry) in store.booked_on(day)? {
        book.count(&handset, entry.body());
    }
    in_all(store, &book.total())
}

fn in_all(store: &impl Store, total: &DayTotalV1) -> Result<DaySums, StoreError> {
    Ok(DaySums {
        receipts: total.receipts,
        slips: total.slips,
        cancellations: total.cancellations,
        net_g: total.net_g,
        payable_minor: total.payable_minor,
        paid_minor: total.paid_minor,
        desk_minor: desk_paid(store, total.day)?,
    })
}

/// What the desk paid on a day less what was reversed, minor units.
pub fn desk_paid(store: &impl Store, day: NaiveDate) -> Result<i64, StoreError> {
    let mut paid: i64 = 0;
    for payment in store.payments_on(day..=day)? {
        // A payment that never went out moved no money when it was taken back.
        let Some(settled) = &payment.settled else {
            continue;
        };
        if settled.day == day {
            paid = paid.saturating_add(payment.minor);
        }
        if payment.reversed.is_some_and(|reversed| reversed.day == day) {
            paid = paid.saturating_sub(payment.minor);
        }
    }
    Ok(paid)
}

/// The days that closing a day closes with it, and what is still open with them.
pub fn ahead(
    store: &impl Store,
    day: NaiveDate,
    today: NaiveDate,
) -> Result<(Vec<NaiveDate>, StillOpen), ClosingError> {
    let closed_to = store.closed_to()?;
    closed_to.close(day, today)?;
    let first = match closed_to.last().and_then(|last| last.succ_opt()) {
        Some(next) => next,
        None => store.first_day()?.unwrap_or(day).min(day),
    };
    let mut days = store.days_booked(first..=day)?;
    if days.last() != Some(&day) {
        days.push(day);
    }
    Ok((days, still_open(store, first, day)?))
}

/// Closes a day and all before it that are open.
pub fn close<S: Store>(
    store: &mut S,
    day: NaiveDate,
    act: &Act,
    today: NaiveDate,
) -> Result<(Vec<ClosedDay>, StillOpen), ClosingError> {
    store.atomically(|store| {
        let (days, open) = ahead(store, day, today)?;
        let mut closed = Vec::new();
        for day in days {
            let row = ClosedDay {
                day,
                closed: act.clone(),
                sums: sums(store, day)?,
            };
            store.close_day(&row)?;
            closed.push(row);
        }
        Ok((closed, open))
    })
}

/// Closed days, the newest first, each with its sums as they are now: they must be the same. Where
/// some of the sums of now are otherwise, it is those.
pub fn compared(
    store: &impl Store,
    against: Against,
    at_most: usize,
) -> Result<Vec<(ClosedDay, DaySums)>, StoreError> {
    let days = store.closed_days()?.into_iter().take(at_most);
    days.map(|closed| {
        let mut now = kept_sums(store, closed.day)?;
        if against == Against::Entries && now == closed.sums {
            now = sums(store, closed.day)?;
        }
        Ok((closed, now))
    })
    .collect()
}

fn still_open(
    store: &impl Store,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<StillOpen, StoreError> {
    let mut open = StillOpen {
        serious: store.serious_on(first..=last)?,
        pails_count: store.count_on_the_way((last - DAYS_BACK)..=last)?,
        pails: store.on_the_way((last - DAYS_BACK)..=last, 0..PAILS_NAMED)?,
        ..StillOpen::default()
    };
    for handset in store.handsets()? {
        if let Some(entry) = store.last_end(&handset.code)?
            && let EntryBody::DayOpened(opened) = entry.body()
            && opened.day <= last
        {
            open.officers.push((handset.code.clone(), opened.day));
        }
        if store
            .waiting_above(&handset.code, handset.head.seq)?
            .is_some()
        {
            open.missing.push(handset.code.clone());
        }
    }
    Ok(open)
}

/// Closes a day.
pub(crate) fn run(folder: &Path, asked: &cli::Close) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let now = desk::now();
    let act = Act {
        by: Label::new(&asked.by).map_err(ClosingError::from)?,
        at: now,
    };
    let (closed, open) = close(&mut desk.store, asked.day, &act, now.date_naive())?;
    let currency = currency::of_ledger(&desk.store)?;
    let text = if asked.json {
        json(&CloseAnswer::of(&closed, &open))?
    } else {
        let mut text = String::new();
        for day in &closed {
            text.push_str(&line(day, currency));
        }
        text + &open_words(&open)
    };
    Ok(Outcome {
        text,
        troubles: Vec::new(),
        exit: if open == StillOpen::default() {
            Exit::Done
        } else {
            Exit::Questioned
        },
    })
}

/// Lists closed days, each with whether its sums are still what they were.
pub(crate) fn list(folder: &Path, asked: &cli::AskClosed) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let currency = currency::of_ledger(&desk.store)?;
    let against = if asked.entries {
        Against::Entries
    } else {
        Against::Kept
    };
    let days: Vec<(ClosedDay, bool)> = compared(&desk.store, against, usize::MAX)
        .map_err(ClosingError::from)?
        .into_iter()
        .map(|(closed, now)| {
            let same = closed.sums == now;
            (closed, same)
        })
        .collect();
    let all_same = days.iter().all(|(_, same)| *same);
    let text = if asked.json {
        let days: Vec<DayAnswer<'_>> = days
            .iter()
            .map(|(day, same)| DayAnswer::of(day, Some(*same)))
            .collect();
        json(&days)?
    } else if days.is_empty() {
        "No day is closed.\n".to_owned()
    } else {
        let lines = days.iter().fold(String::new(), |text, (day, same)| {
            let said = if *same {
                ""
            } else {
                "  THE BOOKS SAY OTHERWISE NOW: restore the last backup and report this fault\n"
            };
            text + &line(day, currency) + said
        });
        lines + compared_with(against)
    };
    Ok(Outcome {
        text,
        troubles: Vec::new(),
        exit: if all_same {
            Exit::Done
        } else {
            Exit::Questioned
        },
    })
}

#[derive(Serialize)]
struct CloseAnswer<'a> {
    closed: Vec<DayAnswer<'a>>,
    officers_open: Vec<OfficerAnswer<'a>>,
    entries_missing: &'a [Code],
    /// The first of them.
    pails_on_the_way: Vec<&'a Code>,
    pails_on_the_way_count: u64,
    serious_findings: u64,
}

#[derive(Serialize)]
struct OfficerAnswer<'a> {
    handset: &'a Code,
    day: NaiveDate,
}

#[derive(Serialize)]
struct DayAnswer<'a> {
    day: NaiveDate,
    closed_by: &'a Label,
    receipts: u64,
    slips: u64,
    cancellations: u64,
    net_g: i64,
    payable_minor: i64,
    paid_minor: i64,
    desk_paid_minor: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    unchanged: Option<bool>,
}

impl<'a> DayAnswer<'a> {
    const fn of(day: &'a ClosedDay, unchanged: Option<bool>) -> Self {
        let sums = &day.sums;
        Self {
            day: day.day,
            closed_by: &day.closed.by,
            receipts: sums.receipts,
            slips: sums.slips,
            cancellations: sums.cancellations,
            net_g: sums.net_g,
            payable_minor: sums.payable_minor,
            paid_minor: sums.paid_minor,
            desk_paid_minor: sums.desk_minor,
            unchanged,
        }
    }
}

impl<'a> CloseAnswer<'a> {
    fn of(closed: &'a [ClosedDay], open: &'a StillOpen) -> Self {
        Self {
            closed: closed.iter().map(|day| DayAnswer::of(day, None)).collect(),
            officers_open: open
                .officers
                .iter()
                .map(|(handset, day)| OfficerAnswer { handset, day: *day })
                .collect(),
            entries_missing: &open.missing,
            pails_on_the_way_count: open.pails_count,
            pails_on_the_way: open.pails.iter().map(|pail| &pail.number).collect(),
            serious_findings: open.serious,
        }
    }
}

const fn compared_with(against: Against) -> &'static str {
    match against {
        Against::Kept => {
            "Compared with the sums kept beside the entries; `combgate closed --entries` adds up \
             every signed entry again.\n"
        }
        Against::Entries => {
            "Compared with the sums kept beside the entries, and with every signed entry added up \
             again.\n"
        }
    }
}

fn line(day: &ClosedDay, currency: Option<Currency>) -> String {
    let sums = &day.sums;
    format!(
        "{} closed by {}: {} receipts, {} slips, {} cancellations, {} kg, {} {} payable, {} paid \
         by officers, {} by the desk\n",
        day.day,
        day.closed.by,
        sums.receipts,
        sums.slips,
        sums.cancellations,
        kilograms(sums.net_g),
        unit(currency),
        sum(sums.payable_minor, currency),
        sum(sums.paid_minor, currency),
        sum(sums.desk_minor, currency),
    )
}

fn open_words(open: &StillOpen) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    for (handset, day) in &open.officers {
        let _ = writeln!(
            text,
            "Still open: the officer of {handset} has not closed {day}"
        );
    }
    for handset in &open.missing {
        let _ = writeln!(text, "Still open: entries of {handset} are missing");
    }
    if !open.pails.is_empty() {
        let mut pails: Vec<&str> = open.pails.iter().map(|pail| pail.number.as_str()).collect();
        if open.pails_count > u64::try_from(PAILS_NAMED).unwrap_or(u64::MAX) {
            pails.push("and others");
        }
        let _ = writeln!(
            text,
            "Still open: {} pails did not come to the store: {}",
            open.pails_count,
            pails.join(", ")
        );
    }
    if open.serious > 0 {
        let _ = writeln!(text, "Still open: {} serious findings", open.serious);
    }
    if !text.is_empty() {
        text.push_str("What comes of it counts on an open day and says so.\n");
    }
    text
}
