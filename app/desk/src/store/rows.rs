//! What the ledger's rows hold.

use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::{FindingWeight, ReceiptFacts, ReviewState};
use combgate_core::intake::Decision;
use combgate_core::record::{
    CooperativeV1, DeskAddress, Digest, EntryBody, JournalHead, MemberV1, PublicKey, ReceiptNumber,
};
use combgate_core::units::{Code, Label};
use uuid::Uuid;

/// The desk.
#[derive(Clone, PartialEq, Eq)]
pub struct Desk {
    /// Private key, PKCS#8.
    pub private_key: Vec<u8>,
    /// Public key, which handsets pin.
    pub public_key: PublicKey,
    /// Who buys; `None` until told.
    pub cooperative: Option<CooperativeV1>,
    /// Where handsets reach it over the network; `None` where they do not.
    pub address: Option<DeskAddress>,
}

/// Never shows the private key.
impl std::fmt::Debug for Desk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Desk")
            .field("public_key", &self.public_key.id())
            .field("cooperative", &self.cooperative)
            .field("address", &self.address)
            .finish_non_exhaustive()
    }
}

/// What a document of terms is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TermsKind {
    /// A policy.
    Policy,
    /// A price list.
    PriceList,
}

/// A policy or a price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terms {
    /// Which of the two.
    pub kind: TermsKind,
    /// Its name.
    pub code: Code,
    /// Digest of the document.
    pub digest: Digest,
    /// First day in force.
    pub first_day: NaiveDate,
    /// Last day in force.
    pub last_day: Option<NaiveDate>,
    /// The document as it stands in a brief.
    pub document: String,
    /// When it was taken in.
    pub taken_in_at: DateTime<FixedOffset>,
    /// By whom; `None` where an older program took it in.
    pub taken_in_by: Option<Label>,
}

/// What became of a member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RegisterChange {
    /// Newly on the register.
    Added,
    /// Known and now otherwise.
    Changed,
    /// Known and as it was.
    Unchanged,
}

/// A brief given out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brief {
    /// Its serial.
    pub serial: u32,
    /// For whom.
    pub handset: Code,
    /// When it was made.
    pub issued_at: DateTime<FixedOffset>,
    /// Last day it may be worked by.
    pub last_day: NaiveDate,
    /// Cash given, minor units.
    pub float_minor: i64,
    /// As given out.
    pub compact: String,
}

/// A brief given out, without its document, which may hold a large register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BriefGiven {
    /// Its serial.
    pub serial: u32,
    /// For whom.
    pub handset: Code,
    /// When it was made.
    pub issued_at: DateTime<FixedOffset>,
    /// Last day it may be worked by.
    pub last_day: NaiveDate,
    /// Cash given, minor units.
    pub float_minor: i64,
}

/// Members found on the register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MembersFound {
    /// Those that were asked for.
    pub part: Vec<MemberV1>,
    /// How many there are.
    pub found: usize,
    /// How many the register has.
    pub all: usize,
}

/// A handset.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handset {
    /// Begins its receipt numbers.
    pub code: Code,
    /// What the officer calls it.
    pub name: Label,
    /// Its public key.
    pub key: PublicKey,
    /// When it was enrolled.
    pub enrolled_at: DateTime<FixedOffset>,
    /// Its journal as booked.
    pub head: JournalHead,
    /// What the review remembers of it.
    pub review: ReviewState,
}

/// How an entry is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kept {
    /// It is in the books.
    Booked,
    /// It waits for those before it, or contradicts what is booked.
    Apart,
}

/// Entries kept apart above a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// The lowest number among them.
    pub first: u64,
    /// How many there are.
    pub count: u64,
}

