//! The words for what the ledger holds: one match from each value to its sentence.

use crate::accounts::Right;
use crate::findings::What;
use crate::store::{Cause, Role, Step};
use crate::words::{Word, text};
use combgate_core::clerk::{AccountKind, FindingWeight, ReceivingFinding};
use combgate_core::record::Means;
use combgate_ui::words::Language;

/// A role.
pub(super) const fn role(role: Role) -> Word {
    match role {
        Role::Receiver => Word::RoleReceiver,
        Role::Bookkeeper => Word::RoleBookkeeper,
        Role::Approver => Word::RoleApprover,
    }
}

/// What a role does.
pub(super) const fn role_does(role: Role) -> Word {
    match role {
        Role::Receiver => Word::RoleReceiverDoes,
        Role::Bookkeeper => Word::RoleBookkeeperDoes,
        Role::Approver => Word::RoleApproverDoes,
    }
}

/// The roles that may do something, as a list in words.
pub(super) fn roles_that_may(language: Language, right: Right) -> String {
    let roles: Vec<&str> = Role::ALL
        .into_iter()
        .filter(|each| each.may(right))
        .map(|each| text(language, role(each)))
        .collect();
    roles.join(", ")
}

/// How much a finding weighs.
pub(super) const fn weight(weight: FindingWeight) -> Word {
    match weight {
        FindingWeight::Serious => Word::WeightSerious,
        FindingWeight::Question => Word::WeightQuestion,
        FindingWeight::Note => Word::WeightNote,
    }
}

/// What a clerk can do with a finding.
pub(super) const fn step(step: Step) -> Word {
    match step {
        Step::Accept => Word::StepAccept,
        Step::Ask => Word::StepAsk,
        Step::Dispute => Word::StepDispute,
        Step::Reverse => Word::StepReverse,
    }
}

/// What it means.
pub(super) const fn step_means(step: Step) -> Word {
    match step {
        Step::Accept => Word::StepAcceptMeans,
        Step::Ask => Word::StepAskMeans,
        Step::Dispute => Word::StepDisputeMeans,
        Step::Reverse => Word::StepReverseMeans,
    }
}

/// That it was done.
pub(super) const fn step_done(step: Step) -> Word {
    match step {
        Step::Accept => Word::StepAcceptDone,
        Step::Ask => Word::StepAskDone,
        Step::Dispute => Word::StepDisputeDone,
        Step::Reverse => Word::StepReverseDone,
    }
}

/// Why a handset is out of use.
pub(super) const fn cause(cause: Cause) -> Word {
    match cause {
        Cause::Lost => Word::CauseLost,
        Cause::Replaced => Word::CauseReplaced,
        Cause::Revoked => Word::CauseRevoked,
    }
}

/// What is compared.
pub(super) const fn what(what: What) -> Word {
    match what {
        What::Entry => Word::WhatEntry,
        What::Moment => Word::WhatMoment,
        What::Kind => Word::WhatKind,
        What::Digest => Word::WhatDigest,
        What::Number => Word::WhatNumber,
        What::Day => Word::WhatDay,
        What::Member => Word::WhatMember,
        What::Decision => Word::WhatDecision,
        What::Moisture => Word::WhatMoisture,
        What::Capped => Word::WhatCapped,
        What::Net => Word::WhatNet,
        What::Grade => Word::WhatGrade,
        What::Policy => Word::WhatPolicy,
        What::PriceList => Word::WhatPriceList,
        What::Payable => Word::WhatPayable,
        What::Settled => Word::WhatSettled,
        What::Returned => Word::WhatReturned,
        What::Cash => Word::WhatCash,
        What::FullPails => Word::WhatFullPails,
        What::EmptyPails => Word::WhatEmptyPails,
        What::Seals => Word::WhatSeals,
        What::ScaleCheck => Word::WhatScaleCheck,
    }
}

/// A kind of entry.
pub(super) fn kind(kind: &str) -> Word {
    match kind {
        "handset_enrolled" => Word::KindEnrolled,
        "day_opened" => Word::KindDayOpened,
        "member_registered" => Word::KindMemberRegistered,
        "receipt" => Word::KindReceipt,
        "slip" => Word::KindSlip,
        "cancellation" => Word::KindCancellation,
        "payment" => Word::KindPayment,
        "clock_noticed" => Word::KindClockNoticed,
        _ => Word::KindDayClosed,
    }
}

