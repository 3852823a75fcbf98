//! One entry of a handset's journal.
//!
//! The JWS payload is `{"seq":…,"prev":…,"at":…,"kind":…,"body":{…}}`: `seq` counts 1, 2, 3 … per
//! handset, `prev` is the SHA-256 of the previous entry's compact form (32 zero bytes before the
//! first), `at` is the handset's wall clock, which orders nothing.

use super::ENTRY_BYTES_AT_MOST;
use super::assessment::AssessmentV1;
use super::brief::AdvanceV1;
use super::day::{ClockNoticedV1, DayClosedV1, DayOpenedV1};
use super::delivery::DeliveryV1;
use super::digest::Digest;
use super::json::{DocumentError, Opened, Verbatim, to_text};
use super::jws::{Jws, JwsError, Signed, Typ};
use super::key::{JwkV1, KeyId};
use super::number::ReceiptNumber;
use crate::units::{Code, Grams, Label};
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use std::sync::OnceLock;
use uuid::Uuid;

/// 2^53 - 1: the last whole number that every JSON reader keeps.
const SEQ_AT_MOST: u64 = (1 << 53) - 1;

/// The handset's first entry; its file is the enrolment card.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EnrolledV1 {
    /// The handset's public key, by which the card itself is signed.
    pub jwk: JwkV1,
    /// What the officer calls the handset.
    pub name: Label,
}

/// A member put on the register in the field, with the least data.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MemberRegisteredV1 {
    /// Number given by the handset: its code, `N`, a running number.
    pub member: Code,
    /// Name.
    pub name: Label,
    /// Village.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub village: Option<Label>,
    /// Telephone, only when paid by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub phone: Option<Label>,
    /// The member agreed that this is kept.
    pub consent: bool,
    /// The member agreed that photos of the honey may be kept.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub photos: bool,
    /// The member agreed that name and village may be shown to buyers.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub sharing: bool,
}

/// Which policy and price list a delivery was judged by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TermsRefV1 {
    /// The policy.
    pub policy: Code,
    /// SHA-256 of its text.
    pub policy_digest: Digest,
    /// The price list.
    pub price_list: Code,
    /// SHA-256 of its text.
    pub price_list_digest: Digest,
}

/// By what means money is handed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Means {
    /// Coins and notes.
    Cash,
    /// A telephone's money.
    MobileMoney,
}

/// What was paid at once and what is owed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettlementV1 {
    /// Paid now, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub paid_minor: i64,
    /// By what means, when something was paid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub means: Option<Means>,
    /// The provider's reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<Code>,
    /// Still owed, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub owed_minor: i64,
    /// Due on this day, when something is owed.
    #[serde(
        default,
        with = "super::time::day_if_any",
        skip_serializing_if = "Option::is_none"
    )]
    pub due: Option<NaiveDate>,
}

/// A purchase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReceiptV1 {
    /// Its number.
    pub number: ReceiptNumber,
    /// The delivery's own identity, made when it was begun: issued at most once.
    pub delivery_id: Uuid,
    /// The day it counts on.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Whose.
    pub member: Code,
    /// Judged and priced by.
    pub terms: TermsRefV1,
    /// What was brought.
    pub delivery: DeliveryV1,
    /// Additions the member has a right to.
    pub premiums: Vec<Code>,
    /// An advance to be paid back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advance: Option<AdvanceV1>,
    /// What the handset made of it.
    pub assessment: AssessmentV1,
    /// How it was paid.
    pub settlement: SettlementV1,
    /// The cancelled receipt that it replaces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub replaces: Option<ReceiptNumber>,
}

/// Who keeps the pails of a held or refused delivery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Keeper {
    /// The member takes them home.
    Member,
    /// The cooperative keeps them, sealed.
    Cooperative,
}

/// A hold or a refusal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SlipV1 {
    /// Its number, from the same series as receipts.
    pub number: ReceiptNumber,
    /// The delivery's own identity.
    pub delivery_id: Uuid,
    /// The day it counts on.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Whose.
    pub member: Code,
    /// Judged by.
    pub terms: TermsRefV1,
    /// What was brought.
    pub delivery: DeliveryV1,
    /// What the handset made of it.
    pub assessment: AssessmentV1,
    /// Who keeps the pails.
    pub pails_with: Keeper,
}

/// Undoes a receipt; never erases it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CancellationV1 {
    /// The receipt undone.
    pub number: ReceiptNumber,
    /// The day it counts on.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Why.
    pub reason: Label,
    /// Net mass given back, as on the receipt.
    pub net_g: Grams,
    /// Value undone, as on the receipt.
    #[serde(deserialize_with = "super::minor::minor")]
    pub payable_minor: i64,
    /// Money given back, as paid on the receipt.
    #[serde(deserialize_with = "super::minor::minor")]
    pub returned_minor: i64,
    /// Pails given back, as on the receipt.
    pub pails: u32,
    /// By what means it came back, when something did.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub means: Option<Means>,
}

