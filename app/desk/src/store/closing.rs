//! Closed days, what came too late for its day, and cash given during a day.

use super::{Act, StoreError};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::ClosedTo;
use combgate_core::units::{Code, Label};
use std::ops::RangeInclusive;

/// A day's sums when it was closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DaySums {
    /// Receipts.
    pub receipts: u64,
    /// Slips.
    pub slips: u64,
    /// Cancellations.
    pub cancellations: u64,
    /// Net mass, grams.
    pub net_g: i64,
    /// Value, minor units.
    pub payable_minor: i64,
    /// Paid by officers, minor units.
    pub paid_minor: i64,
    /// Paid by the desk less reversed, minor units.
    pub desk_minor: i64,
}

/// A closed day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedDay {
    /// Which day.
    pub day: NaiveDate,
    /// Who closed it, and when.
    pub closed: Act,
    /// Its sums then.
    pub sums: DaySums,
}

/// Cash given to an officer during a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CashGiven {
    /// To which handset's officer.
    pub handset: Code,
    /// On which day.
    pub day: NaiveDate,
    /// Minor units; below nothing when taken back.
    pub minor: i64,
    /// What for.
    pub note: Option<Label>,
    /// By whom.
    pub by: Label,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// The closing of days.
pub trait Closing {
    /// How far the books are closed.
    fn closed_to(&self) -> Result<ClosedTo, StoreError>;
    /// Closes a day.
    fn close_day(&self, closed: &ClosedDay) -> Result<(), StoreError>;
    /// Closed days, the newest first.
    fn closed_days(&self) -> Result<Vec<ClosedDay>, StoreError>;
    /// Days among these on which something is booked, in order.
    fn days_booked(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<NaiveDate>, StoreError>;
    /// The first day on which something is booked.
    fn first_day(&self) -> Result<Option<NaiveDate>, StoreError>;
    /// Lets a booked entry, and its paper if it is one, count on another day than its own.
    fn count_late(&self, handset: &Code, seq: u64, on: NaiveDate) -> Result<(), StoreError>;
    /// The day on which a booked entry counts.
    fn counts_on(&self, handset: &Code, seq: u64) -> Result<Option<NaiveDate>, StoreError>;

    /// Keeps cash given.
    fn give_cash(&self, cash: &CashGiven) -> Result<(), StoreError>;
    /// Cash given to a handset's officer on a day, in the order given.
    fn cash_given(&self, handset: &Code, day: NaiveDate) -> Result<Vec<CashGiven>, StoreError>;
}
