//! Where a handset stands after its entries: numbers used, the day open, cash and pails in hand.
//!
//! The phone keeps it to know what comes next, the desk to review what came: one fold for both.

use super::day::DayOpenedV1;
use super::delivery::{DeliveryV1, RefractometerV1, WeighingScaleV1};
use super::entry::{EntryBody, Keeper, Means, ParsedEntry};
use super::number::{NumberError, ReceiptNumber};
use crate::units::{Code, Currency, Label};
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A handset after its last entry.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standing {
    /// Wall clock of the last entry.
    #[serde(with = "super::time::instant_if_any")]
    pub last_at: Option<DateTime<FixedOffset>>,
    /// Highest running number of a receipt or slip; 0 before the first.
    pub last_running: u32,
    /// Members put on the register by this handset.
    pub members_registered: u32,
    /// The day that is open.
    pub open: Option<OpenDay>,
    /// Days that were closed.
    #[serde(with = "super::time::days")]
    pub closed: BTreeSet<NaiveDate>,
    /// Cash counted when the last day closed, minor units; it may be the next day's float.
    pub cash_left_minor: Option<i64>,
}

/// The day that is open.
///
/// Pails in hand are those of this day alone: the pails of days before went to the store with
/// their closing. So the cancellation of an earlier day's receipt moves cash, which is given back
/// here and now, but no pail.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenDay {
    /// Which day.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Who buys.
    pub officer: Label,
    /// The weighing scale, with the verdict of its check.
    pub scale: Option<WeighingScaleV1>,
    /// The refractometer, with what its check found.
    pub refractometer: Option<RefractometerV1>,
    /// Currency of the float.
    pub currency: Option<Currency>,
    /// Cash that should be in hand, minor units; negative if more was paid than was counted in.
    pub cash_minor: i64,
    /// Full pails that should be in hand.
    pub full_pails: u64,
    /// Empty pails taken in the morning.
    pub pails_taken: u64,
    /// Pails of held and refused deliveries that members took home; whose pails they are is not
    /// written anywhere.
    pub pails_with_members: u64,
    /// Seals taken in the morning.
    pub seals_taken: u32,
    /// Seals put on, each with the pail it is on.
    pub seals: BTreeMap<Code, Code>,
    /// Receipts of this day that stand.
    pub receipts: BTreeSet<ReceiptNumber>,
    /// Pails on receipts of this day that stand, each with its receipt.
    pub pails: Vec<(Code, ReceiptNumber)>,
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
                self.cash_left_minor = Some(closed.cash_minor);
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

    /// Full pails that should be in hand on the day that is open; none between two days.
    pub fn full_pails(&self) -> u64 {
        self.open.as_ref().map_or(0, |open| open.full_pails)
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
    /// Cash that would be left after a payment, minor units; below nothing where the float does
    /// not reach.
    pub const fn cash_after(&self, paid_minor: i64, means: Means) -> i64 {
        match means {
            Means::Cash => self.cash_minor.saturating_sub(paid_minor),
            Means::MobileMoney => self.cash_minor,
        }
    }

    /// Whether a seal was put on another pail than this one earlier in the day.
    pub fn is_on_another(&self, seal: &Code, pail: &Code) -> bool {
        self.seals.get(seal).is_some_and(|on| on != pail)
    }

    /// The receipt of this day that stands and has this pail on it already.
    ///
    /// A pail of a slip may come again, with the same honey or empty. One on a receipt is full and in
    /// hand, unless it was emptied since, which nobody writes down.
    pub fn receipt_with(&self, pail: &Code) -> Option<&ReceiptNumber> {
        let mut pails = self.pails.iter();
        pails.find_map(|(number, receipt)| (number == pail).then_some(receipt))
    }

    fn begin(opened: &DayOpenedV1) -> Self {
        Self {
            day: opened.day,
            officer: opened.officer.clone(),
            scale: opened.weighing_scale(),
            refractometer: opened.refractometer_as_checked(),
            currency: Some(opened.currency),
            cash_minor: opened.float_minor,
            full_pails: 0,
            pails_taken: opened.pails.into(),
            pails_with_members: 0,
            seals_taken: opened.seals,
            seals: BTreeMap::new(),
            receipts: BTreeSet::new(),
            pails: Vec::new(),
            deliveries: BTreeSet::new(),
        }
    }

    /// Whether it was left open on an earlier day than today: what is bought now counts on it, at its
    /// prices and its checks.
    pub fn is_left_open(&self, today: NaiveDate) -> bool {
        self.day < today
    }

    /// The least and the most empty pails that should be in hand: those taken less those filled,
    /// and less those with members, some of which may be the members' own.
    pub const fn empty_pails(&self) -> (u64, u64) {
        let most = self.pails_taken.saturating_sub(self.full_pails);
        (most.saturating_sub(self.pails_with_members), most)
    }

    /// The number of empty pails that should be in hand and is nearest to what was counted: the same
    /// where the count is right. Some pails with members may be the members' own, so more than one is.
    pub fn nearest_empty_pails(&self, counted: u64) -> u64 {
        let (least, most) = self.empty_pails();
        counted.clamp(least, most)
    }

    fn note(&mut self, body: &EntryBody) {
        match body {
            EntryBody::Receipt(receipt) => {
                self.deliveries.insert(receipt.delivery_id);
                self.receipts.insert(receipt.number.clone());
                self.put_on_seals(&receipt.delivery);
                for pail in &receipt.delivery.pails {
                    self.pails
                        .push((pail.number.clone(), receipt.number.clone()));
                }
                self.full_pails += count(receipt.delivery.pails.len());
                if receipt.settlement.means == Some(Means::Cash) {
                    self.cash_minor = self
                        .cash_minor
                        .saturating_sub(receipt.settlement.paid_minor);
                }
            }
            EntryBody::Slip(slip) => {
                self.deliveries.insert(slip.delivery_id);
                self.put_on_seals(&slip.delivery);
                let pails = count(slip.delivery.pails.len());
                match slip.pails_with {
                    Keeper::Cooperative => self.full_pails += pails,
                    Keeper::Member => self.pails_with_members += pails,
                }
            }
            EntryBody::Cancellation(cancelled) => {
                if self.receipts.remove(&cancelled.number) {
                    self.full_pails = self.full_pails.saturating_sub(cancelled.pails.into());
                    self.pails.retain(|(_, on)| *on != cancelled.number);
                }
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

    fn put_on_seals(&mut self, delivery: &DeliveryV1) {
        for pail in &delivery.pails {
            if let Some(seal) = &pail.seal {
                self.seals.insert(seal.clone(), pail.number.clone());
            }
        }
    }
}

fn count(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
