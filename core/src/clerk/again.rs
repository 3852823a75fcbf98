//! A paper judged and priced again from what it says was seen, read and weighed.

use super::finding::FindingKind;
use super::review::{Books, InForce};
use super::sum::Sum;
use crate::intake::{Delivery, Terms};
use crate::record::{AdvanceV1, AssessmentV1, DeliveryV1, EntryBody, ParsedEntry, TermsRefV1};
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

/// What core makes of a paper by itself: its own assessment, or why there can be none. It depends on
/// nothing but the paper and its terms, so many can be made at once, before their review.
#[derive(Debug, Clone, PartialEq)]
pub struct Reassessed(Result<AssessmentV1, String>);

impl Reassessed {
    /// Judges and prices an entry's paper by its terms; `None` for an entry that is no paper.
    pub fn of(body: &EntryBody, terms: &Terms) -> Option<Self> {
        match body {
            EntryBody::Receipt(receipt) => Some(Self::new(
                &receipt.delivery,
                &receipt.premiums,
                receipt.advance.as_ref(),
                terms,
            )),
            EntryBody::Slip(slip) => Some(Self::new(&slip.delivery, &[], None, terms)),
            _ => None,
        }
    }

    fn new(
        delivery: &DeliveryV1,
        premiums: &[Code],
        advance: Option<&AdvanceV1>,
        terms: &Terms,
    ) -> Self {
        let assess = || {
            let currency = terms.prices().parts().currency;
            let delivery = Delivery::try_from(delivery).map_err(|error| error.to_string())?;
            let advance = advance
                .map(|advance| advance.advance(currency))
                .transpose()
                .map_err(|error| error.to_string())?;
            let own = terms
                .assess(&delivery, premiums, advance.as_ref())
                .map_err(|error| error.to_string())?;
            Ok(AssessmentV1::from(&own))
        };
        Self(assess())
    }
}

pub(super) fn judge_again(
    entry: &ParsedEntry,
    paper: &Paper<'_>,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let Some(terms) = books.terms(paper.terms) else {
        kinds.push(FindingKind::TermsUnknown {
            policy: paper.terms.policy.clone(),
            price_list: paper.terms.price_list.clone(),
        });
        return;
    };
    check_in_force(&terms, paper.day, books, kinds);
    let own = books
        .reassessed(entry)
        .unwrap_or_else(|| Reassessed::new(paper.delivery, paper.premiums, paper.advance, &terms));
    let own = match own.0 {
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
