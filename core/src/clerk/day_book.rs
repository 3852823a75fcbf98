//! The day book: what was bought, paid and owed on one day, by handset and by grade.

use crate::record::{DayTotalV1, EntryBody, ReceiptNumber};
use crate::units::Code;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// One handset's day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayBookRow {
    /// The handset.
    pub handset: Code,
    /// Its sums.
    pub total: DayTotalV1,
}

/// One grade's day: receipts less cancellations made that day, so that the grades together are the
/// day's sums.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GradeTotal {
    /// Receipts, less those cancelled; below nothing when more receipts of earlier days were
    /// cancelled than written.
    pub receipts: i64,
    /// Net mass, grams.
    pub net_g: i64,
    /// Value, minor units.
    pub payable_minor: i64,
}

/// One day of all handsets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayBook {
    day: NaiveDate,
    rows: BTreeMap<Code, DayTotalV1>,
    grades: BTreeMap<Code, GradeTotal>,
    /// Of the receipts that a cancellation may undo, by handset and number.
    graded: BTreeMap<(Code, ReceiptNumber), Code>,
}

impl GradeTotal {
    const fn add(&mut self, receipts: i64, net_g: i64, payable_minor: i64) {
        self.receipts = self.receipts.saturating_add(receipts);
        self.net_g = self.net_g.saturating_add(net_g);
        self.payable_minor = self.payable_minor.saturating_add(payable_minor);
    }
}

impl DayBook {
    /// An empty page.
    pub const fn new(day: NaiveDate) -> Self {
        Self {
            day,
            rows: BTreeMap::new(),
            grades: BTreeMap::new(),
            graded: BTreeMap::new(),
        }
    }

    /// Tells the grade of a receipt of another day, which a cancellation of this day may undo.
    pub fn know(&mut self, handset: &Code, number: &ReceiptNumber, grade: &Code) {
        let receipt = (handset.clone(), number.clone());
        self.graded.insert(receipt, grade.clone());
    }

    /// Adds an entry that counts on this day, whatever day it bears: one that came late counts on
    /// the day that was open then.
    pub fn count(&mut self, handset: &Code, body: &EntryBody) {
        self.remember(handset, body);
        if crate::record::day_of(body).is_some() {
            self.sum(handset, body);
        }
    }

    fn remember(&mut self, handset: &Code, body: &EntryBody) {
        if let EntryBody::Receipt(receipt) = body
            && let Some(grade) = &receipt.assessment.grade
        {
            self.know(handset, &receipt.number, grade);
        }
    }

    /// Adds a booked entry. One that counts on another day is left out, but a receipt's grade is
    /// remembered.
    pub fn add(&mut self, handset: &Code, body: &EntryBody) {
        self.remember(handset, body);
        if crate::record::day_of(body) == Some(self.day) {
            self.sum(handset, body);
        }
    }

    fn sum(&mut self, handset: &Code, body: &EntryBody) {
        self.rows
            .entry(handset.clone())
            .or_insert_with(|| DayTotalV1::empty(self.day))
            .add(body);
        match body {
            EntryBody::Receipt(receipt) => {
                if let Some(grade) = &receipt.assessment.grade {
                    let net = receipt.assessment.net_g.map_or(0, i64::from);
                    let payable = receipt.assessment.payable_minor.unwrap_or(0);
                    let total = self.grades.entry(grade.clone()).or_default();
                    total.add(1, net, payable);
                }
            }
            EntryBody::Cancellation(undone) => {
                let receipt = (handset.clone(), undone.number.clone());
                if let Some(grade) = self.graded.get(&receipt) {
                    let total = self.grades.entry(grade.clone()).or_default();
                    total.add(
                        -1,
                        -undone.net_g.get(),
                        undone.payable_minor.saturating_neg(),
                    );
                }
            }
            _ => {}
        }
    }

    /// Which day.
    pub const fn day(&self) -> NaiveDate {
        self.day
    }

    /// Handsets in order of code.
    pub fn rows(&self) -> Vec<DayBookRow> {
        self.rows
            .iter()
            .map(|(handset, total)| DayBookRow {
                handset: handset.clone(),
                total: total.clone(),
            })
            .collect()
    }

    /// Grades in order of code.
    pub const fn grades(&self) -> &BTreeMap<Code, GradeTotal> {
        &self.grades
    }

    /// All handsets together.
    pub fn total(&self) -> DayTotalV1 {
        let mut sum = DayTotalV1::empty(self.day);
        for total in self.rows.values() {
            sum.add_total(total);
        }
        sum
    }
}
