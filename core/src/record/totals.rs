//! Sums of a day's entries: kilograms, money and pails. Phone and desk sum by the same lines.

use super::entry::EntryBody;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a handset did on one day. A cancellation counts on the day it is made, as a subtraction: a
/// closed day's sums never change, and the sums of all days together are what stands. So a day may
/// show fewer than no pails; what the officer has in hand is [`OpenDay`](super::OpenDay)'s count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DayTotalV1 {
    /// Which day.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Receipts issued.
    pub receipts: u64,
    /// Slips issued.
    pub slips: u64,
    /// Receipts cancelled.
    pub cancellations: u64,
    /// Full pails: those bought, less those given back.
    pub pails: i64,
    /// Net mass bought, grams.
    pub net_g: i64,
    /// Value bought, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub payable_minor: i64,
    /// Paid out, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub paid_minor: i64,
}

impl DayTotalV1 {
    /// A day on which nothing happened yet.
    pub const fn empty(day: NaiveDate) -> Self {
        Self {
            day,
            receipts: 0,
            slips: 0,
            cancellations: 0,
            pails: 0,
            net_g: 0,
            payable_minor: 0,
            paid_minor: 0,
        }
    }

    /// Owed of what was bought, minor units; below nothing where more was paid.
    pub const fn owed_minor(&self) -> i64 {
        self.payable_minor.saturating_sub(self.paid_minor)
    }

    /// Adds another handset's day, or another part of this one. Sums saturate.
    pub const fn add_total(&mut self, other: &Self) {
        self.receipts = self.receipts.saturating_add(other.receipts);
        self.slips = self.slips.saturating_add(other.slips);
        self.cancellations = self.cancellations.saturating_add(other.cancellations);
        self.pails = self.pails.saturating_add(other.pails);
        self.net_g = self.net_g.saturating_add(other.net_g);
        self.payable_minor = self.payable_minor.saturating_add(other.payable_minor);
        self.paid_minor = self.paid_minor.saturating_add(other.paid_minor);
    }

    /// Adds what an entry did. Sums saturate: no honest day comes near.
    pub fn add(&mut self, body: &EntryBody) {
        match body {
            EntryBody::Receipt(receipt) => {
                self.receipts += 1;
                let pails = i64::try_from(receipt.delivery.pails.len()).unwrap_or(i64::MAX);
                self.pails = self.pails.saturating_add(pails);
                let net = receipt.assessment.net_g.map_or(0, i64::from);
                self.net_g = self.net_g.saturating_add(net);
                let payable = receipt.assessment.payable_minor.unwrap_or(0);
                self.payable_minor = self.payable_minor.saturating_add(payable);
                self.paid_minor = self
                    .paid_minor
                    .saturating_add(receipt.settlement.paid_minor);
            }
            EntryBody::Slip(_) => self.slips += 1,
            EntryBody::Cancellation(cancelled) => {
                self.cancellations += 1;
                self.pails = self.pails.saturating_sub(cancelled.pails.into());
                self.net_g = self.net_g.saturating_sub(cancelled.net_g.get());
                self.payable_minor = self.payable_minor.saturating_sub(cancelled.payable_minor);
                self.paid_minor = self.paid_minor.saturating_sub(cancelled.returned_minor);
            }
            EntryBody::Payment(payment) => {
                self.paid_minor = self.paid_minor.saturating_add(payment.paid_minor);
            }
            EntryBody::Enrolled(_)
            | EntryBody::DayOpened(_)
            | EntryBody::MemberRegistered(_)
            | EntryBody::ClockNoticed(_)
            | EntryBody::DayClosed(_) => {}
        }
    }
}

/// Which day an entry counts on, if it moves honey or money.
pub fn day_of(body: &EntryBody) -> Option<NaiveDate> {
    match body {
        EntryBody::Receipt(receipt) => Some(receipt.day),
        EntryBody::Slip(slip) => Some(slip.day),
        EntryBody::Cancellation(cancelled) => Some(cancelled.day),
        EntryBody::Payment(payment) => Some(payment.day),
        _ => None,
    }
}

/// Sums by day, in order of days.
pub fn totals_by_day<'a>(bodies: impl IntoIterator<Item = &'a EntryBody>) -> Vec<DayTotalV1> {
    let mut days = BTreeMap::new();
    for body in bodies {
        if let Some(day) = day_of(body) {
            days.entry(day)
                .or_insert_with(|| DayTotalV1::empty(day))
                .add(body);
        }
    }
    days.into_values().collect()
}
