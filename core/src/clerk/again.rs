//! A paper judged, priced and summed again from what it says was seen, read and weighed.

use super::finding::FindingKind;
use super::review::Books;
use crate::intake::Delivery;
use crate::record::{AdvanceV1, AssessmentV1, DeliveryV1, ReceiptNumber, SettlementV1, TermsRefV1};
use crate::units::{Code, ExactMinor};
use chrono::NaiveDate;

/// A receipt or slip as far as judging goes.
pub(super) struct Paper<'a> {
    pub(super) day: NaiveDate,
    pub(super) terms: &'a TermsRefV1,
    pub(super) delivery: &'a DeliveryV1,
    pub(super) premiums: &'a [Code],
    pub(super) advance: Option<&'a AdvanceV1>,
    pub(super) signed: &'a AssessmentV1,
}

pub(super) fn judge_again(paper: &Paper<'_>, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
    let Some(terms) = books.terms(paper.terms) else {
        kinds.push(FindingKind::TermsUnknown {
            policy: paper.terms.policy.clone(),
            price_list: paper.terms.price_list.clone(),
        });
        return;
    };
    let (policy, prices) = (terms.policy().parts(), terms.prices().parts());
    if !policy.period.contains(paper.day) {
        kinds.push(FindingKind::PolicyNotInForce {
            policy: policy.id.clone(),
            day: paper.day,
        });
    }
    if !prices.period.contains(paper.day) {
        kinds.push(FindingKind::PriceListNotInForce {
            price_list: prices.id.clone(),
            day: paper.day,
        });
    }
    let impossible = |reason: &dyn ToString| FindingKind::ImpossibleDelivery {
        reason: reason.to_string(),
    };
    let delivery = match Delivery::try_from(paper.delivery) {
        Ok(delivery) => delivery,
        Err(error) => return kinds.push(impossible(&error)),
    };
    let advance = match paper
        .advance
        .map(|advance| advance.advance(prices.currency))
        .transpose()
    {
        Ok(advance) => advance,
        Err(error) => return kinds.push(impossible(&error)),
    };
    let own = match terms.assess(&delivery, paper.premiums, advance.as_ref()) {
        Ok(assessment) => AssessmentV1::from(&assessment),
        Err(error) => return kinds.push(impossible(&error)),
    };
    if let Some(field) = first_difference(paper.signed, &own) {
        kinds.push(FindingKind::JudgementDiffers { field });
    }
    if own.payable_minor != paper.signed.payable_minor
        || own.lines != paper.signed.lines
        || own.currency != paper.signed.currency
    {
        kinds.push(FindingKind::PriceDiffers {
            signed: paper.signed.payable_minor.unwrap_or(0),
            own: own.payable_minor.unwrap_or(0),
        });
    }
}

fn first_difference(signed: &AssessmentV1, own: &AssessmentV1) -> Option<&'static str> {
    [
        ("the decision", signed.decision == own.decision),
        ("the moisture", signed.moisture == own.moisture),
        ("the capped share", signed.capped == own.capped),
        (
            "the weight",
            (signed.gross_g, signed.tare_g, signed.net_g) == (own.gross_g, own.tare_g, own.net_g),
        ),
        ("the grade", signed.grade == own.grade),
        (
            "the grounds",
            signed.grounds == own.grounds && signed.settled_by == own.settled_by,
        ),
        ("the notes on weighing", signed.marks == own.marks),
    ]
    .into_iter()
    .find_map(|(field, same)| (!same).then_some(field))
}

pub(super) fn check_member(
    number: &Code,
    premiums: &[Code],
    advance: Option<&AdvanceV1>,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let Some(member) = books.member(number) else {
        kinds.push(FindingKind::MemberUnknown {
            member: number.clone(),
        });
        return;
    };
    for premium in premiums
        .iter()
        .filter(|premium| !member.premiums.contains(premium))
    {
        kinds.push(FindingKind::PremiumNotDue {
            premium: premium.clone(),
        });
    }
    if advance.is_some_and(|advance| {
        member
            .advance
            .as_ref()
            .is_none_or(|own| own.payee != advance.payee)
    }) {
        kinds.push(FindingKind::AdvanceDiffers);
    }
}

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
    payable: i64,
    kinds: &mut Vec<FindingKind>,
) {
    let settled = settlement.paid_minor.saturating_add(settlement.owed_minor);
    if settled != payable || settlement.paid_minor < 0 || settlement.owed_minor < 0 {
        kinds.push(FindingKind::SettlementDiffers { payable, settled });
    }
    let paid_without_means = settlement.paid_minor > 0 && settlement.means.is_none();
    let owed_without_day = settlement.owed_minor > 0 && settlement.due.is_none();
    if paid_without_means || owed_without_day {
        kinds.push(FindingKind::SettlementIncomplete);
    }
}

pub(super) fn check_replaced(
    replaced: &ReceiptNumber,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    if books.receipt(replaced).is_none_or(|facts| !facts.cancelled) {
        kinds.push(FindingKind::ReceiptUnknown {
            receipt: replaced.clone(),
        });
    }
}
