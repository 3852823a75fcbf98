//! Review: every entry is judged anew before it is booked.
//!
//! A handset's entries are reviewed in order of `seq`. What the review must remember between them
//! is [`ReviewState`]; what only the ledger knows is asked through [`Books`].

use super::again::{Paper, check_member, check_replaced, check_settlement, check_sum, judge_again};
use super::finding::{Finding, FindingKind};
use crate::intake::{Decision, ScaleCheck, Terms};
use crate::record::{
    CancellationV1, DayClosedV1, DayOpenedV1, DeliveryV1, EntryBody, MarkV1, MemberV1, ParsedEntry,
    PaymentV1, ReceiptNumber, ReceiptV1, SlipV1, Standing, TermsRefV1,
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

    /// Reviews the next entry and remembers what it did.
    pub fn review(&mut self, entry: &ParsedEntry, books: &dyn Books) -> Vec<Finding> {
        let mut kinds = Vec::new();
        if self.standing.last_at.is_some_and(|last| entry.at() < last) {
            kinds.push(FindingKind::ClockBack);
        }
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
        self.standing.note(entry);
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

    fn check_number(&self, number: &ReceiptNumber, kinds: &mut Vec<FindingKind>) {
        if *number.handset() != self.handset {
            kinds.push(FindingKind::OtherSeries {
                own: self.handset.clone(),
            });
            return;
        }
        let last = self.standing.last_running;
        if number.running() <= last {
            kinds.push(FindingKind::NumberTwice { last });
        } else if number.running() > last + 1 {
            kinds.push(FindingKind::NumberGap { last });
        }
    }

    fn check_delivery(&self, id: Uuid, delivery: &DeliveryV1, kinds: &mut Vec<FindingKind>) {
        let Some(open) = &self.standing.open else {
            return;
        };
        if open.deliveries.contains(&id) {
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

    fn review_receipt(&self, receipt: &ReceiptV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
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
    }

    fn review_slip(&self, slip: &SlipV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
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
    }

    fn review_cancellation(
        &self,
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
            || facts.pails != u64::from(cancelled.pails)
        {
            kinds.push(FindingKind::CancellationDiffers { receipt });
        }
    }

    fn review_payment(&self, payment: &PaymentV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
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
