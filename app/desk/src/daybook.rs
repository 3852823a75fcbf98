//! `combgate daybook`: what was bought, paid and owed on one day.

use crate::cli;
use crate::closing::desk_paid;
use crate::currency::{self, CurrencyError, sum};
use crate::desk;
use crate::findings::{FindingAnswer, finding_line};
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Closing, DayBookSums, FindingRow, Paper, PaperKind, Papers, SqliteStore, Sums};
use chrono::NaiveDate;
use combgate_core::clerk::GradeTotal;
use combgate_core::intake::Decision;
use combgate_core::record::{DayTotalV1, ReceiptNumber};
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::kilograms;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// A day of the ledger.
pub(crate) struct Day {
    pub(crate) on: NaiveDate,
    pub(crate) sums: DayBookSums,
    pub(crate) findings: Vec<(Code, FindingRow)>,
    pub(crate) currency: Option<Currency>,
    /// Paid by the desk less reversed, minor units.
    pub(crate) desk_minor: i64,
    pub(crate) closed: bool,
}

/// Prints a day.
pub(crate) fn run(folder: &Path, asked: &cli::AskDayBook) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let day = read(&desk.store, asked.day)?;
    let papers = desk.store.papers_on(asked.day)?;
    Ok(Outcome::done(if asked.json {
        json(&Answer::of(&day, &papers))?
    } else {
        words(&day, &papers)
    }))
}

/// Reads a day of the ledger, but for its papers.
pub(crate) fn read(store: &SqliteStore, on: NaiveDate) -> Result<Day, CurrencyError> {
    Ok(Day {
        on,
        sums: store.day_sums(on)?,
        findings: store.findings_on(on)?,
        currency: currency::of_ledger(store)?,
        desk_minor: desk_paid(store, on)?,
        closed: store.closed_to()?.contains(on),
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    day: NaiveDate,
    currency: Option<Currency>,
    handsets: Vec<HandsetAnswer<'a>>,
    grades: Vec<GradeAnswer<'a>>,
    total: TotalAnswer,
    desk_paid_minor: i64,
    closed: bool,
    receipts: Vec<PaperAnswer<'a>>,
    slips: Vec<PaperAnswer<'a>>,
    findings: Vec<DayFinding<'a>>,
}

#[derive(Serialize)]
struct HandsetAnswer<'a> {
    handset: &'a Code,
    #[serde(flatten)]
    total: TotalAnswer,
}

#[derive(Serialize)]
struct TotalAnswer {
    receipts: u64,
    slips: u64,
    cancellations: u64,
    pails: i64,
    net_g: i64,
    payable_minor: i64,
    paid_minor: i64,
    owed_minor: i64,
}

#[derive(Serialize)]
struct GradeAnswer<'a> {
    grade: &'a Code,
    receipts: i64,
    net_g: i64,
    payable_minor: i64,
}

#[derive(Serialize)]
struct PaperAnswer<'a> {
    handset: &'a Code,
    seq: u64,
    number: &'a ReceiptNumber,
    member: &'a Code,
    decision: Decision,
    grade: Option<&'a Code>,
    net_g: i64,
    payable_minor: i64,
    paid_minor: i64,
    owed_minor: i64,
    cancelled: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    late_from: Option<NaiveDate>,
}

#[derive(Serialize)]
struct DayFinding<'a> {
    handset: &'a Code,
    #[serde(flatten)]
    finding: FindingAnswer<'a>,
}

impl<'a> Answer<'a> {
    fn of(day: &'a Day, all: &'a [Paper]) -> Self {
        let papers = |kind| {
            let of_kind = all.iter().filter(move |paper| paper.kind == kind);
            of_kind.map(PaperAnswer::of).collect()
        };
        Self {
            day: day.on,
            currency: day.currency,
            handsets: day
                .sums
                .rows
                .iter()
                .map(|row| HandsetAnswer {
                    handset: &row.handset,
                    total: TotalAnswer::of(&row.total),
                })
                .collect(),
            grades: day
                .sums
                .grades
                .iter()
                .map(|(grade, total)| GradeAnswer {
                    grade,
                    receipts: total.receipts,
                    net_g: total.net_g,
                    payable_minor: total.payable_minor,
                })
                .collect(),
            total: TotalAnswer::of(&day.sums.total),
            desk_paid_minor: day.desk_minor,
            closed: day.closed,
            receipts: papers(PaperKind::Receipt),
            slips: papers(PaperKind::Slip),
            findings: day
                .findings
                .iter()
                .map(|(handset, finding)| DayFinding {
                    handset,
                    finding: FindingAnswer::of(finding),
                })
                .collect(),
        }
    }
}

