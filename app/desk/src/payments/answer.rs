//! Payments as they are answered and printed.

use super::{DueReceipt, Exported, ListView};
use crate::currency::{sum, unit};
use crate::store::{PaymentList, PaymentRow};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::Due;
use combgate_core::record::{Means, ReceiptNumber};
use combgate_core::units::{Code, Currency, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// All that is owed, and the lists there are.
pub(crate) struct Overview {
    pub(crate) currency: Option<Currency>,
    pub(crate) due: Vec<DueReceipt>,
    pub(crate) lists: Vec<ListView>,
    pub(crate) get_back: Vec<PaymentRow>,
}

#[derive(Serialize)]
pub(crate) struct OverviewAnswer<'a> {
    currency: Option<Currency>,
    means: Vec<MeansAnswer>,
    receipts: Vec<DueAnswer<'a>>,
    lists: Vec<ListAnswer<'a>>,
    get_back: Vec<PaymentAnswer<'a>>,
}

/// What is to be paid by one means.
#[derive(Serialize)]
struct MeansAnswer {
    means: Means,
    receipts: usize,
    to_pay_minor: i64,
    questioned_minor: i64,
    listed_minor: i64,
}

#[derive(Serialize)]
struct DueAnswer<'a> {
    receipt: &'a ReceiptNumber,
    handset: &'a Code,
    day: NaiveDate,
    member: &'a Code,
    name: Option<&'a Label>,
    means: Means,
    state: &'static str,
    owed_minor: i64,
    list: Option<i64>,
    serious: Vec<&'a str>,
}

/// A list in an answer.
#[derive(Serialize)]
pub(crate) struct ListAnswer<'a> {
    list: i64,
    means: Means,
    proposed_by: &'a Label,
    proposed_at: DateTime<FixedOffset>,
    approved_by: Option<&'a Label>,
    approved_at: Option<DateTime<FixedOffset>>,
    /// What stands, paid or not.
    minor: i64,
    paid_minor: i64,
    payments: Vec<PaymentAnswer<'a>>,
}

#[derive(Serialize)]
struct PaymentAnswer<'a> {
    payment: i64,
    list: i64,
    receipt: &'a ReceiptNumber,
    member: &'a Code,
    minor: i64,
    despite: Option<&'a Label>,
    state: &'static str,
    paid_day: Option<NaiveDate>,
    reference: Option<&'a Code>,
    reversed_day: Option<NaiveDate>,
    reversed_because: Option<&'a Label>,
}

#[derive(Serialize)]
pub(crate) struct ExportAnswer<'a> {
    file: &'a Path,
    about: &'a Path,
    payments: usize,
    minor: i64,
    holds: &'a str,
}

/// A word for what is due, and how much it is.
const fn state(due: Due) -> (&'static str, i64) {
    match due {
        Due::Nothing => ("nothing", 0),
        Due::Pay(minor) => ("to_pay", minor),
        Due::Questioned(minor) => ("questioned", minor),
        Due::Listed(minor) => ("listed", minor),
        Due::GetBack(minor) => ("get_back", minor),
    }
}

/// A word for where a payment stands.
pub(crate) const fn payment_state(payment: &PaymentRow) -> &'static str {
    match (&payment.settled, &payment.reversed) {
        (_, Some(_)) => "reversed",
        (Some(_), None) => "paid",
        (None, None) => "open",
    }
}

impl<'a> OverviewAnswer<'a> {
    pub(crate) fn of(overview: &'a Overview) -> Self {
        Self {
            currency: overview.currency,
            means: [Means::Cash, Means::MobileMoney]
                .map(|means| MeansAnswer::of(means, &overview.due))
                .into(),
            receipts: overview.due.iter().map(DueAnswer::of).collect(),
            lists: overview.lists.iter().map(ListAnswer::of).collect(),
            get_back: overview.get_back.iter().map(PaymentAnswer::of).collect(),
        }
    }
}

impl MeansAnswer {
    fn of(means: Means, all: &[DueReceipt]) -> Self {
        let mut answer = Self {
            means,
            receipts: 0,
            to_pay_minor: 0,
            questioned_minor: 0,
            listed_minor: 0,
        };
        for each in all.iter().filter(|each| each.means == means) {
            answer.receipts += 1;
            let (of_state, minor) = match each.due {
                Due::Pay(minor) => (&mut answer.to_pay_minor, minor),
                Due::Questioned(minor) => (&mut answer.questioned_minor, minor),
                Due::Listed(minor) => (&mut answer.listed_minor, minor),
                Due::Nothing | Due::GetBack(_) => continue,
            };
            *of_state = of_state.saturating_add(minor);
        }
        answer
    }
}

impl<'a> DueAnswer<'a> {
    fn of(each: &'a DueReceipt) -> Self {
        let (state, owed_minor) = state(each.due);
        Self {
            receipt: &each.paper.number,
            handset: &each.paper.handset,
            day: each.paper.day,
            member: &each.paper.member,
            name: each.member.as_ref().map(|member| &member.name),
            means: each.means,
            state,
            owed_minor,
            list: each.list,
            serious: each
                .serious
                .iter()
                .map(|finding| finding.code.as_str())
                .collect(),
        }
    }
}

