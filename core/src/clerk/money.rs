//! Money on a paper: lines, what was paid and owed, what came back.

use super::finding::FindingKind;
use super::review::Books;
use super::sum::Sum;
use crate::record::{AssessmentV1, CancellationV1, Means, PaymentV1, ReceiptNumber, SettlementV1};
use crate::units::{Code, Currency, ExactMinor};

pub(super) fn check_sum(assessment: &AssessmentV1, kinds: &mut Vec<FindingKind>) {
    let sum = assessment
        .lines
        .iter()
        .try_fold(ExactMinor::ZERO, |sum, line| {
            line.amount_minor
                .parse()
                .ok()
                .and_then(|amount| sum.plus(amount))
        });
    let payable = ExactMinor::from_minor(assessment.payable_minor.unwrap_or(0));
    if sum != Some(payable) {
        kinds.push(FindingKind::LinesDoNotSum);
    }
}

pub(super) fn check_settlement(
    settlement: &SettlementV1,
    payable: Sum,
    kinds: &mut Vec<FindingKind>,
) {
    let settled = settlement.paid_minor.saturating_add(settlement.owed_minor);
    if settled != payable.minor || settlement.paid_minor < 0 || settlement.owed_minor < 0 {
        let settled = Sum {
            minor: settled,
            ..payable
        };
        kinds.push(FindingKind::SettlementDiffers { payable, settled });
    }
    let untraced =
        settlement.paid_minor > 0 && !is_traced(settlement.means, settlement.reference.as_ref());
    let owed_without_day = settlement.owed_minor > 0 && settlement.due.is_none();
    if untraced || owed_without_day {
        kinds.push(FindingKind::SettlementIncomplete);
    }
}

/// Whether money handed over can be found again; see [`Means::is_traced_by`].
pub const fn is_traced(means: Option<Means>, reference: Option<&Code>) -> bool {
    match means {
        None => false,
        Some(means) => means.is_traced_by(reference),
    }
}

pub(super) fn check_replaced(
    replaced: &ReceiptNumber,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let receipt = replaced.clone();
    match books.receipt(replaced) {
        None => kinds.push(FindingKind::ReceiptUnknown { receipt }),
        Some(facts) if facts.cancelled => {}
        Some(_) => kinds.push(FindingKind::ReplacedNotCancelled { receipt }),
    }
}

pub(super) fn check_cancellation(
    cancelled: &CancellationV1,
    currency: Option<Currency>,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let receipt = cancelled.number.clone();
    match books.receipt(&receipt) {
        None => return kinds.push(FindingKind::ReceiptUnknown { receipt }),
        Some(facts) if facts.cancelled => {
            return kinds.push(FindingKind::AlreadyCancelled { receipt });
        }
        Some(facts) => {
            let by_officer = facts
                .paid_minor
                .saturating_sub(books.paid_by_desk(&receipt));
            if facts.net_g != cancelled.net_g.get()
                || facts.payable_minor != cancelled.payable_minor
                || by_officer != cancelled.returned_minor
                || facts.pails != u64::from(cancelled.pails)
            {
                kinds.push(FindingKind::CancellationDiffers { receipt });
            }
        }
    }
    let returned = cancelled.returned_minor;
    match cancelled.means {
        None if returned != 0 => kinds.push(FindingKind::SettlementIncomplete),
        // Cash that came back is counted at the day's end; this is seen by nobody in the field.
        Some(Means::MobileMoney) if returned != 0 => {
            let returned = Sum {
                minor: returned,
                currency,
            };
            kinds.push(FindingKind::ReturnUnproven { returned });
        }
        _ => {}
    }
}

pub(super) fn check_payment(payment: &PaymentV1, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
    let receipt = payment.number.clone();
    match books.receipt(&receipt) {
        None => kinds.push(FindingKind::ReceiptUnknown { receipt }),
        Some(facts) if facts.cancelled => kinds.push(FindingKind::AlreadyCancelled { receipt }),
        Some(facts) => {
            if payment.paid_minor <= 0 || payment.paid_minor > facts.owed_minor() {
                kinds.push(FindingKind::PaidTooMuch { receipt });
            }
        }
    }
    if !payment.means.is_traced_by(payment.reference.as_ref()) {
        kinds.push(FindingKind::SettlementIncomplete);
    }
}
