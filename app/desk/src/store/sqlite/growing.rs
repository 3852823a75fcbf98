//! Sums and counts by day of a ledger that an older program kept: made of its entries and papers.

use super::clerks::first_from;
use super::papers::{PAPER, read_paper};
use super::sums;
use crate::statistics::Tally;
use chrono::NaiveDate;
use combgate_core::clerk::{DayBook, OfficerDays};
use combgate_core::record::{DayOpenedV1, EntryBody, ParsedEntry, Standing};
use combgate_core::units::Code;
use rusqlite::{OptionalExtension, Transaction, params};
use rusqlite_migration::{HookError, HookResult};
use std::fmt::Display;

pub(super) fn sums_of_old_days(ledger: &Transaction<'_>) -> HookResult {
    disbelieved(ledger)?;
    let mut statement = ledger.prepare(PAPER)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let paper = read_paper(row).map_err(told)?;
        sums::stand(ledger, &paper, 1).map_err(told)?;
    }
    let mut opened: Option<(String, Box<DayOpenedV1>)> = None;
    let mut statement = ledger.prepare(
        "SELECT handset, day, compact FROM entry WHERE booked = 1 AND day IS NOT NULL \
         AND kind IN ('day_opened', 'receipt', 'slip', 'cancellation', 'payment') \
         ORDER BY handset, seq",
    )?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let name: String = row.get(0)?;
        let day: NaiveDate = row.get::<_, String>(1)?.parse().map_err(told)?;
        let entry = ParsedEntry::parse(&row.get::<_, String>(2)?).map_err(told)?;
        if let EntryBody::DayOpened(opening) = entry.body() {
            opened = Some((name, opening.clone()));
            continue;
        }
        let opening = opened.as_ref().filter(|(of, _)| *of == name);
        let mut tally = Tally::default();
        tally.count(opening.map(|(_, opening)| &**opening), entry.body());
        sums::keep_tally(ledger, &day.to_string(), &tally.rows()).map_err(told)?;
        let book = book_of(ledger, day, &name, entry.body())?;
        sums::keep(ledger, &book).map_err(told)?;
    }
    Ok(())
}

/// What officers' days came to, told from every journal as it is booked.
pub(super) fn officers_of_old(ledger: &Transaction<'_>) -> HookResult {
    let mut handsets = ledger.prepare("SELECT code FROM handset")?;
    let mut handsets = handsets.query([])?;
    let mut statement = ledger.prepare(
        "SELECT compact FROM entry WHERE handset = ?1 AND booked = 1 AND kind IN ('day_opened', \
         'receipt', 'slip', 'cancellation', 'payment', 'day_closed') ORDER BY seq",
    )?;
    while let Some(row) = handsets.next()? {
        let handset: String = row.get(0)?;
        let (mut days, mut standing) = (OfficerDays::default(), Standing::default());
        let mut entries = statement.query([&handset])?;
        while let Some(row) = entries.next()? {
            let entry = ParsedEntry::parse(&row.get::<_, String>(0)?).map_err(told)?;
            days.note(&entry, standing.full_pails());
            standing.note(&entry);
        }
        for (opening, moved) in days.moved() {
            sums::keep_moved(ledger, &handset, *opening, moved).map_err(told)?;
        }
    }
    Ok(())
}

/// Where the entries begin of handsets that are out of use.
fn disbelieved(ledger: &Transaction<'_>) -> HookResult {
    let mut statement = ledger.prepare("SELECT handset, from_at FROM revocation")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let handset: String = row.get(0)?;
        let from = row.get::<_, String>(1)?.parse().map_err(told)?;
        ledger.execute(
            "UPDATE revocation SET from_seq = ?2 WHERE handset = ?1",
            params![handset, first_from(ledger, &handset, from).map_err(told)?],
        )?;
    }
    Ok(())
}

/// The book of one entry. A cancellation takes its receipt's grade from the paper, as the import
/// does.
fn book_of(
    ledger: &Transaction<'_>,
    day: NaiveDate,
    handset: &str,
    body: &EntryBody,
) -> Result<DayBook, HookError> {
    let mut book = DayBook::new(day);
    let handset = Code::new(handset).map_err(told)?;
    if let EntryBody::Cancellation(undone) = body {
        let grade: Option<Option<String>> = ledger
            .prepare_cached(
                "SELECT grade FROM paper WHERE handset = ?1 AND number = ?2 \
                 AND kind = 'receipt' ORDER BY seq LIMIT 1",
            )?
            .query_row(
                params![handset.as_str(), undone.number.to_string()],
                |row| row.get(0),
            )
            .optional()?;
        if let Some(grade) = grade.flatten() {
            book.know(&handset, &undone.number, &Code::new(&grade).map_err(told)?);
        }
    }
    book.count(&handset, body);
    Ok(book)
}

fn told(error: impl Display) -> HookError {
    HookError::Hook(error.to_string())
}
