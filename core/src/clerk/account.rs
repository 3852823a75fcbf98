//! A member's account: what was delivered, what it was worth, what was taken off, paid and is owed.
//!
//! Every line is something that was booked. What is undone is a line of its own with the signs
//! turned; nothing is taken out. So the lines of a period and what was owed before it are always
//! what is owed after it.

use crate::record::{CancellationV1, LineCode, Means, PaymentV1, ReceiptNumber, ReceiptV1};
use crate::units::{Code, ExactMinor};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Sums of one line, or of many.
///
/// Value, levies, advances and rounding together are what is payable; levies and advances are
/// below nothing, for they are taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sums {
    /// Net mass, grams.
    pub net_g: i64,
    /// Honey at its price, with moisture steps and premiums.
    pub value: ExactMinor,
    /// Taken off for levies.
    pub levies: ExactMinor,
    /// Taken back of advances.
    pub advances: ExactMinor,
    /// To the coin in use.
    pub rounding: ExactMinor,
    /// What the member is to get, minor units.
    pub payable_minor: i64,
    /// What the member got, minor units.
    pub paid_minor: i64,
}

/// What a line is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AccountKind {
    /// Honey was bought.
    Bought,
    /// A receipt was cancelled.
    Cancelled,
    /// An officer paid what was owed.
    PaidByOfficer,
    /// The desk paid what was owed.
    PaidByDesk,
    /// A payment of the desk was reversed.
    Reversed,
    /// What a receipt owed was reversed by the desk.
    DebtReversed,
    /// That was undone: it is owed again.
    DebtRestored,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AccountLine {
    /// The day it counts on.
    pub day: NaiveDate,
    /// The day it was made on, where that day was closed before it came.
    pub late_from: Option<NaiveDate>,
    /// What it is of.
    pub kind: AccountKind,
    /// The receipt that it is of.
    pub receipt: ReceiptNumber,
    /// The receipt's grade.
    pub grade: Option<Code>,
    /// By what means money moved, if it did.
    pub means: Option<Means>,
    /// What it adds.
    pub sums: Sums,
}

/// A member's account.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Account {
    lines: Vec<AccountLine>,
}

/// An account over some days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// Owed before the first day, minor units; below nothing when too much had been paid.
    pub owed_before_minor: i64,
    /// Lines in order of day.
    pub lines: Vec<AccountLine>,
    /// All lines together.
    pub total: Sums,
    /// Bought less cancelled, by grade.
    pub grades: BTreeMap<Code, Sums>,
    /// Owed after the last day, minor units.
    pub owed_after_minor: i64,
}

impl Sums {
    /// Nothing.
    pub const NOTHING: Self = Self {
        net_g: 0,
        value: ExactMinor::ZERO,
        levies: ExactMinor::ZERO,
        advances: ExactMinor::ZERO,
        rounding: ExactMinor::ZERO,
        payable_minor: 0,
        paid_minor: 0,
    };

    /// What a receipt adds, the money paid at once included.
    pub fn of(receipt: &ReceiptV1) -> Self {
        let assessment = &receipt.assessment;
        let mut sums = Self {
            net_g: assessment.net_g.map_or(0, i64::from),
            payable_minor: assessment.payable_minor.unwrap_or(0),
            paid_minor: receipt.settlement.paid_minor,
            ..Self::NOTHING
        };
        for line in &assessment.lines {
            // An amount that cannot be read has been found by the review: its lines do not sum.
            let Ok(amount) = line.amount_minor.parse::<ExactMinor>() else {
                continue;
            };
            let of_kind = match line.line {
                LineCode::Honey | LineCode::MoistureStep | LineCode::Premium => &mut sums.value,
                LineCode::Levy => &mut sums.levies,
                LineCode::Advance => &mut sums.advances,
                LineCode::Rounding => &mut sums.rounding,
            };
            *of_kind = added(*of_kind, amount);
        }
        sums
    }

    /// Only money that moved.
    pub const fn paid(minor: i64) -> Self {
        Self {
            paid_minor: minor,
            ..Self::NOTHING
        }
    }

    /// Both together. Sums saturate: no honest account comes near.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self {
            net_g: self.net_g.saturating_add(other.net_g),
            value: added(self.value, other.value),
            levies: added(self.levies, other.levies),
            advances: added(self.advances, other.advances),
            rounding: added(self.rounding, other.rounding),
            payable_minor: self.payable_minor.saturating_add(other.payable_minor),
            paid_minor: self.paid_minor.saturating_add(other.paid_minor),
        }
    }

    /// The same with all signs turned.
    #[must_use]
    pub const fn negated(self) -> Self {
        Self {
            net_g: self.net_g.saturating_neg(),
            value: self.value.negated(),
            levies: self.levies.negated(),
            advances: self.advances.negated(),
            rounding: self.rounding.negated(),
            payable_minor: self.payable_minor.saturating_neg(),
            paid_minor: self.paid_minor.saturating_neg(),
        }
    }

    /// Owed, minor units.
    pub const fn owed_minor(&self) -> i64 {
        self.payable_minor.saturating_sub(self.paid_minor)
    }
}