/// What a finding is called, by its code.
pub(super) fn title(code: &str) -> Word {
    match code {
        "booked-late" => Word::TitleBookedLate,
        "entry-refused" => Word::TitleEntryRefused,
        "bundle-refused" => Word::TitleBundleRefused,
        "after-revocation" => Word::TitleAfterRevocation,
        "gap" => Word::TitleGap,
        "unlinked" => Word::TitleUnlinked,
        "fork" => Word::TitleFork,
        "signed-again" => Word::TitleSignedAgain,
        "number-twice" => Word::TitleNumberTwice,
        "number-gap" => Word::TitleNumberGap,
        "other-series" => Word::TitleOtherSeries,
        "delivery-twice" => Word::TitleDeliveryTwice,
        "day-not-clock" => Word::TitleDayNotClock,
        "clock-back" => Word::TitleClockBack,
        "clock-jumped" => Word::TitleClockJumped,
        "judgement-differs" => Word::TitleJudgementDiffers,
        "price-differs" => Word::TitlePriceDiffers,
        "lines-do-not-sum" => Word::TitleLinesDoNotSum,
        "wrong-paper" => Word::TitleWrongPaper,
        "impossible-delivery" => Word::TitleImpossibleDelivery,
        "terms-unknown" => Word::TitleTermsUnknown,
        "policy-not-in-force" => Word::TitlePolicyNotInForce,
        "price-list-not-in-force" => Word::TitlePriceListNotInForce,
        "policy-superseded" => Word::TitlePolicySuperseded,
        "price-list-superseded" => Word::TitlePriceListSuperseded,
        "day-closed" => Word::TitleDayClosed,
        "day-not-open" => Word::TitleDayNotOpen,
        "day-not-closed" => Word::TitleDayNotClosed,
        "brief-unknown" => Word::TitleBriefUnknown,
        "float-differs" => Word::TitleFloatDiffers,
        "instrument-differs" => Word::TitleInstrumentDiffers,
        "scale-unproven" => Word::TitleScaleUnproven,
        "refractometer-unchecked" => Word::TitleRefractometerUnchecked,
        "under-least-load" => Word::TitleUnderLeastLoad,
        "settlement-differs" => Word::TitleSettlementDiffers,
        "settlement-incomplete" => Word::TitleSettlementIncomplete,
        "return-unproven" => Word::TitleReturnUnproven,
        "premium-not-due" => Word::TitlePremiumNotDue,
        "premium-left-out" => Word::TitlePremiumLeftOut,
        "advance-differs" => Word::TitleAdvanceDiffers,
        "member-unknown" => Word::TitleMemberUnknown,
        "member-twice" => Word::TitleMemberTwice,
        "no-consent" => Word::TitleNoConsent,
        "receipt-unknown" => Word::TitleReceiptUnknown,
        "replaced-not-cancelled" => Word::TitleReplacedNotCancelled,
        "already-cancelled" => Word::TitleAlreadyCancelled,
        "cancellation-differs" => Word::TitleCancellationDiffers,
        "paid-too-much" => Word::TitlePaidTooMuch,
        "cash-differs" => Word::TitleCashDiffers,
        "pails-differ" => Word::TitlePailsDiffer,
        "empty-pails-differ" => Word::TitleEmptyPailsDiffer,
        "seal-twice" => Word::TitleSealTwice,
        "seals-differ" => Word::TitleSealsDiffer,
        "explained" => Word::TitleExplained,
        "enrolled-again" => Word::TitleEnrolledAgain,
        "manifest-differs" => Word::TitleManifestDiffers,
        _ => Word::TitleOther,
    }
}

/// What a finding at the store is called.
pub(super) fn at_the_store(finding: &ReceivingFinding) -> Word {
    match finding {
        ReceivingFinding::Unknown => Word::TitlePailUnknown,
        ReceivingFinding::Cancelled => Word::TitlePailOfCancelled,
        ReceivingFinding::Light { .. } => Word::TitlePailLight,
        ReceivingFinding::Heavy { .. } => Word::TitlePailHeavy,
        ReceivingFinding::TareDiffers { .. } => Word::TitlePailTareDiffers,
        ReceivingFinding::NotComparable => Word::TitlePailNotComparable,
        ReceivingFinding::SealBroken(_) => Word::TitleSealBroken,
        ReceivingFinding::SealDiffers { .. } => Word::TitleSealDiffers,
        ReceivingFinding::SealGone(_) => Word::TitleSealGone,
        ReceivingFinding::SealUnwritten(_) => Word::TitleSealUnwritten,
        ReceivingFinding::NeverSealed => Word::TitleNeverSealed,
        ReceivingFinding::ScaleUnproven(_) => Word::TitleStoreScaleUnproven,
        ReceivingFinding::UnderLeastLoad => Word::TitleStoreUnderLeastLoad,
        ReceivingFinding::ReceivedByBuyer(_) => Word::TitleReceivedByBuyer,
        ReceivingFinding::BuyerUnknown => Word::TitleBuyerUnknown,
    }
}

/// What a line of a member's account is.
pub(super) const fn account_line(kind: AccountKind) -> Word {
    match kind {
        AccountKind::Bought => Word::AccountBought,
        AccountKind::Cancelled => Word::AccountCancelled,
        AccountKind::PaidByOfficer => Word::AccountPaidByOfficer,
        AccountKind::PaidByDesk => Word::AccountPaidByDesk,
        AccountKind::Reversed => Word::AccountReversed,
        AccountKind::DebtReversed => Word::AccountDebtReversed,
        AccountKind::DebtRestored => Word::AccountDebtRestored,
    }
}

/// By what means money goes out.
pub(super) const fn means(means: Means) -> Word {
    match means {
        Means::Cash => Word::MeansCash,
        Means::MobileMoney => Word::MeansMobileMoney,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use combgate_core::clerk::FindingKind;
    use std::collections::HashSet;

    #[test]
    fn every_finding_has_a_name_of_its_own() {
        let mut names = HashSet::new();
        for (code, _) in FindingKind::CODES {
            assert_ne!(title(code), Word::TitleOther, "{code}");
            assert!(names.insert(title(code)), "{code}");
        }
        assert_eq!(title("not-yet-thought-of"), Word::TitleOther);
    }
}
