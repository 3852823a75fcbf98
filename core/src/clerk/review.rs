//! Review: every entry is judged anew before it is booked.
//!
//! A handset's entries are reviewed in order of `seq`. What the review must remember between them
//! is [`ReviewState`]; what only the ledger knows is asked through [`Books`].

use super::again::{Paper, judge_again, payable};
use super::counts::{check_counts, check_float, check_seals};
use super::finding::{Finding, FindingKind};
use super::member::{check_due, check_known, check_registered};
use super::money::{
    check_cancellation, check_payment, check_replaced, check_settlement, check_sum,
};
use crate::intake::{Decision, ScaleCheck, Terms};
use crate::record::{
    DayClosedV1, DayOpenedV1, DeliveryV1, EntryBody, MarkV1, MemberV1, ParsedEntry, ReceiptNumber,
    ReceiptV1, SlipV1, Standing, TermsRefV1, day_of,
};
use crate::units::Code;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use uuid::Uuid;

/// What a booked receipt stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceiptFacts {
    /// Net mass, grams.
    pub net_g: i64,
    /// Payable, minor units.
    pub payable_minor: i64,
    /// Paid in all so far, minor units.
    pub paid_minor: i64,
    /// Of what it owed, reversed at the desk, minor units.
    pub reversed_minor: i64,
    /// Pails filled.
    pub pails: u64,
    /// Undone.
    pub cancelled: bool,
}

impl ReceiptFacts {
    /// Owed, minor units: payable less paid less reversed. Nothing once it is cancelled, below
    /// nothing where more was paid.
    pub const fn owed_minor(&self) -> i64 {
        if self.cancelled {
            0
        } else {
            self.payable_minor
                .saturating_sub(self.paid_minor)
                .saturating_sub(self.reversed_minor)
        }
    }
}

/// A policy or a price list in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InForce {
    /// Its name.
    pub id: Code,
    /// Its first day.
    pub from: NaiveDate,
}

/// What the review asks of the ledger, as it stands before the entry under review.
pub trait Books {
    /// The policy and price list that a receipt names, if this desk gave them out with exactly
    /// these digests.
    fn terms(&self, reference: &TermsRefV1) -> Option<Arc<Terms>>;
    /// Of the policies in force on a day, the one that began last: a newer one begins where an
    /// older one without an end stops.
    fn policy_in_force(&self, day: NaiveDate) -> Option<InForce>;
    /// The same of price lists.
    fn price_list_in_force(&self, day: NaiveDate) -> Option<InForce>;
    /// Cash given to this handset with the brief of a serial, minor units; `None` when it was given
    /// no such brief.
    fn float_given(&self, serial: u32) -> Option<i64>;
    /// Whether the desk gave this handset any brief.
    fn gave_briefs(&self) -> bool;
    /// A member on the register, those registered in the field included; the advance is what is
    /// outstanding after all booked receipts.
    fn member(&self, number: &Code) -> Option<Arc<MemberV1>>;
    /// A booked receipt.
    fn receipt(&self, number: &ReceiptNumber) -> Option<ReceiptFacts>;
    /// How much of what is paid on a booked receipt the desk paid, minor units: its officer knows
    /// nothing of that.
    fn paid_by_desk(&self, _receipt: &ReceiptNumber) -> i64 {
        0
    }
    /// The receipt or slip booked for a delivery, whatever the handset and the day.
    fn issued(&self, delivery: Uuid) -> Option<ReceiptNumber>;
}

/// What a review remembers of a handset from entry to entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReviewState {
    handset: Code,
    standing: Standing,
}

impl ReviewState {
    /// A handset, by its code, before its first entry.
    pub fn new(handset: Code) -> Self {
        Self {
            handset,
            standing: Standing::default(),
        }
    }

    /// The day that is open, if one is.
    pub fn day_in_hand(&self) -> Option<NaiveDate> {
        self.standing.open.as_ref().map(|open| open.day)
    }

    /// Full pails that should be in hand on the day that is open.
    pub fn full_pails_in_hand(&self) -> u64 {
        self.standing.full_pails()
    }

