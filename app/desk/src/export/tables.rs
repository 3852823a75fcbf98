//! Tables of the books: the day book, receipts and slips, the desk's payments.

use super::{ExportError, Written};
use crate::cli::ExportForm;
use crate::currency::{plain, unit};
use crate::outcome::json;
use crate::payments::answer::payment_state;
use crate::receiving::answer::kind_word;
use crate::store::{
    Closing, Journals, Paper, Papers, PaymentRow, Payments, SqliteStore, decision_word,
};
use crate::table::csv;
use chrono::NaiveDate;
use combgate_core::clerk::DayBook;
use combgate_core::intake::Decision;
use combgate_core::units::{Code, Currency};
use serde::Serialize;
use std::borrow::Cow;
use std::ops::RangeInclusive;

/// Cells of a row.
type Row = Vec<Cow<'static, str>>;

fn owned(text: &(impl ToString + ?Sized)) -> Cow<'static, str> {
    Cow::Owned(text.to_string())
}

fn or_empty<T: ToString>(value: Option<T>) -> Cow<'static, str> {
    value.map_or(Cow::Borrowed(""), |value| owned(&value))
}

#[derive(Serialize)]
struct DayRow {
    day: NaiveDate,
    handset: Code,
    receipts: u64,
    slips: u64,
    cancellations: u64,
    pails: i64,
    net_g: i64,
    payable_minor: i64,
    paid_minor: i64,
}

pub(super) fn day_book(
    store: &SqliteStore,
    days: RangeInclusive<NaiveDate>,
    form: ExportForm,
    currency: Option<Currency>,
) -> Result<Written, ExportError> {
    let mut rows = Vec::new();
    for day in store.days_booked(days)? {
        let mut book = DayBook::new(day);
        for (handset, entry) in store.booked_on(day)? {
            book.count(&handset, entry.body());
        }
        rows.extend(book.rows().iter().map(|row| DayRow {
            day,
            handset: row.handset.clone(),
            receipts: row.total.receipts,
            slips: row.total.slips,
            cancellations: row.total.cancellations,
            pails: row.total.pails,
            net_g: row.total.net_g,
            payable_minor: row.total.payable_minor,
            paid_minor: row.total.paid_minor,
        }));
    }
    let holds = format!(
        "{} rows of the day book, money in {}. It names no member",
        rows.len(),
        unit(currency)
    );
    let text = match form {
        ExportForm::Json => json(&rows)?,
        ExportForm::Csv => csv(
            &[
                "day",
                "handset",
                "receipts",
                "slips",
                "cancellations",
                "pails",
                "net_g",
                "payable",
                "paid",
            ],
            rows.iter().map(|row| -> Row {
                vec![
                    owned(&row.day),
                    owned(&row.handset),
                    owned(&row.receipts),
                    owned(&row.slips),
                    owned(&row.cancellations),
                    owned(&row.pails),
                    owned(&row.net_g),
                    owned(&plain(row.payable_minor, currency)),
                    owned(&plain(row.paid_minor, currency)),
                ]
            }),
        )?,
    };
    Ok(Written { text, holds })
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
    reversed_minor: i64,
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
            reversed_minor: paper.reversed_minor,
            repaid_minor: paper.repaid_minor,
            pails: paper.pails,
            cancelled: paper.cancelled_by.is_some(),
        }
    }
}

pub(super) fn papers(
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
                "reversed",
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
                    Cow::Borrowed(decision_word(row.decision)),
                    or_empty(row.grade.as_ref()),
                    owned(&row.net_g),
                    owned(&plain(row.payable_minor, currency)),
                    owned(&plain(row.paid_minor, currency)),
                    owned(&plain(row.reversed_minor, currency)),
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
    paid_day: Option<NaiveDate>,
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
            paid_day: settled.map(|settled| settled.day),
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

pub(super) fn payments(
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
        "{} payments of the desk that were made or reversed, money in {}. It names members by \
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
                "paid_on",
                "reference",
                "reversed_on",
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
                    or_empty(row.paid_day),
                    or_empty(row.reference.as_ref()),
                    or_empty(row.reversed_day),
                    or_empty(row.reversed_because.as_ref()),
                ]
            }),
        )?,
    };
    Ok(Written { text, holds })
}
