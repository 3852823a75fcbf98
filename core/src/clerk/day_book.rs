//! The day book: what was bought, paid and owed on one day, by handset and by grade.

use crate::record::{DayTotalV1, EntryBody};
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

/// One grade's day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GradeTotal {
    /// Receipts.
    pub receipts: u64,
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
}

impl DayBook {
    /// An empty page.
    pub const fn new(day: NaiveDate) -> Self {
        Self {
            day,
            rows: BTreeMap::new(),
            grades: BTreeMap::new(),
        }
    }

    /// Adds a booked entry; one that counts on another day is left out.
    pub fn add(&mut self, handset: &Code, body: &EntryBody) {
        if crate::record::day_of(body) != Some(self.day) {
            return;
        }
        self.rows
            .entry(handset.clone())
            .or_insert_with(|| DayTotalV1::empty(self.day))
            .add(body);
        if let EntryBody::Receipt(receipt) = body
            && let Some(grade) = &receipt.assessment.grade
        {
            let total = self.grades.entry(grade.clone()).or_default();
            total.receipts += 1;
            let net = receipt.assessment.net_g.map_or(0, i64::from);
            total.net_g = total.net_g.saturating_add(net);
            total.payable_minor = total
                .payable_minor
                .saturating_add(receipt.assessment.payable_minor.unwrap_or(0));
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

    /// Grades in order of code, before cancellations.
    pub const fn grades(&self) -> &BTreeMap<Code, GradeTotal> {
        &self.grades
    }

    /// All handsets together.
    pub fn total(&self) -> DayTotalV1 {
        let mut sum = DayTotalV1::empty(self.day);
        for total in self.rows.values() {
            sum.receipts += total.receipts;
            sum.slips += total.slips;
            sum.cancellations += total.cancellations;
            sum.pails = sum.pails.saturating_add(total.pails);
            sum.net_g = sum.net_g.saturating_add(total.net_g);
            sum.payable_minor = sum.payable_minor.saturating_add(total.payable_minor);
            sum.paid_minor = sum.paid_minor.saturating_add(total.paid_minor);
        }
        sum
    }
}
