//! A brief: what the desk gives an officer to work by: members, policy, price list, float.
//!
//! A JWS, `typ` `combgate-brief`, signed by the desk, addressed to one handset. The policy and the
//! price list stand in it as they are; their digest is the SHA-256 of exactly that text.

use super::BRIEF_BYTES_AT_MOST;
use super::address::DeskAddress;
use super::digest::Digest;
use super::entry::TermsRefV1;
use super::json::{DocumentError, Verbatim, check_version, from_text, to_text};
use super::jws::{Jws, JwsError, SignatureCheck, Typ, Unsigned};
use super::key::{JwkV1, KeyError, KeyId, PublicKey};
use super::policy::PolicyV1;
use super::price_list::PriceListV1;
use crate::intake::{Advance, Terms, TermsError};
use crate::units::{Code, Currency, Label, Money, MoneyError};
use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-brief/1";

/// The payload.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BriefV1 {
    /// `combgate-brief/1`.
    pub format: String,
    /// Counts the briefs of this desk; a later one replaces an earlier one.
    pub serial: u32,
    /// When it was made.
    #[serde(with = "super::time::instant")]
    pub issued_at: DateTime<FixedOffset>,
    /// Last day it may be worked by.
    #[serde(with = "super::time::day")]
    pub valid_until: NaiveDate,
    /// Who buys.
    pub cooperative: CooperativeV1,
    /// The desk's public key, by which the brief itself is signed.
    pub desk_jwk: JwkV1,
    /// The desk's other public key, for which a locked handset seals what it gives out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sealing_jwk: Option<JwkV1>,
    /// Where the desk is reached over the network, if it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub desk_address: Option<DeskAddress>,
    /// Whom it is for.
    pub handset: AssignedV1,
    /// Cash to be counted in, minor units; 0 when none is given.
    #[serde(deserialize_with = "super::minor::minor")]
    pub float_minor: i64,
    /// A policy document.
    pub policy: Verbatim,
    /// A price list document.
    pub price_list: Verbatim,
    /// The register, as far as the officer needs it.
    pub members: Vec<MemberV1>,
}

/// Who buys.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CooperativeV1 {
    /// Name.
    pub name: Label,
    /// Place.
    pub place: Label,
    /// Where a member complains.
    pub complaints: Label,
}

/// A handset as the desk knows it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AssignedV1 {
    /// Code that begins its receipt numbers.
    pub code: Code,
    /// Its key.
    pub kid: KeyId,
}

/// A member.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MemberV1 {
    /// Number on the register.
    pub number: Code,
    /// Name.
    pub name: Label,
    /// Village.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub village: Option<Label>,
    /// Telephone, when paid by it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub phone: Option<Label>,
    /// Language of receipts, such as `sw`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub language: Option<Code>,
    /// Premiums the member has a right to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub premiums: Vec<Code>,
    /// An advance not yet paid back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advance: Option<AdvanceV1>,
}

/// See [`Advance`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdvanceV1 {
    /// Who lent it.
    pub payee: Label,
    /// Still to be paid back, minor units of the price list's currency.
    #[serde(deserialize_with = "super::minor::minor")]
    pub outstanding_minor: i64,
}

impl AdvanceV1 {
    /// In the price list's currency.
    pub fn advance(&self, currency: Currency) -> Result<Advance, MoneyError> {
        let outstanding = Money::new(self.outstanding_minor, currency)?;
        Ok(Advance {
            payee: self.payee.clone(),
            outstanding,
        })
    }
}

/// The exact texts of a policy and a price list.
#[derive(Debug, Clone, Copy)]
pub struct TermsText<'a> {
    /// The policy document.
    pub policy: &'a str,
    /// The price list document.
    pub price_list: &'a str,
}

impl TermsText<'_> {
    /// Reads both and checks them against each other.
    pub fn read(&self) -> Result<Terms, BriefError> {
        Ok(Terms::new(
            PolicyV1::read(self.policy)?,
            PriceListV1::read(self.price_list)?,
        )?)
    }

    /// How entries refer to them.
    pub fn reference(&self, terms: &Terms) -> TermsRefV1 {
        TermsRefV1 {
            policy: terms.policy().parts().id.clone(),
            policy_digest: Digest::of(self.policy),
            price_list: terms.prices().parts().id.clone(),
            price_list_digest: Digest::of(self.price_list),
        }
    }
}

/// A brief that is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BriefError {
    /// It cannot be read.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Form, key or signature.
    #[error(transparent)]
    Jws(#[from] JwsError),
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// Policy and price list do not fit together.
    #[error("the brief's policy and price list do not fit: {0}")]
    Terms(#[from] TermsError),
    /// For another handset.
    #[error("this brief is for handset {0}, not for this one: ask the desk for your own")]
    OtherHandset(Code),
    /// From another cooperative's desk.
    #[error(
        "this brief is signed by desk {found} of {name}, but this handset was enrolled with desk {pinned}: ask the desk"
    )]
    OtherDesk {
        /// Whose brief it says it is.
        name: Label,
        /// The key it says it is signed by.
        found: KeyId,
        /// The key that the handset trusts.
        pinned: KeyId,
    },
    /// Too old to work by.
    #[error("this brief was good until {0}: ask the desk for a new one")]
    Expired(NaiveDate),
    /// Older than the one in hand.
    #[error(
        "this brief has serial {found}, but serial {held} is already in hand: ask the desk for the newest"
    )]
    Older {
        /// Its serial.
        found: u32,
        /// The serial in hand.
        held: u32,
    },
}

