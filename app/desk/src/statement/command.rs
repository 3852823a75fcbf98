//! `combgate member statement`: for paper and for other programs.

use super::{MemberStatement, StatementError, statement};
use crate::cli;
use crate::currency::{sum, unit};
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use chrono::NaiveDate;
use combgate_core::clerk::{AccountKind, AccountLine, Sums};
use combgate_core::record::{Means, ReceiptNumber};
use combgate_core::units::{Code, Currency, ExactMinor, Label};
use combgate_ui::figures::kilograms;
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// Prints a member's account.
pub(crate) fn run(folder: &Path, asked: &cli::AskStatement) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let number = Code::new(&asked.member).map_err(StatementError::from)?;
    let today = desk::now().date_naive();
    let read = statement(&desk.store, &number, asked.from, asked.to, today)?;
    let name = desk.desk.cooperative.map(|cooperative| cooperative.name);
    Ok(Outcome::done(if asked.json {
        json(&Answer::of(&read))?
    } else {
        words(&read, name.as_ref())
    }))
}

#[derive(Serialize)]
struct Answer<'a> {
    member: &'a Code,
    name: Option<&'a Label>,
    village: Option<&'a Label>,
    currency: Option<Currency>,
    from: NaiveDate,
    to: NaiveDate,
    owed_before_minor: i64,
    lines: Vec<LineAnswer<'a>>,
    grades: Vec<GradeAnswer<'a>>,
    total: SumsAnswer,
    owed_after_minor: i64,
}

#[derive(Serialize)]
struct LineAnswer<'a> {
    day: NaiveDate,
    late_from: Option<NaiveDate>,
    kind: &'static str,
    receipt: &'a ReceiptNumber,
    grade: Option<&'a Code>,
    means: Option<Means>,
    #[serde(flatten)]
    sums: SumsAnswer,
}

#[derive(Serialize)]
struct GradeAnswer<'a> {
    grade: &'a Code,
    #[serde(flatten)]
    sums: SumsAnswer,
}

/// Exact amounts are plain decimals in minor units.
#[derive(Serialize)]
struct SumsAnswer {
    net_g: i64,
    value_minor: String,
    levies_minor: String,
    advances_minor: String,
    rounding_minor: String,
    payable_minor: i64,
    paid_minor: i64,
    owed_minor: i64,
}

impl SumsAnswer {
    fn of(sums: &Sums) -> Self {
        Self {
            net_g: sums.net_g,
            value_minor: sums.value.to_string(),
            levies_minor: sums.levies.to_string(),
            advances_minor: sums.advances.to_string(),
            rounding_minor: sums.rounding.to_string(),
            payable_minor: sums.payable_minor,
            paid_minor: sums.paid_minor,
            owed_minor: sums.owed_minor(),
        }
    }
}

impl<'a> Answer<'a> {
    fn of(read: &'a MemberStatement) -> Self {
        let member = read.member.as_ref();
        Self {
            member: &read.number,
            name: member.map(|member| &member.name),
            village: member.and_then(|member| member.village.as_ref()),
            currency: read.currency,
            from: read.from,
            to: read.to,
            owed_before_minor: read.statement.owed_before_minor,
            lines: read.statement.lines.iter().map(LineAnswer::of).collect(),
            grades: read
                .statement
                .grades
                .iter()
                .map(|(grade, sums)| GradeAnswer {
                    grade,
                    sums: SumsAnswer::of(sums),
                })
                .collect(),
            total: SumsAnswer::of(&read.statement.total),
            owed_after_minor: read.statement.owed_after_minor,
        }
    }
}

impl<'a> LineAnswer<'a> {
    fn of(line: &'a AccountLine) -> Self {
        Self {
            day: line.day,
            late_from: line.late_from,
            kind: kind_code(line.kind),
            receipt: &line.receipt,
            grade: line.grade.as_ref(),
            means: line.means,
            sums: SumsAnswer::of(&line.sums),
        }
    }
}

/// A word for a kind of line, the same in every language.
pub(crate) const fn kind_code(kind: AccountKind) -> &'static str {
    match kind {
        AccountKind::Bought => "bought",
        AccountKind::Cancelled => "cancelled",
        AccountKind::PaidByOfficer => "paid_by_officer",
        AccountKind::PaidByDesk => "paid_by_desk",
        AccountKind::Reversed => "reversed",
        AccountKind::DebtReversed => "debt_reversed",
        AccountKind::DebtRestored => "debt_restored",
    }
}

/// An exact amount to the nearest minor unit, for reading; the sums are made of the exact ones.
pub(crate) fn nearest(amount: ExactMinor) -> i64 {
    let half = ExactMinor::PARTS / 2;
    let parts = amount.parts();
    let away = if parts < 0 {
        parts - half
    } else {
        parts + half
    };
    i64::try_from(away / ExactMinor::PARTS).unwrap_or(i64::MAX)
}

fn words(read: &MemberStatement, cooperative: Option<&Label>) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    if let Some(name) = cooperative {
        let _ = writeln!(text, "{name}");
    }
    let _ = write!(text, "Statement of member {}", read.number);
    if let Some(member) = &read.member {
        let _ = write!(text, ", {}", member.name);
        if let Some(village) = &member.village {
            let _ = write!(text, ", {village}");
        }
    }
    let _ = writeln!(
        text,
        "\n{} to {}, money in {}\n",
        read.from,
        read.to,
        unit(read.currency)
    );
    let _ = writeln!(
        text,
        "{:<12}{:<16}{:<14}{:>6}{:>12}{:>16}{:>16}{:>16}{:>16}",
        "day", "what", "receipt", "grade", "net kg", "value", "taken off", "payable", "paid"
    );
    for line in &read.statement.lines {
        let _ = write!(
            text,
            "{:<12}{:<16}{:<14}{:>6}{}",
            line.day.to_string(),
            kind_code(line.kind).replace('_', " "),
            line.receipt.to_string(),
            line.grade.as_ref().map_or("", Code::as_str),
            cells(&line.sums, read.currency),
        );
        if let Some(own) = line.late_from {
            let _ = write!(text, "  late, of {own}");
        }
        text.push('\n');
    }
    let _ = writeln!(
        text,
        "{:<48}{}",
        "together",
        cells(&read.statement.total, read.currency)
    );
    if !read.statement.grades.is_empty() {
        text.push('\n');
        for (grade, sums) in &read.statement.grades {
            let _ = writeln!(
                text,
                "grade {:<42}{}",
                grade.as_str(),
                cells(sums, read.currency)
            );
        }
    }
    let advances = nearest(read.statement.total.advances);
    if advances != 0 {
        let _ = writeln!(
            text,
            "\nOf what was taken off, {} went to pay back advances.",
            sum(-advances, read.currency)
        );
    }
    let _ = writeln!(
        text,
        "\nOwed before {}: {}\nOwed after {}: {}",
        read.from,
        sum(read.statement.owed_before_minor, read.currency),
        read.to,
        sum(read.statement.owed_after_minor, read.currency),
    );
    text
}

fn cells(sums: &Sums, currency: Option<Currency>) -> String {
    let off = nearest(sums.levies).saturating_add(nearest(sums.advances));
    format!(
        "{:>12}{:>16}{:>16}{:>16}{:>16}",
        kilograms(sums.net_g),
        sum(nearest(sums.value), currency),
        sum(off, currency),
        sum(sums.payable_minor, currency),
        sum(sums.paid_minor, currency),
    )
}
