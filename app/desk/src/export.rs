//! `combgate export`: part of the books as a file, and beside it what the file holds.

use crate::cli::{self, ExportForm, ExportWhat};
use crate::currency::{self, CurrencyError, plain, unit};
use crate::desk;
use crate::files::{FileError, write_with_word};
use crate::outcome::{Advice, Failure, JsonError, Outcome, json};
use crate::payments::answer::payment_state;
use crate::receiving::answer::kind_word;
use crate::register;
use crate::store::{
    Closing, Journals, Office, Paper, Papers, PaymentRow, Payments, SqliteStore, StoreError,
};
use crate::table::{TableError, csv};
use chrono::NaiveDate;
use combgate_core::intake::Decision;
use combgate_core::record::MemberV1;
use combgate_core::units::{Code, Currency};
use serde::Serialize;
use std::borrow::Cow;
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
struct Written {
    text: String,
    holds: String,
}

/// Cells of a row.
type Row = Vec<Cow<'static, str>>;

/// Writes part of the books.
pub(crate) fn run(folder: &Path, asked: &cli::Export) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let written = write(&desk.store, asked)?;
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
    write_with_word(&asked.out, &written.text, &holds).map_err(ExportError::from)?;
    Ok(Outcome::done(holds))
}

fn write(store: &SqliteStore, asked: &cli::Export) -> Result<Written, ExportError> {
    let days = asked.from.unwrap_or(FIRST)..=asked.to.unwrap_or(LAST);
    let currency = currency::of_ledger(store)?;
    match asked.what {
        ExportWhat::Papers => papers(store, days, asked.form, currency),
        ExportWhat::Payments => payments(store, days, asked.form, currency),
        ExportWhat::Members => members(store, asked.form),
        ExportWhat::Entries => entries(store, &days),
    }
}

fn owned(text: &(impl ToString + ?Sized)) -> Cow<'static, str> {
    Cow::Owned(text.to_string())
}

fn or_empty<T: ToString>(value: Option<T>) -> Cow<'static, str> {
    value.map_or(Cow::Borrowed(""), |value| owned(&value))
}

#[derive(Serialize)]
struct PaperRow {
    number: String,
    kind: &'static str,
    day: NaiveDate,
    late_from: Option<NaiveDate>,
    handset: Code,
    entry: u64,
    member: Code,
    decision: Decision,
    grade: Option<Code>,
    net_g: i64,
    payable_minor: i64,
    paid_minor: i64,
    repaid_minor: i64,
    pails: u64,
    cancelled: bool,
}

impl From<Paper> for PaperRow {
    fn from(paper: Paper) -> Self {
        Self {
            number: paper.number.to_string(),
            kind: kind_word(paper.kind),
            day: paper.day,
            late_from: paper.late_from,
            handset: paper.handset,
            entry: paper.seq,
            member: paper.member,
            decision: paper.decision,
            grade: paper.grade,
            net_g: paper.net_g,
            payable_minor: paper.payable_minor,
            paid_minor: paper.paid_minor,
            repaid_minor: paper.repaid_minor,
            pails: paper.pails,
            cancelled: paper.cancelled_by.is_some(),
        }
    }
}

fn papers(
    store: &SqliteStore,
    days: RangeInclusive<NaiveDate>,
    form: ExportForm,
    currency: Option<Currency>,
) -> Result<Written, ExportError> {
    let rows: Vec<PaperRow> = store
        .papers_between(days)?
        .into_iter()
        .map(PaperRow::from)
        .collect();
    let holds = format!(
        "{} receipts and slips, money in {}. It names members by number alone, but whoever has \
         the register can tell what each of them sold",
        rows.len(),
        unit(currency)
    );
    let text = match form {
        ExportForm::Json => json(&rows)?,
        ExportForm::Csv => csv(
            &[
                "number",
                "kind",
                "day",
                "late_from",
                "handset",
                "entry",
                "member",
                "decision",
                "grade",
                "net_g",
                "payable",
                "paid",
                "repaid",
                "pails",
                "cancelled",
            ],
            rows.iter().map(|row| -> Row {
                vec![
                    owned(&row.number),
                    Cow::Borrowed(row.kind),
                    owned(&row.day),
                    or_empty(row.late_from),
                    owned(&row.handset),
                    owned(&row.entry),
                    owned(&row.member),
                    Cow::Borrowed(match row.decision {
                        Decision::Buy => "buy",
                        Decision::Hold => "hold",
                        Decision::Refuse => "refuse",
                    }),
                    or_empty(row.grade.as_ref()),
                    owned(&row.net_g),
                    owned(&plain(row.payable_minor, currency)),
                    owned(&plain(row.paid_minor, currency)),
                    owned(&plain(row.repaid_minor, currency)),
                    owned(&row.pails),
                    Cow::Borrowed(if row.cancelled { "yes" } else { "no" }),
                ]
            }),
        )?,
    };
    Ok(Written { text, holds })
}

#[derive(Serialize)]
struct PaidRow {
    payment: i64,
    list: i64,
    receipt: String,
    member: Code,
    minor: i64,
    state: &'static str,
    settled_day: Option<NaiveDate>,
    reference: Option<Code>,
    reversed_day: Option<NaiveDate>,
    reversed_because: Option<String>,
}

impl From<PaymentRow> for PaidRow {
    fn from(payment: PaymentRow) -> Self {
        let state = payment_state(&payment);
        let settled = payment.settled.as_ref();
        let reversed = payment.reversed.as_ref();
        Self {
            state,
            settled_day: settled.map(|settled| settled.day),
            reference: settled.and_then(|settled| settled.reference.clone()),
            reversed_day: reversed.map(|reversed| reversed.day),
            reversed_because: reversed.map(|reversed| reversed.because.to_string()),
            payment: payment.id,
            list: payment.list,
            receipt: payment.receipt.to_string(),
            member: payment.member,
            minor: payment.minor,
        }
    }
}

fn payments(
    store: &SqliteStore,
    days: RangeInclusive<NaiveDate>,
    form: ExportForm,
    currency: Option<Currency>,
) -> Result<Written, ExportError> {
    let rows: Vec<PaidRow> = store
        .payments_on(days)?
        .into_iter()
        .map(PaidRow::from)
        .collect();
    let holds = format!(
        "{} payments of the desk that were settled or reversed, money in {}. It names members by \
         number alone",
        rows.len(),
        unit(currency)
    );
    let text = match form {
        ExportForm::Json => json(&rows)?,
        ExportForm::Csv => csv(
            &[
                "payment",
                "list",
                "receipt",
                "member",
                "amount",
                "state",
                "settled",
                "reference",
                "reversed",
                "because",
            ],
            rows.iter().map(|row| -> Row {
                vec![
                    owned(&row.payment),
                    owned(&row.list),
                    owned(&row.receipt),
                    owned(&row.member),
                    owned(&plain(row.minor, currency)),
                    Cow::Borrowed(row.state),
                    or_empty(row.settled_day),
                    or_empty(row.reference.as_ref()),
                    or_empty(row.reversed_day),
                    or_empty(row.reversed_because.as_ref()),
                ]
            }),
        )?,
    };
    Ok(Written { text, holds })
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
        ExportForm::Csv => csv(&register::HEADINGS, members.iter().map(register::row))?,
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
