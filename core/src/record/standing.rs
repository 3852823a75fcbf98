//! Where a handset stands after its entries: numbers used, the day open, cash and pails in hand.
//!
//! The phone keeps it to know what comes next, the desk to review what came: one fold for both.

use super::day::DayOpenedV1;
use super::delivery::{RefractometerV1, WeighingScaleV1};
use super::entry::{EntryBody, Keeper, Means, ParsedEntry};
use super::number::{NumberError, ReceiptNumber};
use crate::units::{Code, Label};
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use uuid::Uuid;

/// A handset after its last entry.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standing {
    /// Wall clock of the last entry.
    pub last_at: Option<DateTime<FixedOffset>>,
    /// Highest running number of a receipt or slip; 0 before the first.
    pub last_running: u32,
    /// Members put on the register by this handset.
    pub members_registered: u32,
    /// The day that is open.
    pub open: Option<OpenDay>,
    /// Days that were closed.
    pub closed: BTreeSet<NaiveDate>,
}

/// The day that is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenDay {
    /// Which day.
    pub day: NaiveDate,
    /// Who buys.
    pub officer: Label,
    /// The weighing scale, with the verdict of its check.
    pub scale: Option<WeighingScaleV1>,
    /// The refractometer, with what its check found.
    pub refractometer: Option<RefractometerV1>,
    /// Cash that should be in hand, minor units; negative if more was paid than was counted in.
    pub cash_minor: i64,
    /// Full pails that should be in hand.
    pub full_pails: u64,
    /// Deliveries that have their paper.
    pub deliveries: BTreeSet<Uuid>,
}

impl Standing {
    /// Takes note of the next entry.
    pub fn note(&mut self, entry: &ParsedEntry) {
        self.last_at = Some(entry.at());
        match entry.body() {
            EntryBody::DayOpened(opened) => self.open = Some(OpenDay::begin(opened)),
            EntryBody::DayClosed(closed) => {
                self.open = None;
                self.closed.insert(closed.day);
            }
            EntryBody::MemberRegistered(_) => {
                self.members_registered = self.members_registered.saturating_add(1);
            }
            EntryBody::Receipt(receipt) => {
                self.last_running = self.last_running.max(receipt.number.running());
            }
            EntryBody::Slip(slip) => {
                self.last_running = self.last_running.max(slip.number.running());
            }
            _ => {}
        }
        if let Some(open) = &mut self.open {
            open.note(entry.body());
        }
    }

    /// The number that the next receipt or slip bears.
    pub fn next_number(
        &self,
        handset: &Code,
        day: NaiveDate,
    ) -> Result<ReceiptNumber, NumberError> {
        // OK because the remainder of a hundred fits.
        let year = u8::try_from(day.year().rem_euclid(100)).unwrap_or_default();
        ReceiptNumber::new(handset, year, self.last_running.saturating_add(1))
    }
}

impl OpenDay {
    fn begin(opened: &DayOpenedV1) -> Self {
        Self {
            day: opened.day,
            officer: opened.officer.clone(),
            scale: opened.weighing_scale(),
            refractometer: opened.refractometer_as_checked(),
            cash_minor: opened.float_minor,
            full_pails: 0,
            deliveries: BTreeSet::new(),
        }
    }

    fn note(&mut self, body: &EntryBody) {
        match body {
            EntryBody::Receipt(receipt) => {
                self.deliveries.insert(receipt.delivery_id);
                self.full_pails += count(receipt.delivery.pails.len());
                if receipt.settlement.means == Some(Means::Cash) {
                    self.cash_minor = self
                        .cash_minor
                        .saturating_sub(receipt.settlement.paid_minor);
                }
            }
            EntryBody::Slip(slip) => {
                self.deliveries.insert(slip.delivery_id);
                if slip.pails_with == Keeper::Cooperative {
                    self.full_pails += count(slip.delivery.pails.len());
                }
            }
            EntryBody::Cancellation(cancelled) => {
                self.full_pails = self.full_pails.saturating_sub(cancelled.pails.into());
                if cancelled.means == Some(Means::Cash) {
                    self.cash_minor = self.cash_minor.saturating_add(cancelled.returned_minor);
                }
            }
            EntryBody::Payment(payment) if payment.means == Means::Cash => {
                self.cash_minor = self.cash_minor.saturating_sub(payment.paid_minor);
            }
            _ => {}
        }
    }
}

fn count(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
