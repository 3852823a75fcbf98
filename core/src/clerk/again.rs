//! A paper judged and priced again from what it says was seen, read and weighed.

use super::finding::FindingKind;
use super::review::{Books, InForce};
use super::sum::Sum;
use crate::intake::{Delivery, Terms};
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

/// What core makes of a paper by itself: its own assessment, or why there can be none.
fn reassess(paper: &Paper<'_>, terms: &Terms) -> Result<AssessmentV1, String> {
    let currency = terms.prices().parts().currency;
    let delivery = Delivery::try_from(paper.delivery).map_err(|error| error.to_string())?;
    let advance = paper
        .advance
        .map(|advance| advance.advance(currency))
        .transpose()
        .map_err(|error| error.to_string())?;
    let own = terms
        .assess(&delivery, paper.premiums, advance.as_ref())
        .map_err(|error| error.to_string())?;
    Ok(AssessmentV1::from(&own))
}

pub(super) fn judge_again(paper: &Paper<'_>, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
    let Some(terms) = books.terms(paper.terms) else {
        kinds.push(FindingKind::TermsUnknown {
            policy: paper.terms.policy.clone(),
            price_list: paper.terms.price_list.clone(),
        });
        return;
    };
    check_in_force(&terms, paper.day, books, kinds);
    let own = match reassess(paper, &terms) {
        Ok(own) => own,
        Err(reason) => return kinds.push(FindingKind::ImpossibleDelivery { reason }),
    };
    if let Some(field) = first_difference(paper.signed, &own) {
        kinds.push(FindingKind::JudgementDiffers { field });
    }
    if own.payable_minor != paper.signed.payable_minor
        || own.lines != paper.signed.lines
        || own.currency != paper.signed.currency
    {
        kinds.push(FindingKind::PriceDiffers {
            signed: payable(paper.signed),
            own: payable(&own),
        });
    }
}

pub(super) fn payable(assessment: &AssessmentV1) -> Sum {
    Sum {
        minor: assessment.payable_minor.unwrap_or(0),
        currency: assessment.currency,
    }
}

/// Terms are in force on the days they name, and only until newer ones begin.
fn check_in_force(terms: &Terms, day: NaiveDate, books: &dyn Books, kinds: &mut Vec<FindingKind>) {
    let policy = terms.policy().parts();
    let newer = |found: InForce, from| (found.from > from).then_some(found.id);
    if !policy.period.contains(day) {
        let policy = policy.id.clone();
        kinds.push(FindingKind::PolicyNotInForce { policy, day });
    } else if let Some(by) = books
        .policy_in_force(day)
        .and_then(|found| newer(found, policy.period.from))
    {
        let policy = policy.id.clone();
        kinds.push(FindingKind::PolicySuperseded { policy, by, day });
    }
    let prices = terms.prices().parts();
    if !prices.period.contains(day) {
        let price_list = prices.id.clone();
        kinds.push(FindingKind::PriceListNotInForce { price_list, day });
    } else if let Some(by) = books
        .price_list_in_force(day)
        .and_then(|found| newer(found, prices.period.from))
    {
        let price_list = prices.id.clone();
        kinds.push(FindingKind::PriceListSuperseded {
            price_list,
            by,
            day,
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
