//! Members forgotten, and what named them.

use super::{Act, StoreError};
use combgate_core::record::Digest;
use combgate_core::units::{Code, Label};

/// A member that asked to be forgotten.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Forgotten {
    /// The member's number, which stays in the books.
    pub member: Code,
    /// Who did it, and when.
    pub act: Act,
    /// Why.
    pub because: Label,
}

/// What kind of document is sealed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SealedKind {
    /// A handset's entry.
    Entry,
    /// A brief.
    Brief,
}

/// A signed document that names members.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Naming {
    /// What it is.
    pub what: SealedKind,
    /// Whose.
    pub handset: Code,
    /// Number of the entry, or serial of the brief.
    pub number: u64,
    /// Digest of the document.
    pub digest: Digest,
    /// The document.
    pub compact: String,
}

/// A document sealed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed {
    /// For whom.
    pub member: Code,
    /// What it is.
    pub what: SealedKind,
    /// Whose.
    pub handset: Code,
    /// Number of the entry, or serial of the brief.
    pub number: u64,
    /// Digest of the document.
    pub digest: Digest,
    /// Digest of its signed text.
    pub signed: Digest,
    /// The document as compact JWE.
    pub sealed: String,
}

/// Forgetting.
pub trait Forgetting {
    /// Whether a member was forgotten.
    fn forgotten(&self, member: &Code) -> Result<Option<Forgotten>, StoreError>;
    /// Documents not sealed yet that may name a member: registrations in the field, and briefs.
    fn naming(&self) -> Result<Vec<Naming>, StoreError>;
    /// Forgets a member: name, village and telephone leave the register for good.
    fn forget(&self, forgotten: &Forgotten) -> Result<(), StoreError>;
    /// Keeps a document sealed, and takes the open one out of its place.
    fn seal(&self, sealed: &Sealed) -> Result<(), StoreError>;
    /// What is sealed, in the order sealed.
    fn sealed(&self) -> Result<Vec<Sealed>, StoreError>;
    /// Whether an entry of this number and signed text is sealed.
    fn is_sealed(&self, handset: &Code, seq: u64, signed: &Digest) -> Result<bool, StoreError>;
    /// Writes the ledger anew, so that nothing of what was taken out is left in its file.
    fn scrub(&self) -> Result<(), StoreError>;
}
