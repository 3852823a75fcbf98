//! Review: every entry is judged anew before it is booked.
//!
//! A handset's entries are reviewed in order of `seq`. What the review must remember between them
//! is [`ReviewState`]; what only the ledger knows is asked through [`Books`].

use super::again::{Paper, check_member, check_replaced, check_settlement, check_sum, judge_again};
use super::finding::{Finding, FindingKind};
use crate::intake::{Decision, ScaleCheck, Terms};
use crate::record::{
    CancellationV1, DayClosedV1, DayOpenedV1, DeliveryV1, EntryBody, Keeper, MarkV1, Means,
    MemberV1, ParsedEntry, PaymentV1, ReceiptNumber, ReceiptV1, RefractometerV1, SlipV1,
    TermsRefV1, WeighingScaleV1,
};
use crate::units::Code;
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::Arc;
use uuid::Uuid;

/// What a booked receipt stands at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReceiptFacts {
    /// Net mass, grams.
    pub net_g: i64,
    /// Payable, minor units.
    pub payable_minor: i64,
    /// Paid on the receipt itself, minor units.
    pub paid_at_once_minor: i64,
    /// Paid in all so far, minor units.
    pub paid_minor: i64,
    /// Pails filled.
    pub pails: u64,
    /// Undone.
    pub cancelled: bool,
}

/// What the review asks of the ledger.
pub trait Books {
    /// The policy and price list that a receipt names, if this desk gave them out with exactly
    /// these digests.
    fn terms(&self, reference: &TermsRefV1) -> Option<Arc<Terms>>;
    /// A member on the register, those registered in the field included.
    fn member(&self, number: &Code) -> Option<MemberV1>;
    /// A booked receipt.
    fn receipt(&self, number: &ReceiptNumber) -> Option<ReceiptFacts>;
}

/// What a review remembers of a handset from entry to entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReviewState {
    handset: Code,
    last_at: Option<DateTime<FixedOffset>>,
    last_running: u32,
    open: Option<OpenDay>,
    closed: BTreeSet<NaiveDate>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OpenDay {
    day: NaiveDate,
    scale: Option<WeighingScaleV1>,
    refractometer: Option<RefractometerV1>,
    cash_minor: i64,
    full_pails: u64,
    deliveries: BTreeSet<Uuid>,
}

impl ReviewState {
    /// A handset, by its code, before its first entry.
    pub const fn new(handset: Code) -> Self {
        Self {
            handset,
            last_at: None,
            last_running: 0,
            open: None,
            closed: BTreeSet::new(),
        }
    }

    /// Reviews the next entry and remembers what it did.
    pub fn review(&mut self, entry: &ParsedEntry, books: &dyn Books) -> Vec<Finding> {
        let mut kinds = Vec::new();
        if self.last_at.is_some_and(|last| entry.at() < last) {
            kinds.push(FindingKind::ClockBack);
        }
        self.last_at = Some(entry.at());
        match entry.body() {
            EntryBody::Enrolled(_) => {
                if entry.seq() != 1 {
                    kinds.push(FindingKind::EnrolledAgain);
                }
            }
            EntryBody::DayOpened(opened) => self.open_day(opened, &mut kinds),
            EntryBody::MemberRegistered(member) => {
                if !member.consent {
                    kinds.push(FindingKind::NoConsent {
                        member: member.member.clone(),
                    });
                }
            }
            EntryBody::Receipt(receipt) => self.review_receipt(receipt, books, &mut kinds),
            EntryBody::Slip(slip) => self.review_slip(slip, books, &mut kinds),
            EntryBody::Cancellation(cancelled) => {
                self.review_cancellation(cancelled, books, &mut kinds);
            }
            EntryBody::Payment(payment) => self.review_payment(payment, books, &mut kinds),
            EntryBody::ClockNoticed(clock) => {
                kinds.push(FindingKind::ClockJumped {
                    seconds: clock.jump_seconds,
                });
            }
            EntryBody::DayClosed(closed) => self.close_day(closed, &mut kinds),
        }
        let number = number_of(entry.body());
        kinds
            .into_iter()
            .map(|kind| Finding {
                seq: entry.seq(),
                number: number.clone(),
                kind,
            })
            .collect()
    }

    fn open_day(&mut self, opened: &DayOpenedV1, kinds: &mut Vec<FindingKind>) {
        if self.closed.contains(&opened.day) {
            kinds.push(FindingKind::DayAlreadyClosed { day: opened.day });
        }
        if let Some(open) = &self.open {
            kinds.push(FindingKind::DayNotClosed { day: open.day });
        }
        let scale = opened.weighing_scale();
        if let Some(scale) = scale.filter(|scale| scale.check != ScaleCheck::Passed) {
            kinds.push(FindingKind::ScaleUnproven { check: scale.check });
        }
        let refractometer = opened.refractometer_as_checked();
        if refractometer.is_some_and(|instrument| instrument.offset.is_none()) {
            kinds.push(FindingKind::RefractometerUnchecked);
        }
        self.open = Some(OpenDay {
            day: opened.day,
            scale,
            refractometer,
            cash_minor: opened.float_minor,
            full_pails: 0,
            deliveries: BTreeSet::new(),
        });
    }

    fn close_day(&mut self, closed: &DayClosedV1, kinds: &mut Vec<FindingKind>) {
        self.check_day(closed.day, kinds);
        if let Some(open) = self.open.take() {
            if closed.cash_minor != open.cash_minor {
                kinds.push(FindingKind::CashDiffers {
                    expected: open.cash_minor,
                    counted: closed.cash_minor,
                });
            }
            if u64::from(closed.full_pails) != open.full_pails {
                kinds.push(FindingKind::PailsDiffer {
                    expected: open.full_pails,
                    counted: closed.full_pails.into(),
                });
            }
        }
        if let Some(words) = &closed.explanation {
            kinds.push(FindingKind::Explained {
                words: words.clone(),
            });
        }
        self.closed.insert(closed.day);
    }

