//! Pails at the store: those that papers send there, and what was found when they came.

use super::{PaperKind, StoreError};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::{PailAtStore, PailStands};
use combgate_core::record::ReceiptNumber;
use combgate_core::units::{Code, Label};
use std::ops::{Range, RangeInclusive};

/// A pail on a paper.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct PailPlace {
    /// Which handset issued the paper.
    pub handset: Code,
    /// The paper's entry.
    pub seq: u64,
    /// Where the pail stands on it, from 1.
    pub place: u64,
}

/// A pail that a paper sends to the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PailRow {
    /// Where it is written.
    pub at: PailPlace,
    /// Its number.
    pub number: Code,
    /// The paper's number.
    pub paper: ReceiptNumber,
    /// Bought, or held at the store.
    pub kind: PaperKind,
    /// The day the paper counts on.
    pub day: NaiveDate,
    /// The day written on the paper: an earlier one where that was closed when the paper came.
    pub written_on: NaiveDate,
    /// Whose honey.
    pub member: Code,
    /// The paper was cancelled.
    pub cancelled: bool,
    /// The weighing at the store that stands, if it was received.
    pub received: Option<Received>,
}

/// That a pail was received.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Received {
    /// Which weighing.
    pub id: i64,
    /// On which day.
    pub day: NaiveDate,
    /// By whom.
    pub by: Label,
}

/// A weighing at the store that no longer counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// By whom.
    pub by: Label,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Why.
    pub because: Label,
}

/// A pail weighed and looked at in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceivingRow {
    /// Its identity; 0 before it is kept.
    pub id: i64,
    /// The pail's number.
    pub pail: Code,
    /// Its paper; `None` while none names it.
    pub paper: Option<PailPlace>,
    /// The day it counts on.
    pub day: NaiveDate,
    /// What was found, and by whom.
    pub found: PailAtStore,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Whether it no longer counts.
    pub set_aside: Option<SetAside>,
}

/// The store's side of the ledger.
pub trait Depot {
    /// Keeps which pails a paper sends to the store, in the order in which they stand on it. They are
    /// on the way from the day that the paper counts on, unless it is cancelled.
    fn keep_pails(
        &self,
        handset: &Code,
        seq: u64,
        on_the_way: Option<NaiveDate>,
        numbers: &[&Code],
    ) -> Result<(), StoreError>;
    /// Pails of a number, the latest day first.
    fn pails_named(&self, number: &Code) -> Result<Vec<PailRow>, StoreError>;
    /// The pail at a place of a paper.
    fn pail_at(&self, at: &PailPlace) -> Result<Option<PailRow>, StoreError>;
    /// Pails of papers of these days, in order of day, handset, entry and place.
    fn pails_on(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<PailRow>, StoreError>;

    /// Pails of papers of these days that did not come yet: those at these places of all in order of
    /// day, handset, entry and place, counted from 0.
    fn on_the_way(
        &self,
        days: RangeInclusive<NaiveDate>,
        part: Range<usize>,
    ) -> Result<Vec<PailRow>, StoreError>;
    /// How many there are.
    fn count_on_the_way(&self, days: RangeInclusive<NaiveDate>) -> Result<u64, StoreError>;

    /// How the pails of a handset's papers of a day stand, with how many stand so.
    fn pails_stand(
        &self,
        handset: &Code,
        day: NaiveDate,
    ) -> Result<Vec<(PailStands, u64)>, StoreError>;
    /// Pails of a handset's papers of a day that did not come yet, in order of entry and place.
    fn on_the_way_of(&self, handset: &Code, day: NaiveDate) -> Result<Vec<PailRow>, StoreError>;

    /// Keeps a weighing and says its identity. A pail of a paper is received once: a second
    /// weighing is refused until the first is set aside.
    fn keep_receiving(&self, receiving: &ReceivingRow) -> Result<i64, StoreError>;
    /// A weighing.
    fn receiving(&self, id: i64) -> Result<Option<ReceivingRow>, StoreError>;
    /// Weighings of these days, the latest made first, those set aside included, so many at most.
    fn receivings_on(
        &self,
        days: RangeInclusive<NaiveDate>,
        most: u64,
    ) -> Result<Vec<ReceivingRow>, StoreError>;
    /// Weighings that stand and that no paper names, in the order made.
    fn unmatched(&self) -> Result<Vec<ReceivingRow>, StoreError>;
    /// Names the paper of a weighing that had none.
    fn match_receiving(&self, id: i64, paper: &PailPlace) -> Result<(), StoreError>;
    /// Sets a weighing aside; it stays in the ledger.
    fn set_aside(&self, id: i64, how: &SetAside) -> Result<(), StoreError>;
}