impl<'a> ListAnswer<'a> {
    pub(crate) fn of(view: &'a ListView) -> Self {
        let PaymentList {
            id,
            means,
            proposed,
            approved,
        } = &view.list;
        let standing = view
            .payments
            .iter()
            .filter(|payment| payment.reversed.is_none());
        let sum = |only_paid: bool| {
            standing
                .clone()
                .filter(|payment| !only_paid || payment.settled.is_some())
                .fold(0, |sum: i64, payment| sum.saturating_add(payment.minor))
        };
        Self {
            list: *id,
            means: *means,
            proposed_by: &proposed.by,
            proposed_at: proposed.at,
            approved_by: approved.as_ref().map(|approved| &approved.by),
            approved_at: approved.as_ref().map(|approved| approved.at),
            minor: sum(false),
            paid_minor: sum(true),
            payments: view.payments.iter().map(PaymentAnswer::of).collect(),
        }
    }
}

impl<'a> PaymentAnswer<'a> {
    fn of(payment: &'a PaymentRow) -> Self {
        let settled = payment.settled.as_ref();
        let reversed = payment.reversed.as_ref();
        Self {
            payment: payment.id,
            list: payment.list,
            receipt: &payment.receipt,
            member: &payment.member,
            minor: payment.minor,
            despite: payment.despite.as_ref(),
            state: payment_state(payment),
            paid_day: settled.map(|settled| settled.day),
            reference: settled.and_then(|settled| settled.reference.as_ref()),
            reversed_day: reversed.map(|reversed| reversed.day),
            reversed_because: reversed.map(|reversed| &reversed.because),
        }
    }
}

impl<'a> ExportAnswer<'a> {
    pub(crate) fn of(exported: &'a Exported) -> Self {
        Self {
            file: &exported.file,
            about: &exported.about,
            payments: exported.payments,
            minor: exported.minor,
            holds: &exported.holds,
        }
    }
}

const fn means_words(means: Means) -> &'static str {
    match means {
        Means::Cash => "cash",
        Means::MobileMoney => "mobile money",
    }
}

/// All that is owed, on paper.
pub(crate) fn overview_words(overview: &Overview) -> String {
    let mut text = format!("Owed, money in {}\n", unit(overview.currency));
    if overview.due.is_empty() {
        text.push_str("Nothing is owed.\n");
    }
    for means in [Means::Cash, Means::MobileMoney] {
        let of_means = overview.due.iter().filter(|each| each.means == means);
        if of_means.clone().next().is_none() {
            continue;
        }
        let total = MeansAnswer::of(means, &overview.due);
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "\nBy {}: {} to pay, {} questioned, {} on lists",
            means_words(means),
            sum(total.to_pay_minor, overview.currency),
            sum(total.questioned_minor, overview.currency),
            sum(total.listed_minor, overview.currency),
        );
        for each in of_means {
            let (state, owed) = state(each.due);
            let name = each
                .member
                .as_ref()
                .map_or("(not on the register)", |member| member.name.as_str());
            let _ = write!(
                text,
                "  {:<14}{:<12}{:<8}{:>16}  {:<11}{name}",
                each.paper.number.to_string(),
                each.paper.day.to_string(),
                each.paper.member.as_str(),
                sum(owed, overview.currency),
                state.replace('_', " "),
            );
            if let Some(list) = each.list {
                let _ = write!(text, ", list {list}");
            }
            for finding in &each.serious {
                let _ = write!(text, " [{}]", finding.code);
            }
            text.push('\n');
        }
    }
    if !overview.get_back.is_empty() {
        text.push_str("\nPaid too much, to get back and reverse:\n");
        for payment in &overview.get_back {
            text.push_str(&payment_line(payment, overview.currency));
        }
    }
    for view in &overview.lists {
        text.push('\n');
        text.push_str(&list_words(view, overview.currency));
    }
    text
}

/// A list, on paper.
pub(crate) fn list_words(view: &ListView, currency: Option<Currency>) -> String {
    let answer = ListAnswer::of(view);
    let mut text = format!(
        "Payment list {}, {}: {} {}, of which paid {}\n  proposed by {}",
        answer.list,
        means_words(answer.means),
        unit(currency),
        sum(answer.minor, currency),
        sum(answer.paid_minor, currency),
        answer.proposed_by,
    );
    match answer.approved_by {
        // Writing to a string cannot fail.
        Some(by) => {
            let _ = writeln!(text, ", approved by {by}");
        }
        None => text.push_str(", not approved\n"),
    }
    for payment in &view.payments {
        text.push_str(&payment_line(payment, currency));
    }
    text
}

fn payment_line(payment: &PaymentRow, currency: Option<Currency>) -> String {
    let mut text = format!(
        "  {:<14}{:<12}{:>16}  {}",
        payment.receipt.to_string(),
        payment.member.as_str(),
        sum(payment.minor, currency),
        payment_state(payment),
    );
    // Writing to a string cannot fail.
    if let Some(settled) = &payment.settled {
        let _ = write!(text, " on {}", settled.day);
        if let Some(reference) = &settled.reference {
            let _ = write!(text, ", reference {reference}");
        }
    }
    if let Some(reversed) = &payment.reversed {
        let _ = write!(
            text,
            ", taken back on {} by {}: {}",
            reversed.day, reversed.act.by, reversed.because
        );
    }
    if let Some(despite) = &payment.despite {
        let _ = write!(text, ", paid despite a finding: {despite}");
    }
    text.push('\n');
    text
}
