//! `combgate export`: part of the books as a file, and beside it what the file holds.

mod tables;

use crate::cli::{self, ExportForm, ExportWhat};
use crate::currency::{self, CurrencyError};
use crate::desk;
use crate::files::{FileError, write_with_word};
use crate::outcome::{Advice, Failure, JsonError, Outcome, json};
use crate::register;
use crate::store::{Closing, Journals, Office, SqliteStore, StoreError};
use crate::table::TableError;
use chrono::NaiveDate;
use combgate_core::record::MemberV1;
use serde::Serialize;
use std::ops::RangeInclusive;
use std::path::Path;

/// An export that is not written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ExportError {
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// The table.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The answer.
    #[error(transparent)]
    Json(#[from] JsonError),
    /// The file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for ExportError {
    fn hint(&self) -> String {
        match self {
            Self::Currency(error) => error.hint(),
            Self::Table(error) => error.hint(),
            Self::Json(error) => error.hint(),
            Self::File(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// Before and after every day of four digits, as the ledger writes days.
const FIRST: NaiveDate = match NaiveDate::from_ymd_opt(0, 1, 1) {
    Some(day) => day,
    None => NaiveDate::MIN,
};
const LAST: NaiveDate = match NaiveDate::from_ymd_opt(9_999, 12, 31) {
    Some(day) => day,
    None => NaiveDate::MAX,
};

/// A file's text, and what it holds.
pub(crate) struct Written {
    pub(crate) text: String,
    holds: String,
}

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a Path,
    about: &'a Path,
    holds: &'a str,
}

/// What is asked for.
pub(crate) struct Wanted {
    pub(crate) what: ExportWhat,
    pub(crate) form: ExportForm,
    pub(crate) from: Option<NaiveDate>,
    pub(crate) to: Option<NaiveDate>,
}

/// Writes part of the books.
pub(crate) fn run(folder: &Path, asked: &cli::Export) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let wanted = Wanted {
        what: asked.what,
        form: asked.form,
        from: asked.from,
        to: asked.to,
    };
    let written = write(&desk.store, &wanted)?;
    let name = asked.out.file_name().unwrap_or_default().display();
    let form = match (asked.what, asked.form) {
        (ExportWhat::Entries, _) => "one signed entry to a line, as it came",
        (_, ExportForm::Csv) => {
            "CSV; a cell that a spreadsheet could take for a formula begins with an apostrophe, \
             which is no part of it"
        }
        (_, ExportForm::Json) => "JSON",
    };
    let holds = format!(
        "{name} holds {}, as of {}.\nIn this form: {form}.\n",
        written.holds,
        desk::now().to_rfc3339()
    );
    let about = write_with_word(&asked.out, &written.text, &holds).map_err(ExportError::from)?;
    Ok(Outcome::done(if asked.json {
        json(&Answer {
            file: &asked.out,
            about: &about,
            holds: &holds,
        })?
    } else {
        holds
    }))
}

/// Part of the books as text, with what it holds.
pub(crate) fn write(store: &SqliteStore, wanted: &Wanted) -> Result<Written, ExportError> {
    let days = wanted.from.unwrap_or(FIRST)..=wanted.to.unwrap_or(LAST);
    let currency = currency::of_ledger(store)?;
    match wanted.what {
        ExportWhat::Daybook => tables::day_book(store, days, wanted.form, currency),
        ExportWhat::Papers => tables::papers(store, days, wanted.form, currency),
        ExportWhat::Payments => tables::payments(store, days, wanted.form, currency),
        ExportWhat::Members => members(store, wanted.form),
        ExportWhat::Entries => entries(store, &days),
    }
}

fn members(store: &SqliteStore, form: ExportForm) -> Result<Written, ExportError> {
    let members: Vec<MemberV1> = store.members()?;
    let holds = format!(
        "the register of {} members. It is personal data: names, villages, telephone numbers and \
         advances. Give it to nobody who does not need it, and delete it afterwards",
        members.len()
    );
    let text = match form {
        ExportForm::Json => json(&members)?,
        ExportForm::Csv => register::write(&members)?,
    };
    Ok(Written { text, holds })
}

fn entries(store: &SqliteStore, days: &RangeInclusive<NaiveDate>) -> Result<Written, ExportError> {
    /// Read at a time.
    const AT_A_TIME: u64 = 1_000;
    let mut text = String::new();
    let (mut count, mut sealed) = (0_u64, 0_u64);
    // Entries that move nothing count on no day; they belong to the whole journal alone.
    let all = (*days.start(), *days.end()) == (FIRST, LAST);
    for handset in store.handsets()? {
        let mut first = 1;
        while first <= handset.head.seq {
            let last = first.saturating_add(AT_A_TIME - 1).min(handset.head.seq);
            let part = store.booked_among(&handset.code, first..=last)?;
            sealed += (last - first + 1) - u64::try_from(part.len()).unwrap_or_default();
            for entry in part {
                let counts = store.counts_on(&handset.code, entry.seq())?;
                if all || counts.is_some_and(|day| days.contains(&day)) {
                    text.push_str(entry.compact());
                    text.push('\n');
                    count += 1;
                }
            }
            first = last.saturating_add(1);
        }
    }
    let holds = format!(
        "{count} signed entries of {} handsets. It is personal data: entries name members by \
         number, and those of members registered in the field by name. {sealed} entries are sealed \
         and left out",
        store.handsets()?.len()
    );
    Ok(Written { text, holds })
}