    fn check_day(&self, day: NaiveDate, kinds: &mut Vec<FindingKind>) {
        if self.closed.contains(&day) {
            kinds.push(FindingKind::DayAlreadyClosed { day });
        } else if self.open.as_ref().is_none_or(|open| open.day != day) {
            kinds.push(FindingKind::DayNotOpen { day });
        }
    }

    fn check_number(&mut self, number: &ReceiptNumber, kinds: &mut Vec<FindingKind>) {
        if *number.handset() != self.handset {
            kinds.push(FindingKind::OtherSeries {
                own: self.handset.clone(),
            });
            return;
        }
        let last = self.last_running;
        if number.running() <= last {
            kinds.push(FindingKind::NumberTwice { last });
        } else if number.running() > last + 1 {
            kinds.push(FindingKind::NumberGap { last });
        }
        self.last_running = last.max(number.running());
    }

    fn check_delivery(&mut self, id: Uuid, delivery: &DeliveryV1, kinds: &mut Vec<FindingKind>) {
        let Some(open) = &mut self.open else { return };
        if !open.deliveries.insert(id) {
            kinds.push(FindingKind::DeliveryTwice);
        }
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

    fn review_receipt(
        &mut self,
        receipt: &ReceiptV1,
        books: &dyn Books,
        kinds: &mut Vec<FindingKind>,
    ) {
        self.check_number(&receipt.number, kinds);
        self.check_day(receipt.day, kinds);
        self.check_delivery(receipt.delivery_id, &receipt.delivery, kinds);
        if receipt.assessment.decision != Decision::Buy {
            kinds.push(FindingKind::WrongPaper {
                decision: receipt.assessment.decision,
            });
        }
        check_member(
            &receipt.member,
            &receipt.premiums,
            receipt.advance.as_ref(),
            books,
            kinds,
        );
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
        let payable = receipt.assessment.payable_minor.unwrap_or(0);
        check_settlement(&receipt.settlement, payable, kinds);
        if let Some(replaced) = &receipt.replaces {
            check_replaced(replaced, books, kinds);
        }
        if let Some(open) = &mut self.open {
            if receipt.settlement.means == Some(Means::Cash) {
                open.cash_minor = open
                    .cash_minor
                    .saturating_sub(receipt.settlement.paid_minor);
            }
            open.full_pails += count(receipt.delivery.pails.len());
        }
    }

    fn review_slip(&mut self, slip: &SlipV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
        self.check_number(&slip.number, kinds);
        self.check_day(slip.day, kinds);
        self.check_delivery(slip.delivery_id, &slip.delivery, kinds);
        if slip.assessment.decision == Decision::Buy {
            kinds.push(FindingKind::WrongPaper {
                decision: Decision::Buy,
            });
        }
        check_member(&slip.member, &[], None, books, kinds);
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
        if let Some(open) = &mut self.open
            && slip.pails_with == Keeper::Cooperative
        {
            open.full_pails += count(slip.delivery.pails.len());
        }
    }

    fn review_cancellation(
        &mut self,
        cancelled: &CancellationV1,
        books: &dyn Books,
        kinds: &mut Vec<FindingKind>,
    ) {
        self.check_day(cancelled.day, kinds);
        let receipt = cancelled.number.clone();
        let Some(facts) = books.receipt(&receipt) else {
            kinds.push(FindingKind::ReceiptUnknown { receipt });
            return;
        };
        if facts.cancelled {
            kinds.push(FindingKind::AlreadyCancelled { receipt });
            return;
        }
        if facts.net_g != cancelled.net_g.get()
            || facts.payable_minor != cancelled.payable_minor
            || facts.paid_minor != cancelled.returned_minor
        {
            kinds.push(FindingKind::CancellationDiffers { receipt });
        }
        if let Some(open) = &mut self.open {
            if cancelled.means == Some(Means::Cash) {
                open.cash_minor = open.cash_minor.saturating_add(cancelled.returned_minor);
            }
            open.full_pails = open.full_pails.saturating_sub(facts.pails);
        }
    }

    fn review_payment(
        &mut self,
        payment: &PaymentV1,
        books: &dyn Books,
        kinds: &mut Vec<FindingKind>,
    ) {
        self.check_day(payment.day, kinds);
        let receipt = payment.number.clone();
        match books.receipt(&receipt) {
            None => kinds.push(FindingKind::ReceiptUnknown { receipt }),
            Some(facts) if facts.cancelled => kinds.push(FindingKind::AlreadyCancelled { receipt }),
            Some(facts) => {
                let paid = facts.paid_minor.checked_add(payment.paid_minor);
                if payment.paid_minor <= 0 || paid.is_none_or(|paid| paid > facts.payable_minor) {
                    kinds.push(FindingKind::PaidTooMuch { receipt });
                }
            }
        }
        if payment.means == Means::Cash
            && let Some(open) = &mut self.open
        {
            open.cash_minor = open.cash_minor.saturating_sub(payment.paid_minor);
        }
    }
}

fn number_of(body: &EntryBody) -> Option<ReceiptNumber> {
    match body {
        EntryBody::Receipt(receipt) => Some(receipt.number.clone()),
        EntryBody::Slip(slip) => Some(slip.number.clone()),
        EntryBody::Cancellation(cancelled) => Some(cancelled.number.clone()),
        EntryBody::Payment(payment) => Some(payment.number.clone()),
        _ => None,
    }
}

fn count(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