impl TotalAnswer {
    const fn of(total: &DayTotalV1) -> Self {
        Self {
            receipts: total.receipts,
            slips: total.slips,
            cancellations: total.cancellations,
            pails: total.pails,
            net_g: total.net_g,
            payable_minor: total.payable_minor,
            paid_minor: total.paid_minor,
            owed_minor: total.owed_minor(),
        }
    }
}

impl<'a> PaperAnswer<'a> {
    fn of(paper: &'a Paper) -> Self {
        let cancelled = paper.cancelled_by.is_some();
        Self {
            handset: &paper.handset,
            seq: paper.seq,
            number: &paper.number,
            member: &paper.member,
            decision: paper.decision,
            grade: paper.grade.as_ref(),
            net_g: paper.net_g,
            payable_minor: paper.payable_minor,
            paid_minor: paper.paid_minor,
            owed_minor: paper.facts().owed_minor(),
            cancelled,
            late_from: paper.late_from,
        }
    }
}

fn words(day: &Day, papers: &[Paper]) -> String {
    let unit = day.currency.map_or("minor units", Currency::code);
    let mut text = format!("Day book of {}, money in {unit}\n", day.on);
    if papers.is_empty() && day.sums.rows.is_empty() {
        text.push_str("Nothing is booked on this day.\n");
        return text;
    }
    if day.closed {
        text.push_str("The day is closed.\n");
    }
    text.push_str(&papers_table(day, papers));
    text.push_str(&totals_table(day));
    text.push_str(&grades_table(day));
    if day.findings.is_empty() {
        text.push_str("\nNothing to look at.\n");
    } else {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "\nTo look at: {}", day.findings.len());
        for (handset, finding) in &day.findings {
            let _ = writeln!(text, "  {handset}  {}", finding_line(finding, ""));
        }
    }
    text
}

fn papers_table(day: &Day, papers: &[Paper]) -> String {
    let mut text = format!(
        "\n{:<14}{:<12}{:>8}{:>12}{:>16}{:>16}{:>16}\n",
        "number", "member", "grade", "net kg", "payable", "paid", "owed"
    );
    for paper in papers {
        let answer = PaperAnswer::of(paper);
        let cell = |minor| match paper.kind {
            PaperKind::Receipt => sum(minor, day.currency),
            PaperKind::Slip => String::new(),
        };
        let _ = write!(
            text,
            "{:<14}{:<12}{:>8}{:>12}{:>16}{:>16}{:>16}",
            paper.number.to_string(),
            paper.member.as_str(),
            paper.grade.as_ref().map_or("", Code::as_str),
            kilograms(paper.net_g),
            cell(answer.payable_minor),
            cell(answer.paid_minor),
            cell(answer.owed_minor),
        );
        if let Some(own) = paper.late_from {
            let _ = write!(text, "  late, of {own}");
        }
        text.push_str(match (paper.decision, answer.cancelled) {
            (_, true) => "  cancelled\n",
            (Decision::Buy, false) => "\n",
            (Decision::Hold, false) => "  held\n",
            (Decision::Refuse, false) => "  refused\n",
        });
    }
    text
}

fn totals_table(day: &Day) -> String {
    let mut text = format!(
        "\n{:<9}{:>9}{:>7}{:>11}{:>7}{:>12}{:>16}{:>16}{:>16}\n",
        "handset", "receipts", "slips", "cancelled", "pails", "net kg", "payable", "paid", "owed"
    );
    let rows = day.sums.rows.iter();
    let named = rows
        .map(|row| (row.handset.as_str(), &row.total))
        .chain([("total", &day.sums.total)]);
    for (name, total) in named {
        let answer = TotalAnswer::of(total);
        let _ = writeln!(
            text,
            "{name:<9}{:>9}{:>7}{:>11}{:>7}{:>12}{:>16}{:>16}{:>16}",
            answer.receipts,
            answer.slips,
            answer.cancellations,
            answer.pails,
            kilograms(answer.net_g),
            sum(answer.payable_minor, day.currency),
            sum(answer.paid_minor, day.currency),
            sum(answer.owed_minor, day.currency),
        );
    }
    if day.desk_minor != 0 {
        let paid = sum(day.desk_minor, day.currency);
        let _ = writeln!(text, "Paid by the desk on this day, besides: {paid}");
    }
    text.push_str("A cancellation counts on the day it was made, as a subtraction.\n");
    text
}

fn grades_table(day: &Day) -> String {
    let mut text = format!(
        "\n{:<9}{:>9}{:>12}{:>16}\n",
        "grade", "receipts", "net kg", "payable"
    );
    for (grade, total) in &day.sums.grades {
        let GradeTotal {
            receipts,
            net_g,
            payable_minor,
        } = *total;
        let _ = writeln!(
            text,
            "{:<9}{receipts:>9}{:>12}{:>16}",
            grade.as_str(),
            kilograms(net_g),
            sum(payable_minor, day.currency),
        );
    }
    text
}
