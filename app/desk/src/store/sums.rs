//! Sums and counts that are kept beside the entries, so that no page reads a whole day, let alone a
//! season. They follow from the entries, and could be made again from them.

use super::StoreError;
use chrono::NaiveDate;
use combgate_core::clerk::{DayBook, DayBookRow, DayMoved, GradeTotal};
use combgate_core::record::DayTotalV1;
use combgate_core::units::Code;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// The sums of a day's book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayBookSums {
    /// By handset, in order of code.
    pub rows: Vec<DayBookRow>,
    /// By grade.
    pub grades: BTreeMap<Code, GradeTotal>,
    /// All handsets together.
    pub total: DayTotalV1,
}

/// What receipts of a day stand at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DayStands {
    /// Net mass, grams.
    pub net_g: i64,
    /// Payable, minor units.
    pub payable_minor: i64,
    /// Owed, minor units; below nothing where more was paid.
    pub owed_minor: i64,
}

/// What is counted of the papers of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tallied {
    /// Moisture, by the lower end of its step, hundredths of a percent.
    Moisture,
    /// A limit that moisture was judged by, hundredths of a percent.
    Limit,
    /// Last digit of a full weight.
    Digit,
}

/// How often something was counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TallyRow {
    /// What was counted.
    pub what: Tallied,
    /// The kind of bee, or the officer who weighed.
    pub about: String,
    /// The scale; empty for moisture.
    pub scale: String,
    /// Which value.
    pub value: i64,
    /// How often.
    pub count: u64,
}

/// Sums and counts by day.
pub trait Sums {
    /// Adds to the sums of a day what newly booked entries came to.
    fn keep_sums(&self, book: &DayBook) -> Result<(), StoreError>;
    /// The sums of a day.
    fn day_sums(&self, day: NaiveDate) -> Result<DayBookSums, StoreError>;

    /// Adds to what an officer's day came to what its newly booked entries did; the day is known by
    /// the number of the entry that opened it.
    fn keep_moved(&self, handset: &Code, opening: u64, moved: &DayMoved) -> Result<(), StoreError>;
    /// What an officer's day came to.
    fn moved(&self, handset: &Code, opening: u64) -> Result<DayMoved, StoreError>;

    /// What the receipts of a day stand at now, those cancelled left out.
    fn day_stands(&self, day: NaiveDate) -> Result<DayStands, StoreError>;
    /// The same for some days, by day and grade.
    fn stands_by_grade(
        &self,
        days: RangeInclusive<NaiveDate>,
    ) -> Result<Vec<(NaiveDate, Code, DayStands)>, StoreError>;

    /// Adds to what is counted of a day.
    fn keep_tally(&self, day: NaiveDate, rows: &[TallyRow]) -> Result<(), StoreError>;
    /// What was counted on some days, all of them together.
    fn tallied(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<TallyRow>, StoreError>;
}