    /// Reviews the next entry and remembers what it did.
    pub fn review(&mut self, entry: &ParsedEntry, books: &dyn Books) -> Vec<Finding> {
        let mut kinds = Vec::new();
        self.check_clock(entry, &mut kinds);
        match entry.body() {
            EntryBody::Enrolled(_) => {
                if entry.seq() != 1 {
                    kinds.push(FindingKind::EnrolledAgain);
                }
            }
            EntryBody::DayOpened(opened) => {
                self.open_day(opened, &mut kinds);
                check_float(opened, &self.standing, books, &mut kinds);
            }
            EntryBody::MemberRegistered(member) => {
                check_registered(member, &self.handset, books, &mut kinds);
            }
            EntryBody::Receipt(receipt) => self.review_receipt(receipt, books, &mut kinds),
            EntryBody::Slip(slip) => self.review_slip(slip, books, &mut kinds),
            EntryBody::Cancellation(cancelled) => {
                self.check_day(cancelled.day, &mut kinds);
                self.check_series(&cancelled.number, &mut kinds);
                let currency = self.standing.open.as_ref().and_then(|open| open.currency);
                check_cancellation(cancelled, currency, books, &mut kinds);
            }
            EntryBody::Payment(payment) => {
                self.check_day(payment.day, &mut kinds);
                check_payment(payment, books, &mut kinds);
            }
            EntryBody::ClockNoticed(clock) => {
                kinds.push(FindingKind::ClockJumped {
                    seconds: clock.jump_seconds,
                });
            }
            EntryBody::DayClosed(closed) => self.close_day(closed, &mut kinds),
        }
        let number = number_of(entry.body());
        self.note(entry, number.as_ref());
        kinds
            .into_iter()
            .map(|kind| Finding {
                seq: entry.seq(),
                number: number.clone(),
                kind,
            })
            .collect()
    }

    fn note(&mut self, entry: &ParsedEntry, number: Option<&ReceiptNumber>) {
        let last_running = self.standing.last_running;
        self.standing.note(entry);
        // A number of another series says nothing of where this one stands.
        if number.is_some_and(|number| *number.handset() != self.handset) {
            self.standing.last_running = last_running;
        }
    }

    /// The clock goes forward, and shows the day that the entry counts on: its opening to the day,
    /// its work until the midnight after, its closing whenever that is noticed.
    fn check_clock(&self, entry: &ParsedEntry, kinds: &mut Vec<FindingKind>) {
        if self.standing.last_at.is_some_and(|last| entry.at() < last) {
            kinds.push(FindingKind::ClockBack);
        }
        let clock = entry.at().date_naive();
        let (day, fits) = match entry.body() {
            EntryBody::DayOpened(opened) => (opened.day, clock == opened.day),
            EntryBody::DayClosed(closed) => (closed.day, clock >= closed.day),
            body => match day_of(body) {
                Some(day) => (day, clock == day || Some(clock) == day.succ_opt()),
                None => return,
            },
        };
        if !fits {
            kinds.push(FindingKind::DayNotClock { day, clock });
        }
    }

    fn open_day(&self, opened: &DayOpenedV1, kinds: &mut Vec<FindingKind>) {
        if self.standing.closed.contains(&opened.day) {
            kinds.push(FindingKind::DayAlreadyClosed { day: opened.day });
        }
        if let Some(open) = &self.standing.open {
            kinds.push(FindingKind::DayNotClosed { day: open.day });
        }
        if let Some(scale) = opened.weighing_scale()
            && scale.check != ScaleCheck::Passed
        {
            kinds.push(FindingKind::ScaleUnproven { check: scale.check });
        }
        let refractometer = opened.refractometer_as_checked();
        if refractometer.is_some_and(|instrument| instrument.offset.is_none()) {
            kinds.push(FindingKind::RefractometerUnchecked);
        }
    }

    fn close_day(&self, closed: &DayClosedV1, kinds: &mut Vec<FindingKind>) {
        self.check_day(closed.day, kinds);
        if let Some(open) = &self.standing.open {
            check_counts(closed, open, kinds);
        }
        if let Some(words) = &closed.explanation {
            kinds.push(FindingKind::Explained {
                words: words.clone(),
            });
        }
    }

