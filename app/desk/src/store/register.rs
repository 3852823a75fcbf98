//! Whom and what the desk knows: cooperative, members, handsets, policies, price lists, briefs.

use super::StoreError;
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::ReviewState;
use combgate_core::record::{
    CooperativeV1, Digest, JournalHead, KeyId, MemberV1, PublicKey, TermsRefV1,
};
use combgate_core::units::{Code, Label};

/// Which document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DocumentKind {
    /// A policy.
    Policy,
    /// A price list.
    PriceList,
}

/// An enrolled handset.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handset {
    /// Code that begins its receipt numbers.
    pub code: Code,
    /// Its key.
    pub key: PublicKey,
    /// What the officer calls it.
    pub name: Label,
    /// End of its journal as booked.
    pub head: JournalHead,
    /// What the review remembers of it.
    pub review: ReviewState,
}

impl Handset {
    /// A handset before its first entry is booked.
    pub fn new(code: Code, key: PublicKey, name: Label) -> Self {
        let review = ReviewState::new(code.clone());
        Self {
            code,
            key,
            name,
            head: JournalHead::EMPTY,
            review,
        }
    }
}

/// A brief as it was given out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenBrief {
    /// Its serial.
    pub serial: u32,
    /// To which handset.
    pub handset: Code,
    /// Digest of the policy in it.
    pub policy: Digest,
    /// Digest of the price list in it.
    pub price_list: Digest,
    /// Cash given with it, minor units.
    pub float_minor: i64,
    /// When.
    pub issued_at: DateTime<FixedOffset>,
    /// Last day it may be worked by.
    pub valid_until: NaiveDate,
}

/// Register and terms.
pub trait Register {
    /// The desk's key, once it has one.
    fn desk(&self) -> Result<Option<KeyId>, StoreError>;
    /// Notes the desk's key; it has one for good.
    fn set_desk(&self, kid: KeyId) -> Result<(), StoreError>;
    /// Who buys, once it is known.
    fn cooperative(&self) -> Result<Option<CooperativeV1>, StoreError>;
    /// Notes who buys.
    fn set_cooperative(&self, cooperative: &CooperativeV1) -> Result<(), StoreError>;

    /// Puts a document in use in place of the one before, which stays known.
    fn use_document(&self, kind: DocumentKind, text: &str) -> Result<(), StoreError>;
    /// The document in use, if there is one.
    fn document_in_use(&self, kind: DocumentKind) -> Result<Option<String>, StoreError>;
    /// Policy and price list that a brief gave out together with these digests.
    fn terms_given(&self, terms: &TermsRefV1) -> Result<Option<(String, String)>, StoreError>;

    /// A member.
    fn member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError>;
    /// The register in order of number.
    fn members(&self) -> Result<Vec<MemberV1>, StoreError>;
    /// Adds a member who is not on the register; says whether it did.
    fn add_member(
        &self,
        member: &MemberV1,
        registered_by: Option<&Code>,
    ) -> Result<bool, StoreError>;
    /// Changes what is outstanding of a member's advance; it never falls below nothing.
    fn change_advance(&self, member: &Code, by_minor: i64) -> Result<(), StoreError>;

    /// Adds a handset.
    fn enrol(&self, handset: &Handset) -> Result<(), StoreError>;
    /// A handset by its code.
    fn handset(&self, code: &Code) -> Result<Option<Handset>, StoreError>;
    /// A handset by its key.
    fn handset_of(&self, kid: KeyId) -> Result<Option<Handset>, StoreError>;
    /// Notes where a handset's journal ends and what the review remembers.
    fn set_standing(&self, handset: &Handset) -> Result<(), StoreError>;

    /// Serial of the last brief given out; 0 before the first.
    fn last_brief(&self) -> Result<u32, StoreError>;
    /// Notes a brief given out.
    fn give_brief(&self, brief: &GivenBrief) -> Result<(), StoreError>;
}
