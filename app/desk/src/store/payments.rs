//! What the desk pays: lists, the payments on them, and what officers paid later.

use super::{FindingRow, Paper, StoreError};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{Means, ReceiptNumber};
use combgate_core::units::{Code, Label};
use std::ops::RangeInclusive;

/// That somebody did something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Act {
    /// Who.
    pub by: Label,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// A payment list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaymentList {
    /// Its number.
    pub id: i64,
    /// By what means its payments go out.
    pub means: Means,
    /// Who put it together.
    pub proposed: Act,
    /// Who approved it, once another person did.
    pub approved: Option<Act>,
}

/// That money went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settled {
    /// The day it counts on.
    pub day: NaiveDate,
    /// Who says so.
    pub act: Act,
    /// The provider's reference, or that of the paper which was signed.
    pub reference: Option<Code>,
}

/// That a payment no longer counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reversed {
    /// The day it counts on.
    pub day: NaiveDate,
    /// Who reversed it.
    pub act: Act,
    /// Why.
    pub because: Label,
}

/// A payment on a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaymentRow {
    /// Its identity; 0 before it is kept.
    pub id: i64,
    /// On which list.
    pub list: i64,
    /// Whose handset issued the receipt.
    pub handset: Code,
    /// The receipt's entry.
    pub seq: u64,
    /// The receipt's number.
    pub receipt: ReceiptNumber,
    /// Who gets it.
    pub member: Code,
    /// Minor units, above nothing.
    pub minor: i64,
    /// Why it is paid although something serious was found.
    pub despite: Option<Label>,
    /// That it went out.
    pub settled: Option<Settled>,
    /// That it no longer counts.
    pub reversed: Option<Reversed>,
}

/// The desk's payments.
pub trait Payments {
    /// Receipts on which something is owed, in order of member, day, handset and entry.
    fn owing(&self) -> Result<Vec<Paper>, StoreError>;
    /// What is owed to a member, minor units.
    fn owed_to(&self, member: &Code) -> Result<i64, StoreError>;
    /// A member's receipts and slips, in order of day, handset and entry.
    fn papers_of(&self, member: &Code) -> Result<Vec<Paper>, StoreError>;
    /// Serious findings in a paper's entry, and in others that name its number.
    fn serious(&self, paper: &Paper) -> Result<Vec<FindingRow>, StoreError>;

    /// Keeps that an entry is an officer's payment on a receipt.
    fn keep_field_payment(&self, handset: &Code, seq: u64, paper: u64) -> Result<(), StoreError>;
    /// Entries of officers' payments on a receipt, in order.
    fn field_payments(&self, handset: &Code, paper: u64) -> Result<Vec<u64>, StoreError>;

    /// Begins a list and says its number.
    fn begin_list(&self, means: Means, proposed: &Act) -> Result<i64, StoreError>;
    /// A list.
    fn payment_list(&self, id: i64) -> Result<Option<PaymentList>, StoreError>;
    /// Lists, the newest first, so many at most.
    fn payment_lists(&self, most: usize) -> Result<Vec<PaymentList>, StoreError>;
    /// What of a list stands, minor units, and how many of its payments are neither settled nor
    /// reversed.
    fn list_stands(&self, id: i64) -> Result<(i64, u64), StoreError>;
    /// Approves a list that nobody approved yet; false if somebody did.
    fn approve_list(&self, id: i64, approved: &Act) -> Result<bool, StoreError>;

    /// Puts a payment on a list and says its identity. A receipt stands on one list at most: a
    /// second payment is refused until the first is reversed.
    fn add_payment(&self, payment: &PaymentRow) -> Result<i64, StoreError>;
    /// Payments on a list, in the order put there.
    fn payments_in(&self, list: i64) -> Result<Vec<PaymentRow>, StoreError>;
    /// Payments on a receipt, in the order put on lists.
    fn payments_on_receipt(&self, handset: &Code, seq: u64) -> Result<Vec<PaymentRow>, StoreError>;
    /// Payments of receipts that were cancelled, or of which more was paid than payable; settled
    /// and not reversed.
    fn payments_too_many(&self) -> Result<Vec<PaymentRow>, StoreError>;
    /// Payments settled or reversed on these days, in the order put on lists.
    fn payments_on(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<PaymentRow>, StoreError>;
    /// Says that the money of a payment on an approved list went out; false if it did before, was
    /// reversed, or the list is not approved.
    fn settle_payment(&self, id: i64, settled: &Settled) -> Result<bool, StoreError>;
    /// Reverses a payment; false if it was reversed before.
    fn reverse_payment(&self, id: i64, reversed: &Reversed) -> Result<bool, StoreError>;
}