    fn check_day(&self, day: NaiveDate, kinds: &mut Vec<FindingKind>) {
        if self.standing.closed.contains(&day) {
            kinds.push(FindingKind::DayAlreadyClosed { day });
        } else if self
            .standing
            .open
            .as_ref()
            .is_none_or(|open| open.day != day)
        {
            kinds.push(FindingKind::DayNotOpen { day });
        }
    }

    fn check_series(&self, number: &ReceiptNumber, kinds: &mut Vec<FindingKind>) -> bool {
        let own = *number.handset() == self.handset;
        if !own {
            kinds.push(FindingKind::OtherSeries {
                own: self.handset.clone(),
            });
        }
        own
    }

    fn check_number(&self, number: &ReceiptNumber, kinds: &mut Vec<FindingKind>) {
        if !self.check_series(number, kinds) {
            return;
        }
        let last = self.standing.last_running;
        if number.running() <= last {
            kinds.push(FindingKind::NumberTwice { last });
        } else if number.running() > last + 1 {
            kinds.push(FindingKind::NumberGap { last });
        }
    }

    fn check_delivery(
        &self,
        id: Uuid,
        delivery: &DeliveryV1,
        books: &dyn Books,
        kinds: &mut Vec<FindingKind>,
    ) {
        if books.issued(id).is_some() {
            kinds.push(FindingKind::DeliveryTwice);
        }
        let Some(open) = &self.standing.open else {
            return;
        };
        check_seals(delivery, open, kinds);
        if delivery.scale.is_some() && delivery.scale != open.scale {
            kinds.push(FindingKind::InstrumentDiffers {
                instrument: "weighing scale",
            });
        }
        if delivery.refractometer.is_some() && delivery.refractometer != open.refractometer {
            kinds.push(FindingKind::InstrumentDiffers {
                instrument: "refractometer",
            });
        }
    }

    fn review_receipt(&self, receipt: &ReceiptV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
        self.check_number(&receipt.number, kinds);
        self.check_day(receipt.day, kinds);
        self.check_delivery(receipt.delivery_id, &receipt.delivery, books, kinds);
        if receipt.assessment.decision != Decision::Buy {
            kinds.push(FindingKind::WrongPaper {
                decision: receipt.assessment.decision,
            });
        }
        if let Some(member) = check_known(&receipt.member, books, kinds) {
            let terms = books.terms(&receipt.terms);
            check_due(receipt, &member, terms.as_deref(), kinds);
        }
        judge_again(
            &Paper {
                day: receipt.day,
                terms: &receipt.terms,
                delivery: &receipt.delivery,
                premiums: &receipt.premiums,
                advance: receipt.advance.as_ref(),
                signed: &receipt.assessment,
            },
            books,
            kinds,
        );
        if receipt.assessment.marks.contains(&MarkV1::UnderLeastLoad) {
            kinds.push(FindingKind::UnderLeastLoad);
        }
        check_sum(&receipt.assessment, kinds);
        check_settlement(&receipt.settlement, payable(&receipt.assessment), kinds);
        if let Some(replaced) = &receipt.replaces {
            check_replaced(replaced, books, kinds);
        }
    }

    fn review_slip(&self, slip: &SlipV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
        self.check_number(&slip.number, kinds);
        self.check_day(slip.day, kinds);
        self.check_delivery(slip.delivery_id, &slip.delivery, books, kinds);
        if slip.assessment.decision == Decision::Buy {
            kinds.push(FindingKind::WrongPaper {
                decision: Decision::Buy,
            });
        }
        check_known(&slip.member, books, kinds);
        judge_again(
            &Paper {
                day: slip.day,
                terms: &slip.terms,
                delivery: &slip.delivery,
                premiums: &[],
                advance: None,
                signed: &slip.assessment,
            },
            books,
            kinds,
        );
    }
}

/// The receipt or slip that an entry is, or is of.
pub fn number_of(body: &EntryBody) -> Option<ReceiptNumber> {
    match body {
        EntryBody::Receipt(receipt) => Some(receipt.number.clone()),
        EntryBody::Slip(slip) => Some(slip.number.clone()),
        EntryBody::Cancellation(cancelled) => Some(cancelled.number.clone()),
        EntryBody::Payment(payment) => Some(payment.number.clone()),
        _ => None,
    }
}
