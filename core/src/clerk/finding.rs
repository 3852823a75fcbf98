//! What the clerk must look at: each kind with its weight and a sentence that says what to do.

use super::sum::Sum;
use crate::intake::{Decision, ScaleCheck};
use crate::record::{Digest, ReceiptNumber};
use crate::units::{Code, Label};
use chrono::{DateTime, FixedOffset, NaiveDate};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FindingWeight {
    /// Good to know; nothing to do unless it repeats.
    Note,
    /// Ask the officer.
    Question,
    /// Do not pay on it until it is settled.
    Serious,
}

/// Something found in one entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Which entry of the journal.
    pub seq: u64,
    /// Which receipt or slip, when it is one.
    pub number: Option<ReceiptNumber>,
    /// What was found.
    pub kind: FindingKind,
}

macro_rules! findings {
    ($($(#[$doc:meta])* $Variant:ident $({ $($(#[$fdoc:meta])* $field:ident: $Type:ty),* $(,)? })?
        = $code:literal, $weight:ident, $sentence:literal;)*) => {
        /// What was found. The sentence is for the clerk.
        #[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
        pub enum FindingKind {
            $($(#[$doc])* #[error($sentence)] $Variant $({ $($(#[$fdoc])* $field: $Type),* })?,)*
        }

        impl FindingKind {
            /// Every code there is, with its weight.
            pub const CODES: &[(&str, FindingWeight)] =
                &[$(($code, FindingWeight::$weight),)*];

            /// Every code with its sentence; a name in braces stands for a value.
            pub const SENTENCES: &[(&str, &str)] = &[$(($code, $sentence),)*];

            /// A short code that stays the same in every language.
            pub const fn code(&self) -> &'static str {
                match self { $(Self::$Variant { .. } => $code,)* }
            }

            /// How much it weighs.
            pub const fn weight(&self) -> FindingWeight {
                match self { $(Self::$Variant { .. } => FindingWeight::$weight,)* }
            }
        }
    };
}

findings! {
    /// A signature does not fit, or an entry cannot be read.
    EntryRefused {
        /// What is wrong with it.
        reason: String,
    } = "entry-refused", Serious, "this entry is refused and kept as evidence: {reason}";
    /// A whole file that a handset did not sign, though it names its key.
    BundleRefused {
        /// Why.
        reason: String,
    } = "bundle-refused", Serious, "a whole file was refused and kept as evidence: {reason}; find out who sent it";
    /// Written after the handset was taken out of use.
    AfterRevocation {
        /// From which moment on.
        from: DateTime<FixedOffset>,
    } = "after-revocation", Serious, "the handset is out of use from {from} on, and this entry is of a later time: find out who wrote it before paying on it";
    /// Entries between are missing.
    Gap {
        /// Last booked entry.
        before: u64,
    } = "gap", Question, "entries after {before} are missing, so this one waits: ask the officer to export again from there";
    /// An entry does not carry the hash of the one before.
    Unlinked = "unlinked", Serious, "this entry does not follow from the one before it: one of the two was altered; ask the officer to export again and compare";
    /// Two entries with one number, both signed by the handset.
    Fork {
        /// Hash of the entry booked first.
        booked: Digest,
    } = "fork", Serious, "the handset signed another entry with this same number before (hash {booked}): its journal was copied or turned back; take the handset out of use and ask the officer";
    /// An entry that is booked already, with another signature over the same text.
    SignedAgain = "signed-again", Note, "this entry is booked already and says the same; only its signature is another, so nothing changes";
    /// A receipt number used before.
    NumberTwice {
        /// Highest number before.
        last: u32,
    } = "number-twice", Serious, "this number was used before (the series stood at {last}): compare both papers with the member";
    /// Receipt numbers left out.
    NumberGap {
        /// Highest number before.
        last: u32,
    } = "number-gap", Serious, "numbers after {last} are left out: ask the officer for the missing papers";
    /// A number, of a paper or of a member, from another handset's series.
    OtherSeries {
        /// The handset's own code.
        own: Code,
    } = "other-series", Serious, "this number is not of the series of handset {own}: ask the officer";
    /// One delivery issued twice.
    DeliveryTwice = "delivery-twice", Serious, "this delivery already has a receipt or slip: ask the officer which of the two stands";
    /// It counts on another day than the clock showed.
    DayNotClock {
        /// On which day it counts.
        day: NaiveDate,
        /// What the clock showed.
        clock: NaiveDate,
    } = "day-not-clock", Question, "it counts on {day}, but the handset's clock showed {clock}: ask the officer which is right, and whether the price list changed between";
    /// The clock went back.
    ClockBack = "clock-back", Question, "the handset's clock stood earlier than at the entry before: set the clock right; the order of entries is not in doubt";
    /// The handset noticed its own clock jump.
    ClockJumped {
        /// By how many seconds.
        seconds: i64,
    } = "clock-jumped", Note, "the handset noticed its clock jump by {seconds} seconds: set the clock right";
    /// Judged otherwise than core judges.
    JudgementDiffers {
        /// In what.
        field: &'static str,
    } = "judgement-differs", Serious, "judged again from the readings and weights, {field} comes out differently: update the handset's program and ask the officer";
    /// Priced otherwise than core prices.
    PriceDiffers {
        /// Signed.
        signed: Sum,
        /// What comes out.
        own: Sum,
    } = "price-differs", Serious, "priced again by its price list, {own} comes out and {signed} was signed: do not pay before it is settled";
    /// Lines that do not sum to the total.
    LinesDoNotSum = "lines-do-not-sum", Serious, "the price lines do not sum to the total: do not pay before it is settled";
    /// A receipt for what was not bought, or a slip for what was.
    WrongPaper {
        /// What was decided.
        decision: Decision,
    } = "wrong-paper", Serious, "the decision was {decision:?}, which does not go with this kind of paper: ask the officer";
    /// The delivery cannot be.
    ImpossibleDelivery {
        /// Why.
        reason: String,
    } = "impossible-delivery", Serious, "the delivery as written cannot be ({reason}): ask the officer";
    /// Policy or price list unknown to the desk.
    TermsUnknown {
        /// The policy named.
        policy: Code,
        /// The price list named.
        price_list: Code,
    } = "terms-unknown", Serious, "policy {policy} or price list {price_list} is not one that this desk gave out: do not pay before it is settled";
    /// Judged by a policy not in force that day.
    PolicyNotInForce {
        /// Which.
        policy: Code,
        /// Which day.
        day: NaiveDate,
    } = "policy-not-in-force", Question, "policy {policy} was not in force on {day}: give the officer a new brief";
    /// Priced by a list not in force that day.
    PriceListNotInForce {
        /// Which.
        price_list: Code,
        /// Which day.
        day: NaiveDate,
    } = "price-list-not-in-force", Serious, "price list {price_list} was not in force on {day}: compare with the list that was, and give the officer a new brief";
    /// Judged by a policy that a newer one had followed.
    PolicySuperseded {
        /// Which.
        policy: Code,
        /// By which.
        by: Code,
        /// On which day.
        day: NaiveDate,
    } = "policy-superseded", Question, "policy {policy} had given way to {by} by {day}: give the officer a new brief";
    /// Priced by a list that a newer one had followed.
    PriceListSuperseded {
        /// Which.
        price_list: Code,
        /// By which.
        by: Code,
        /// On which day.
        day: NaiveDate,
    } = "price-list-superseded", Serious, "price list {price_list} had given way to {by} by {day}: compare with that one, and give the officer a new brief";
    /// Something done on a day that was closed.
    DayAlreadyClosed {
        /// Which day.
        day: NaiveDate,
    } = "day-closed", Serious, "{day} was closed before this entry: ask the officer why";
    /// Something done without opening the day.
    DayNotOpen {
        /// Which day.
        day: NaiveDate,
    } = "day-not-open", Question, "{day} was not the day that was open: ask the officer which day it belongs to";
    /// A day opened while another was open.
    DayNotClosed {
        /// Which day.
        day: NaiveDate,
    } = "day-not-closed", Question, "{day} was never closed: ask the officer to count cash and pails for it";
    /// A day opened by a brief that this handset was not given.
    BriefUnknown {
        /// Which.
        serial: u32,
    } = "brief-unknown", Question, "the day was opened by brief {serial}, which this desk did not give to this handset: ask the officer which brief it is";
    /// Another float than the brief's, and not what the last day left in the box.
    FloatDiffers {
        /// Given with the brief.
        given: Sum,
        /// Counted in.
        counted: Sum,
    } = "float-differs", Question, "{counted} was counted in as float where {given} was given: count again with the officer";
    /// Judged with other instruments than those of the morning.
    InstrumentDiffers {
        /// Which.
        instrument: &'static str,
    } = "instrument-differs", Question, "the {instrument} is not the one checked when the day was opened: ask the officer";
    /// The scale's check failed or was not made.
    ScaleUnproven {
        /// What the check said.
        check: ScaleCheck,
    } = "scale-unproven", Note, "the weighing scale's check that day was {check}: have the scale looked at";
    /// The refractometer was not checked.
    RefractometerUnchecked = "refractometer-unchecked", Note, "the refractometer was not checked that day, so its readings count as less certain";
    /// A load too small for the scale.
    UnderLeastLoad = "under-least-load", Note, "a pail was lighter than the least load of the scale: its weight is less certain";
    /// Paid and owed do not make up the total.
    SettlementDiffers {
        /// Payable.
        payable: Sum,
        /// Paid and owed together.
        settled: Sum,
    } = "settlement-differs", Serious, "paid and owed together are {settled}, but {payable} is payable: ask the officer";
    /// Paid without means, by telephone without reference, or owed without a day.
    SettlementIncomplete = "settlement-incomplete", Question, "it is not said by what means or under which reference money was handed over, or when the rest is due: ask the officer";
    /// Money of a cancelled receipt said to have come back by telephone.
    ReturnUnproven {
        /// What came back.
        returned: Sum,
    } = "return-unproven", Question, "{returned} is said to have come back by telephone: see in the cooperative's account that it arrived";
    /// A premium that the member has no right to, or that is paid twice.
    PremiumNotDue {
        /// Which.
        premium: Code,
    } = "premium-not-due", Question, "the register gives the member no right to premium {premium}, or it is paid twice: correct the register or the receipt";
    /// A premium of the member that was not paid.
    PremiumLeftOut {
        /// Which.
        premium: Code,
    } = "premium-left-out", Question, "the register gives the member premium {premium}, and the receipt leaves it out: ask the officer why";
    /// Another lender than the register's, more than is outstanding, or an advance left out.
    AdvanceDiffers = "advance-differs", Question, "the advance on the receipt is not the one on the register: compare with the member's account";
    /// A member that the register does not know.
    MemberUnknown {
        /// Which.
        member: Code,
    } = "member-unknown", Serious, "member {member} is not on the register: find out who it is before paying";
    /// A member registered under a number that the register has.
    MemberTwice {
        /// Which.
        member: Code,
    } = "member-twice", Serious, "member {member} is on the register already, which stays as it was: ask the officer whom the new entry is for";
    /// A member registered without agreement.
    NoConsent {
        /// Which.
        member: Code,
    } = "no-consent", Question, "member {member} did not agree to be put on the register: ask, or take the entry off";
    /// Undoes or pays a receipt that is not booked.
    ReceiptUnknown {
        /// Which.
        receipt: ReceiptNumber,
    } = "receipt-unknown", Serious, "receipt {receipt} is not booked: ask the officer";
    /// A receipt that replaces one which still stands.
    ReplacedNotCancelled {
        /// The one that still stands.
        receipt: ReceiptNumber,
    } = "replaced-not-cancelled", Serious, "it replaces receipt {receipt}, which was not cancelled: the same honey may be bought twice; ask the officer";
    /// Undone before.
    AlreadyCancelled {
        /// Which.
        receipt: ReceiptNumber,
    } = "already-cancelled", Serious, "receipt {receipt} was cancelled before: ask the officer";
    /// Undone with other sums than it was made with.
    CancellationDiffers {
        /// Which.
        receipt: ReceiptNumber,
    } = "cancellation-differs", Serious, "the cancellation names other sums than receipt {receipt}: ask the officer";
    /// More paid than is owed.
    PaidTooMuch {
        /// Which.
        receipt: ReceiptNumber,
    } = "paid-too-much", Serious, "more was paid than receipt {receipt} owes: ask the officer";
    /// Cash counted out is not float less payments.
    CashDiffers {
        /// What should be there.
        expected: Sum,
        /// Counted.
        counted: Sum,
    } = "cash-differs", Question, "{counted} was counted where {expected} should be: count again with the officer";
    /// Full pails counted are not those filled.
    PailsDiffer {
        /// Pails that should be there.
        expected: u64,
        /// Pails counted.
        counted: u64,
    } = "pails-differ", Question, "{counted} full pails were counted where {expected} should be: find the missing or extra pails";
    /// Empty pails counted are not those taken less those filled.
    EmptyPailsDiffer {
        /// Empty pails that should be there.
        expected: u64,
        /// Empty pails counted.
        counted: u64,
    } = "empty-pails-differ", Question, "{counted} empty pails were counted where {expected} should be: find the missing or extra pails";
    /// One seal on two pails.
    SealTwice {
        /// Which.
        seal: Code,
    } = "seal-twice", Question, "seal {seal} is on another pail of that day too: look at both pails before they are opened";
    /// More seals put on than were taken.
    SealsDiffer {
        /// Seals taken in the morning.
        taken: u32,
        /// Seals put on.
        used: u64,
    } = "seals-differ", Question, "{used} seals were put on where {taken} were taken in the morning: ask the officer where the others are from";
    /// The officer explained a difference.
    Explained {
        /// In these words.
        words: Label,
    } = "explained", Note, "the officer wrote: {words}";
    /// Come after its day was closed at the desk.
    BookedLate {
        /// Its own day.
        day: NaiveDate,
        /// The day on which it counts.
        on: NaiveDate,
    } = "booked-late", Note, "{day} was closed at the desk when this came, so it counts on {on}";
    /// An enrolment that is not the first entry.
    EnrolledAgain = "enrolled-again", Serious, "the handset enrolled again within its journal: take it out of use and enrol it anew";
    /// The manifest does not sign what the file holds.
    ManifestDiffers {
        /// In what.
        reason: String,
    } = "manifest-differs", Serious, "{reason}";
}