/// Something refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence {
    /// Whose it claims to be.
    pub handset: Code,
    /// Digest of the bytes.
    pub digest: Digest,
    /// The number it claims, or where it stands in the journal.
    pub seq: Option<u64>,
    /// Place in the file from 1; 0 for a whole file.
    pub position: u64,
    /// Digest of the file it came in.
    pub file: Digest,
    /// Why it was refused.
    pub reason: String,
    /// As received.
    pub bytes: Vec<u8>,
    /// When.
    pub kept_at: DateTime<FixedOffset>,
}

/// A bundle imported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundleRow {
    /// Digest of the file.
    pub file: Digest,
    /// Digest of its manifest.
    pub manifest: Digest,
    /// Whose.
    pub handset: Code,
    /// First entry signed for.
    pub first_seq: u64,
    /// Last entry signed for.
    pub last_seq: u64,
    /// How many entries it held.
    pub count: u64,
    /// When it was imported first.
    pub imported_at: DateTime<FixedOffset>,
    /// Whether the handset sent it over the network; it came as a file otherwise.
    pub sent: bool,
}

/// What a paper is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PaperKind {
    /// A purchase.
    Receipt,
    /// A hold or a refusal.
    Slip,
}

/// A receipt or slip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paper {
    /// Which handset issued it.
    pub handset: Code,
    /// Its entry.
    pub seq: u64,
    /// Which of the two.
    pub kind: PaperKind,
    /// Its number.
    pub number: ReceiptNumber,
    /// Its delivery.
    pub delivery: Uuid,
    /// The day it counts on.
    pub day: NaiveDate,
    /// Whose.
    pub member: Code,
    /// What was decided.
    pub decision: Decision,
    /// The grade, when bought.
    pub grade: Option<Code>,
    /// Net mass, grams.
    pub net_g: i64,
    /// Payable, minor units.
    pub payable_minor: i64,
    /// Paid in all so far, minor units.
    pub paid_minor: i64,
    /// Of what it owed, reversed at the desk, minor units; kept as reversals and read from there.
    pub reversed_minor: i64,
    /// Taken back of an advance, minor units.
    pub repaid_minor: i64,
    /// Pails filled.
    pub pails: u64,
    /// The cancellation that undid it.
    pub cancelled_by: Option<u64>,
    /// Its own day, where that was closed when it came; `day` is then where it counts.
    pub late_from: Option<NaiveDate>,
}

impl Paper {
    /// What core needs to know of it.
    pub const fn facts(&self) -> ReceiptFacts {
        ReceiptFacts {
            net_g: self.net_g,
            payable_minor: self.payable_minor,
            paid_minor: self.paid_minor,
            reversed_minor: self.reversed_minor,
            pails: self.pails,
            cancelled: self.cancelled_by.is_some(),
        }
    }
}

/// A finding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct FindingRow {
    /// In which entry.
    pub seq: u64,
    /// A short code that stays the same in every language.
    pub code: String,
    /// How much it weighs.
    pub weight: FindingWeight,
    /// Which receipt or slip.
    pub number: Option<ReceiptNumber>,
    /// What the clerk is told.
    pub sentence: String,
}

/// The day that an entry is filed under.
pub(crate) fn filed_under(body: &EntryBody) -> Option<NaiveDate> {
    match body {
        EntryBody::DayOpened(opened) => Some(opened.day),
        EntryBody::Receipt(receipt) => Some(receipt.day),
        EntryBody::Slip(slip) => Some(slip.day),
        EntryBody::Cancellation(cancelled) => Some(cancelled.day),
        EntryBody::Payment(payment) => Some(payment.day),
        EntryBody::DayClosed(closed) => Some(closed.day),
        EntryBody::Enrolled(_) | EntryBody::MemberRegistered(_) | EntryBody::ClockNoticed(_) => {
            None
        }
    }
}

/// The word for a decision, in the ledger and in answers.
pub(crate) const fn decision_word(decision: Decision) -> &'static str {
    match decision {
        Decision::Buy => "buy",
        Decision::Hold => "hold",
        Decision::Refuse => "refuse",
    }
}