const fn added(one: ExactMinor, other: ExactMinor) -> ExactMinor {
    ExactMinor::from_parts(one.parts().saturating_add(other.parts()))
}

impl Account {
    /// An account on which nothing is booked.
    pub const fn new() -> Self {
        Self { lines: Vec::new() }
    }

    /// Books a receipt.
    pub fn bought(&mut self, receipt: &ReceiptV1) {
        self.lines.push(AccountLine {
            day: receipt.day,
            late_from: None,
            kind: AccountKind::Bought,
            receipt: receipt.number.clone(),
            grade: receipt.assessment.grade.clone(),
            means: receipt.settlement.means,
            sums: Sums::of(receipt),
        });
    }

    /// Books the cancellation of a receipt: all that the receipt said with the signs turned, and
    /// the money that came back.
    pub fn cancelled(&mut self, receipt: &ReceiptV1, cancelled: &CancellationV1) {
        let undone = Sums {
            paid_minor: cancelled.returned_minor,
            ..Sums::of(receipt)
        };
        self.lines.push(AccountLine {
            day: cancelled.day,
            late_from: None,
            kind: AccountKind::Cancelled,
            receipt: receipt.number.clone(),
            grade: receipt.assessment.grade.clone(),
            means: cancelled.means,
            sums: undone.negated(),
        });
    }

    /// Books what an officer paid later.
    pub fn paid_by_officer(&mut self, payment: &PaymentV1) {
        self.lines.push(AccountLine {
            day: payment.day,
            late_from: None,
            kind: AccountKind::PaidByOfficer,
            receipt: payment.number.clone(),
            grade: None,
            means: Some(payment.means),
            sums: Sums::paid(payment.paid_minor),
        });
    }

    /// Books what the desk paid on a receipt, minor units.
    pub fn paid_by_desk(
        &mut self,
        receipt: &ReceiptNumber,
        day: NaiveDate,
        means: Means,
        minor: i64,
    ) {
        self.lines.push(AccountLine {
            day,
            late_from: None,
            kind: AccountKind::PaidByDesk,
            receipt: receipt.clone(),
            grade: None,
            means: Some(means),
            sums: Sums::paid(minor),
        });
    }

    /// Books that a payment of the desk was reversed, minor units.
    pub fn reversed(&mut self, receipt: &ReceiptNumber, day: NaiveDate, means: Means, minor: i64) {
        self.lines.push(AccountLine {
            day,
            late_from: None,
            kind: AccountKind::Reversed,
            receipt: receipt.clone(),
            grade: None,
            means: Some(means),
            sums: Sums::paid(minor).negated(),
        });
    }

    /// Books that the desk reversed what a receipt still owed, minor units: its honey is worth so
    /// much less to the member.
    pub fn debt_reversed(&mut self, receipt: &ReceiptNumber, day: NaiveDate, minor: i64) {
        self.debt_changed(
            receipt,
            day,
            AccountKind::DebtReversed,
            minor.saturating_neg(),
        );
    }

    /// Books that such a reversal was undone.
    pub fn debt_restored(&mut self, receipt: &ReceiptNumber, day: NaiveDate, minor: i64) {
        self.debt_changed(receipt, day, AccountKind::DebtRestored, minor);
    }

    fn debt_changed(
        &mut self,
        receipt: &ReceiptNumber,
        day: NaiveDate,
        kind: AccountKind,
        minor: i64,
    ) {
        self.lines.push(AccountLine {
            day,
            late_from: None,
            kind,
            receipt: receipt.clone(),
            grade: None,
            means: None,
            sums: Sums {
                value: ExactMinor::from_minor(minor),
                payable_minor: minor,
                ..Sums::NOTHING
            },
        });
    }

    /// Lets the line booked last count on another day than its own, which was closed when it came.
    pub fn counts_on(&mut self, day: NaiveDate) {
        if let Some(line) = self.lines.last_mut()
            && line.day != day
        {
            line.late_from = Some(line.day);
            line.day = day;
        }
    }

    /// The account over some days, both ends included.
    pub fn statement(&self, from: NaiveDate, to: NaiveDate) -> Statement {
        let mut statement = Statement {
            owed_before_minor: 0,
            lines: Vec::new(),
            total: Sums::NOTHING,
            grades: BTreeMap::new(),
            owed_after_minor: 0,
        };
        for line in &self.lines {
            if line.day < from {
                let owed = line.sums.owed_minor();
                statement.owed_before_minor = statement.owed_before_minor.saturating_add(owed);
            } else if line.day <= to {
                statement.total = statement.total.plus(line.sums);
                if let Some(grade) = &line.grade {
                    let sums = statement
                        .grades
                        .entry(grade.clone())
                        .or_insert(Sums::NOTHING);
                    *sums = sums.plus(line.sums);
                }
                statement.lines.push(line.clone());
            }
        }
        statement.lines.sort_by_key(|line| line.day);
        statement.owed_after_minor = statement
            .owed_before_minor
            .saturating_add(statement.total.owed_minor());
        statement
    }
}
