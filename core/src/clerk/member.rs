//! Whom a paper is for: on the register, and given what the register says, no less and no more.

use super::finding::FindingKind;
use super::review::Books;
use crate::intake::Terms;
use crate::record::{AdvanceV1, MemberRegisteredV1, MemberV1, ReceiptV1};
use crate::units::Code;
use std::sync::Arc;

/// A member put on the register in the field: with consent, under a new number of the handset's.
pub(super) fn check_registered(
    registered: &MemberRegisteredV1,
    handset: &Code,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let member = &registered.member;
    if !registered.consent {
        kinds.push(FindingKind::NoConsent {
            member: member.clone(),
        });
    }
    if !is_of_series(member, handset) {
        kinds.push(FindingKind::OtherSeries {
            own: handset.clone(),
        });
    }
    if books.member(member).is_some() {
        kinds.push(FindingKind::MemberTwice {
            member: member.clone(),
        });
    }
}

/// Whether a handset may give this number: its code, `N`, a running number.
fn is_of_series(member: &Code, handset: &Code) -> bool {
    let rest = member.as_str().strip_prefix(handset.as_str());
    let running = rest.and_then(|rest| rest.trim_start_matches('-').strip_prefix('N'));
    running.is_some_and(|digits| {
        !digits.is_empty() && digits.chars().all(|digit| digit.is_ascii_digit())
    })
}

pub(super) fn check_known(
    number: &Code,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) -> Option<Arc<MemberV1>> {
    let member = books.member(number);
    if member.is_none() {
        kinds.push(FindingKind::MemberUnknown {
            member: number.clone(),
        });
    }
    member
}

/// What the register says is due to or from the member, against what the receipt says.
pub(super) fn check_due(
    receipt: &ReceiptV1,
    member: &MemberV1,
    terms: Option<&Terms>,
    kinds: &mut Vec<FindingKind>,
) {
    for (position, premium) in receipt.premiums.iter().enumerate() {
        let twice = receipt.premiums[..position].contains(premium);
        if twice || !member.premiums.contains(premium) {
            kinds.push(FindingKind::PremiumNotDue {
                premium: premium.clone(),
            });
        }
    }
    let paid_by_the_list = |premium: &&Code| {
        terms.is_some_and(|terms| {
            let mut premiums = terms.prices().parts().premiums.iter();
            premiums.any(|own| own.code == **premium)
        })
    };
    for premium in member.premiums.iter().filter(paid_by_the_list) {
        if !receipt.premiums.contains(premium) {
            kinds.push(FindingKind::PremiumLeftOut {
                premium: premium.clone(),
            });
        }
    }
    if advance_differs(receipt.advance.as_ref(), member.advance.as_ref()) {
        kinds.push(FindingKind::AdvanceDiffers);
    }
}

/// An office that lent more since the brief was made is no finding: less than is outstanding may
/// be taken back, never more.
fn advance_differs(named: Option<&AdvanceV1>, own: Option<&AdvanceV1>) -> bool {
    match (named, own) {
        (None, None) => false,
        (None, Some(own)) => own.outstanding_minor > 0,
        (Some(_), None) => true,
        (Some(named), Some(own)) => {
            named.payee != own.payee || named.outstanding_minor > own.outstanding_minor
        }
    }
}