/// What a handset expects of a brief.
#[derive(Debug, Clone, Copy)]
pub struct Expected {
    /// The handset's own key.
    pub handset: KeyId,
    /// The desk's key, once one is pinned; the first brief pins it.
    pub desk: Option<KeyId>,
    /// Serial of the brief in hand.
    pub held_serial: Option<u32>,
    /// The handset's day.
    pub today: NaiveDate,
}

/// A brief whose signature fits.
#[derive(Debug, Clone)]
pub struct Brief {
    payload: BriefV1,
    desk: KeyId,
    terms: Terms,
    terms_ref: TermsRefV1,
}

impl Brief {
    /// Reads a brief and checks all that a handset must: signature, desk, addressee, age.
    pub fn take(
        compact: &str,
        expected: Expected,
        check: &dyn SignatureCheck,
    ) -> Result<Self, BriefError> {
        let brief = Self::read(compact, expected.desk, check)?;
        let payload = &brief.payload;
        if payload.handset.kid != expected.handset {
            return Err(BriefError::OtherHandset(payload.handset.code.clone()));
        }
        if !brief.holds_on(expected.today) {
            return Err(BriefError::Expired(payload.valid_until));
        }
        match expected.held_serial {
            Some(held) if payload.serial < held => Err(BriefError::Older {
                found: payload.serial,
                held,
            }),
            _ => Ok(brief),
        }
    }

    /// Reads a brief that this handset has taken before: signature and desk, not age.
    pub fn read(
        compact: &str,
        desk: Option<KeyId>,
        check: &dyn SignatureCheck,
    ) -> Result<Self, BriefError> {
        let jws = Jws::parse(compact.trim(), Typ::Brief, BRIEF_BYTES_AT_MOST)?;
        let payload: BriefV1 = from_text("brief", jws.payload(), BRIEF_BYTES_AT_MOST)?;
        check_version("brief", &payload.format, FORMAT)?;
        let key = PublicKey::try_from(&payload.desk_jwk)?;
        if let Some(pinned) = desk.filter(|pinned| *pinned != key.id()) {
            return Err(BriefError::OtherDesk {
                name: payload.cooperative.name,
                found: key.id(),
                pinned,
            });
        }
        jws.check(&key, check)?;
        Self::of(payload, key.id())
    }

    /// What was kept of a brief that this handset has taken.
    pub(super) fn of_kept(payload: BriefV1) -> Result<Self, BriefError> {
        check_version("brief", &payload.format, FORMAT)?;
        let desk = PublicKey::try_from(&payload.desk_jwk)?.id();
        Self::of(payload, desk)
    }

    fn of(payload: BriefV1, desk: KeyId) -> Result<Self, BriefError> {
        let text = TermsText {
            policy: payload.policy.get(),
            price_list: payload.price_list.get(),
        };
        let terms = text.read()?;
        let terms_ref = text.reference(&terms);
        Ok(Self {
            payload,
            desk,
            terms,
            terms_ref,
        })
    }

    pub(super) fn take_members(&mut self) -> Vec<MemberV1> {
        std::mem::take(&mut self.payload.members)
    }

    /// What it says.
    pub const fn payload(&self) -> &BriefV1 {
        &self.payload
    }

    /// Whether it may be worked by on a day.
    pub fn holds_on(&self, day: NaiveDate) -> bool {
        day <= self.payload.valid_until
    }

    /// The desk's key, to be pinned.
    pub const fn desk(&self) -> KeyId {
        self.desk
    }

    /// Policy and price list.
    pub const fn terms(&self) -> &Terms {
        &self.terms
    }

    /// How entries refer to them.
    pub const fn terms_ref(&self) -> &TermsRefV1 {
        &self.terms_ref
    }
}

impl BriefV1 {
    /// Prepares a brief for the desk to sign; `format` is set here.
    pub fn unsigned(mut self, desk: KeyId) -> Result<Unsigned, DocumentError> {
        FORMAT.clone_into(&mut self.format);
        let text = to_text("brief", &self)?;
        let unsigned = Unsigned::new(Typ::Brief, desk, &text)?;
        let found = unsigned.compact_length();
        if found > BRIEF_BYTES_AT_MOST {
            let limit = BRIEF_BYTES_AT_MOST;
            return Err(DocumentError::TooLarge {
                what: "brief",
                found,
                limit,
            });
        }
        Ok(unsigned)
    }

    /// A document as it stands, to be put in a brief.
    pub fn document(text: &str) -> Result<Verbatim, DocumentError> {
        Verbatim::new("document", text)
    }
}
