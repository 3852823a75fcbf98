//! What the clerk asks an officer: from a finding's code to a sentence in the officer's language.

use crate::words::Word;

/// The sentence for the code of a finding; none for a code that only a newer desk knows.
pub fn question(code: &str) -> Option<Word> {
    Some(match code {
        "entry-refused" | "bundle-refused" | "manifest-differs" => Word::FindingDamaged,
        "gap" => Word::FindingMissing,
        "unlinked" | "fork" | "enrolled-again" | "after-revocation" => Word::FindingJournal,
        "number-twice" | "number-gap" | "other-series" | "delivery-twice" => Word::FindingNumber,
        "day-not-clock" | "clock-back" | "day-closed" | "day-not-open" | "day-not-closed" => {
            Word::FindingDay
        }
        "brief-unknown" => Word::FindingBrief,
        "judgement-differs" | "wrong-paper" | "impossible-delivery" => Word::FindingJudgement,
        "price-differs" | "lines-do-not-sum" => Word::FindingPrice,
        "terms-unknown"
        | "policy-not-in-force"
        | "price-list-not-in-force"
        | "policy-superseded"
        | "price-list-superseded" => Word::FindingTerms,
        "instrument-differs" => Word::FindingInstrument,
        "settlement-differs" | "settlement-incomplete" | "paid-too-much" => Word::FindingSettlement,
        "return-unproven" => Word::FindingReturned,
        "premium-not-due" | "premium-left-out" => Word::FindingPremium,
        "advance-differs" => Word::FindingAdvance,
        "member-unknown" | "member-twice" => Word::FindingMember,
        "no-consent" => Word::FindingConsent,
        "receipt-unknown" | "already-cancelled" | "cancellation-differs" => Word::FindingReceipt,
        "replaced-not-cancelled" => Word::FindingReplaced,
        "cash-differs" => Word::FindingCash,
        "float-differs" => Word::FindingFloat,
        "pails-differ" => Word::FindingPails,
        "empty-pails-differ" => Word::FindingEmptyPails,
        "seal-twice" | "seals-differ" => Word::FindingSeals,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use combgate_core::clerk::{FindingKind, FindingWeight};

    #[test]
    fn all_that_a_clerk_asks_has_a_sentence() {
        for (code, weight) in FindingKind::CODES {
            let asked = *weight >= FindingWeight::Question;
            assert_eq!(question(code).is_some(), asked, "{code}");
        }
    }

    #[test]
    fn a_code_of_a_newer_desk_has_none() {
        assert_eq!(question("not-yet-thought-of"), None);
        assert_eq!(question("<img src=x>"), None);
    }
}
