//! A paper judged and priced again from what it says was seen, read and weighed.

use super::finding::FindingKind;
use super::review::Books;
use crate::intake::Delivery;
use crate::record::{AdvanceV1, AssessmentV1, DeliveryV1, TermsRefV1};
use crate::units::Code;
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