/// Something owed is paid.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaymentV1 {
    /// For which receipt.
    pub number: ReceiptNumber,
    /// The day it counts on.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// Minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub paid_minor: i64,
    /// By what means.
    pub means: Means,
    /// The provider's reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<Code>,
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $Variant:ident($Body:ty) = $kind:literal;)*) => {
        /// What an entry says.
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub enum EntryBody {
            $($(#[$doc])* $Variant(Box<$Body>),)*
        }

        impl EntryBody {
            /// Its kind as written.
            pub const fn kind(&self) -> &'static str {
                match self { $(Self::$Variant(_) => $kind,)* }
            }

            fn read(kind: &str, payload: &Opened<'_>) -> Result<Self, DocumentError> {
                match kind {
                    $($kind => payload.read_member($kind, "body")
                        .map(|body| Self::$Variant(Box::new(body))),)*
                    _ => Err(DocumentError::malformed(
                        "entry",
                        format!("unknown kind '{}'", kind.chars().take(40).collect::<String>()),
                    )),
                }
            }

            fn write(&self) -> Result<String, DocumentError> {
                match self { $(Self::$Variant(body) => to_text($kind, body),)* }
            }
        }
    };
}

kinds! {
    /// The first entry: the handset and its key.
    Enrolled(EnrolledV1) = "handset_enrolled";
    /// A day begins.
    DayOpened(DayOpenedV1) = "day_opened";
    /// A member is put on the register.
    MemberRegistered(MemberRegisteredV1) = "member_registered";
    /// Honey is bought.
    Receipt(ReceiptV1) = "receipt";
    /// Honey is held or refused.
    Slip(SlipV1) = "slip";
    /// A receipt is undone.
    Cancellation(CancellationV1) = "cancellation";
    /// Something owed is paid.
    Payment(PaymentV1) = "payment";
    /// The clock jumped.
    ClockNoticed(ClockNoticedV1) = "clock_noticed";
    /// A day ends.
    DayClosed(DayClosedV1) = "day_closed";
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Payload<B> {
    seq: u64,
    prev: Digest,
    #[serde(with = "super::time::instant")]
    at: DateTime<FixedOffset>,
    kind: String,
    body: B,
}

/// An entry that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryFault {
    /// Form or signature.
    #[error(transparent)]
    Jws(#[from] JwsError),
    /// The payload.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Counting begins at one and stays exact in every program that reads JSON.
    #[error("an entry is numbered {0}, which no journal reaches: ask for the file again")]
    SeqOutOfRange(u64),
}

/// An entry whose signature has not been checked: good for showing a handset its own journal, not
/// for booking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParsedEntry {
    jws: Jws,
    seq: u64,
    prev: Digest,
    at: DateTime<FixedOffset>,
    body: EntryBody,
    hash: Hash,
}

/// The hash of an entry, worked out when it is first asked for: the next entry, the ledger and the
/// review all ask. With it comes the digest of what is signed, for it lies on the way. Both follow
/// from the text, so two entries never differ by them.
#[derive(Debug, Clone, Default)]
struct Hash(OnceLock<(Digest, Digest)>);

impl PartialEq for Hash {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for Hash {}

impl ParsedEntry {
    /// Takes a compact JWS apart, strictly.
    pub fn parse(compact: &str) -> Result<Self, EntryFault> {
        let jws = Jws::parse(compact, Typ::Entry, ENTRY_BYTES_AT_MOST)?;
        let opened = Opened::parse("entry", jws.payload(), ENTRY_BYTES_AT_MOST)?;
        // What the body is follows from the kind.
        let payload: Payload<IgnoredAny> = opened.read()?;
        if !(1..=SEQ_AT_MOST).contains(&payload.seq) {
            return Err(EntryFault::SeqOutOfRange(payload.seq));
        }
        let body = EntryBody::read(&payload.kind, &opened)?;
        Ok(Self {
            hash: Hash::default(),
            seq: payload.seq,
            prev: payload.prev,
            at: payload.at,
            body,
            jws,
        })
    }

    /// Its place in the journal.
    pub const fn seq(&self) -> u64 {
        self.seq
    }

    /// Hash of the entry before it.
    pub const fn prev(&self) -> Digest {
        self.prev
    }

    /// The handset's wall clock.
    pub const fn at(&self) -> DateTime<FixedOffset> {
        self.at
    }

    /// What it says.
    pub const fn body(&self) -> &EntryBody {
        &self.body
    }

    /// The key it names.
    pub const fn kid(&self) -> KeyId {
        self.jws.kid()
    }

    /// Its hash, which the next entry carries as `prev`.
    pub fn hash(&self) -> Digest {
        self.hash.0.get_or_init(|| self.jws.digests()).0
    }

    /// As received.
    pub fn compact(&self) -> &str {
        self.jws.compact()
    }

    pub(super) const fn jws(&self) -> &Jws {
        &self.jws
    }

    /// Its signature, with the digest of what that is over if it is known.
    pub(super) fn signed(&self) -> Signed<'_> {
        self.jws
            .signed_with(self.hash.0.get().map(|(_, signed)| *signed))
    }
}

/// The payload of an entry to be signed.
pub(super) fn payload_text(
    seq: u64,
    prev: Digest,
    at: DateTime<FixedOffset>,
    body: &EntryBody,
) -> Result<String, DocumentError> {
    let raw = Verbatim::new("entry", &body.write()?)?;
    to_text(
        "entry",
        &Payload {
            seq,
            prev,
            at,
            kind: body.kind().to_owned(),
            body: raw,
        },
    )
}

/// An entry whose signature fits the handset's key. Only checking a bundle, a card or the entry
/// itself makes one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry(ParsedEntry);

impl Entry {
    /// For the one place that has just checked the signature.
    pub(super) const fn proven(parsed: ParsedEntry) -> Self {
        Self(parsed)
    }
}

impl std::ops::Deref for Entry {
    type Target = ParsedEntry;
    fn deref(&self) -> &ParsedEntry {
        &self.0
    }
}
