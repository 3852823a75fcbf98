//! The stub: what a member's QR code carries of a receipt or a slip, signed by the handset.
//!
//! A JWS, `typ` `combgate-stub`, small enough for a code that any phone's camera reads. It names
//! no member: whoever finds a paper learns nobody's name from its code. `entry` ties it to the
//! whole entry in the handset's journal and in the desk's ledger.

use super::STUB_BYTES_AT_MOST;
use super::digest::Digest;
use super::entry::{EntryBody, ParsedEntry};
use super::json::{DocumentError, from_text, to_text};
use super::jws::{Jws, JwsError, SignatureCheck, Typ, Unsigned};
use super::key::{KeyId, PublicKey};
use super::number::ReceiptNumber;
use crate::intake::Decision;
use crate::units::{Currency, Grams};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

/// The payload.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StubV1 {
    /// Number of the receipt or slip.
    pub number: ReceiptNumber,
    /// The day it counts on.
    #[serde(with = "super::time::day")]
    pub day: NaiveDate,
    /// What was decided; only a purchase has money.
    pub decision: Decision,
    /// Net mass, when weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub net_g: Option<Grams>,
    /// Paid and owed, of a purchase.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub money: Option<StubMoneyV1>,
    /// Hash of the entry.
    pub entry: Digest,
}

/// What became of the total of a purchase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StubMoneyV1 {
    /// In which currency.
    pub currency: Currency,
    /// Paid at once, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub paid_minor: i64,
    /// Owed when the receipt was issued, minor units.
    #[serde(deserialize_with = "super::minor::minor")]
    pub owed_minor: i64,
}

/// A stub that is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StubError {
    /// Form or signature.
    #[error(transparent)]
    Jws(#[from] JwsError),
    /// The payload.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Money without a purchase, a purchase without money or weight, or less than nothing.
    #[error("the stub says {0}, which no paper does: do not believe it, and ask the desk")]
    Impossible(&'static str),
    /// Of another entry.
    #[error("the stub is of another paper than this one: scan the code of the right paper")]
    OtherEntry,
}

impl StubV1 {
    /// What the stub of an entry says; `None` for entries that are no receipt and no slip.
    pub fn of(entry: &ParsedEntry) -> Option<Self> {
        match entry.body() {
            EntryBody::Receipt(receipt) => Some(Self {
                number: receipt.number.clone(),
                day: receipt.day,
                decision: receipt.assessment.decision,
                net_g: receipt.assessment.net_g,
                money: receipt.assessment.currency.map(|currency| StubMoneyV1 {
                    currency,
                    paid_minor: receipt.settlement.paid_minor,
                    owed_minor: receipt.settlement.owed_minor,
                }),
                entry: entry.hash(),
            }),
            EntryBody::Slip(slip) => Some(Self {
                number: slip.number.clone(),
                day: slip.day,
                decision: slip.assessment.decision,
                net_g: slip.assessment.net_g,
                money: None,
                entry: entry.hash(),
            }),
            _ => None,
        }
    }

    /// Prepares it for signing by the handset's key.
    pub fn unsigned(&self, kid: KeyId) -> Result<Unsigned, DocumentError> {
        let unsigned = Unsigned::new(Typ::Stub, kid, &to_text("stub", self)?)?;
        let found = unsigned.compact_length();
        if found > STUB_BYTES_AT_MOST {
            return Err(DocumentError::TooLarge {
                what: "stub",
                found,
                limit: STUB_BYTES_AT_MOST,
            });
        }
        Ok(unsigned)
    }

    fn check(&self) -> Result<(), StubError> {
        let bought = self.decision == Decision::Buy;
        match &self.money {
            None if bought => Err(StubError::Impossible("that honey was bought for no money")),
            Some(_) if !bought => Err(StubError::Impossible("that money was paid for no purchase")),
            Some(money) if money.paid_minor < 0 || money.owed_minor < 0 => Err(
                StubError::Impossible("that less than nothing was paid or owed"),
            ),
            _ if bought && self.net_g.is_none() => {
                Err(StubError::Impossible("that unweighed honey was bought"))
            }
            _ => Ok(()),
        }
    }
}

/// A stub whose form is right and whose signature is not yet checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stub {
    jws: Jws,
    says: StubV1,
}

impl Stub {
    /// Takes a compact JWS apart, strictly; blanks around it, as a scanner leaves them, are
    /// dropped.
    pub fn parse(text: &str) -> Result<Self, StubError> {
        let jws = Jws::parse(text.trim(), Typ::Stub, STUB_BYTES_AT_MOST)?;
        let says: StubV1 = from_text("stub", jws.payload(), STUB_BYTES_AT_MOST)?;
        says.check()?;
        Ok(Self { jws, says })
    }

    /// The key it names, unproven as long as the signature is unchecked.
    pub const fn kid(&self) -> KeyId {
        self.jws.kid()
    }

    /// What it says, unproven as long as the signature is unchecked.
    pub const fn says(&self) -> &StubV1 {
        &self.says
    }

    /// As received.
    pub fn compact(&self) -> &str {
        self.jws.compact()
    }

    /// Checks that this handset's key signed it.
    pub fn verify(&self, key: &PublicKey, check: &dyn SignatureCheck) -> Result<(), StubError> {
        Ok(self.jws.check(key, check)?)
    }

    /// Checks that it says what this entry's stub says.
    pub fn is_of(&self, entry: &ParsedEntry) -> Result<(), StubError> {
        if StubV1::of(entry).as_ref() == Some(&self.says) && entry.kid() == self.kid() {
            Ok(())
        } else {
            Err(StubError::OtherEntry)
        }
    }
}
