//! What is counted at a day's two ends and put on between: float, cash, pails and seals, against the
//! brief and the day's own entries.

use super::finding::FindingKind;
use super::review::Books;
use super::sum::Sum;
use crate::record::{DayClosedV1, DayOpenedV1, DeliveryV1, OpenDay, Standing};

/// The float is what the brief gave, what the last day left in the box, or both together.
pub(super) fn check_float(
    opened: &DayOpenedV1,
    standing: &Standing,
    books: &dyn Books,
    kinds: &mut Vec<FindingKind>,
) {
    let Some(given) = books.float_given(opened.brief_serial) else {
        // A desk that gave none, such as one set up anew to read old bundles, cannot tell.
        if books.gave_briefs() {
            kinds.push(FindingKind::BriefUnknown {
                serial: opened.brief_serial,
            });
        }
        return;
    };
    let counted = opened.float_minor;
    let left = standing.cash_left_minor.unwrap_or(0);
    if ![given, left, given.saturating_add(left)].contains(&counted) {
        let [given, counted] = [given, counted].map(|minor| Sum {
            minor,
            currency: Some(opened.currency),
        });
        kinds.push(FindingKind::FloatDiffers { given, counted });
    }
}

/// A seal is put on one pail of a day; the same pail may come again on a paper that replaces
/// another.
pub(super) fn check_seals(delivery: &DeliveryV1, open: &OpenDay, kinds: &mut Vec<FindingKind>) {
    for (position, pail) in delivery.pails.iter().enumerate() {
        let Some(seal) = &pail.seal else { continue };
        let here = delivery.pails[..position].iter();
        let on_another = here.clone().any(|other| other.seal.as_ref() == Some(seal))
            || open.is_on_another(seal, &pail.number);
        if on_another {
            kinds.push(FindingKind::SealTwice { seal: seal.clone() });
        }
    }
}

/// Cash, full pails, empty pails and seals when the day ends.
pub(super) fn check_counts(closed: &DayClosedV1, open: &OpenDay, kinds: &mut Vec<FindingKind>) {
    if closed.cash_minor != open.cash_minor {
        let [expected, counted] = [open.cash_minor, closed.cash_minor].map(|minor| Sum {
            minor,
            currency: open.currency,
        });
        kinds.push(FindingKind::CashDiffers { expected, counted });
    }
    if u64::from(closed.full_pails) != open.full_pails {
        kinds.push(FindingKind::PailsDiffer {
            expected: open.full_pails,
            counted: closed.full_pails.into(),
        });
    }
    let counted = u64::from(closed.empty_pails);
    if counted != open.nearest_empty_pails(counted) {
        let (_, most) = open.empty_pails();
        kinds.push(FindingKind::EmptyPailsDiffer {
            expected: most,
            counted,
        });
    }
    let used = u64::try_from(open.seals.len()).unwrap_or(u64::MAX);
    if used > u64::from(open.seals_taken) {
        kinds.push(FindingKind::SealsDiffer {
            taken: open.seals_taken,
            used,
        });
    }
}
