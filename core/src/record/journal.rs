//! Writing a journal: each entry is prepared from the head, signed outside, and makes a new head.

use super::ENTRY_BYTES_AT_MOST;
use super::bundle::{FORMAT, FileV1, ManifestV1};
use super::digest::Digest;
use super::entry::{EnrolledV1, EntryBody, ParsedEntry, payload_text};
use super::json::{DocumentError, to_text};
use super::jws::{Typ, Unsigned};
use super::key::{KeyId, PublicKey};
use super::totals::totals_by_day;
use crate::units::{Code, Label};
use chrono::{DateTime, FixedOffset};

/// Where a journal ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JournalHead {
    /// Number of the last entry; 0 when there is none.
    pub seq: u64,
    /// Its hash.
    pub hash: Digest,
}

impl JournalHead {
    /// A journal without entries.
    pub const EMPTY: Self = Self {
        seq: 0,
        hash: Digest::NONE,
    };

    /// The head that an entry makes.
    pub fn at(entry: &ParsedEntry) -> Self {
        Self {
            seq: entry.seq(),
            hash: entry.hash(),
        }
    }

    /// Whether an entry follows this head.
    pub fn precedes(&self, entry: &ParsedEntry) -> bool {
        entry.seq().checked_sub(1) == Some(self.seq) && entry.prev() == self.hash
    }
}

/// An entry ready to be signed.
#[derive(Debug, Clone)]
pub struct UnsignedEntry(Unsigned);

impl UnsignedEntry {
    /// Prepares the entry that follows a head.
    pub fn after(
        head: JournalHead,
        kid: KeyId,
        at: DateTime<FixedOffset>,
        body: &EntryBody,
    ) -> Result<Self, DocumentError> {
        let payload = payload_text(head.seq + 1, head.hash, at, body)?;
        let unsigned = Unsigned::new(Typ::Entry, kid, &payload)?;
        let found = unsigned.compact_length();
        if found > ENTRY_BYTES_AT_MOST {
            let limit = ENTRY_BYTES_AT_MOST;
            return Err(DocumentError::TooLarge {
                what: "entry",
                found,
                limit,
            });
        }
        Ok(Self(unsigned))
    }

    /// Prepares the first entry, whose file is the enrolment card.
    pub fn enrolment(
        key: &PublicKey,
        name: Label,
        at: DateTime<FixedOffset>,
    ) -> Result<Self, DocumentError> {
        let body = EntryBody::Enrolled(Box::new(EnrolledV1 {
            jwk: key.jwk(),
            name,
        }));
        Self::after(JournalHead::EMPTY, key.id(), at, &body)
    }

    /// What to sign.
    pub const fn unsigned(&self) -> &Unsigned {
        &self.0
    }

    /// The compact form.
    pub fn signed(&self, signature: &[u8; 64]) -> String {
        self.0.with_signature(signature)
    }
}

/// A manifest ready to be signed.
#[derive(Debug, Clone)]
pub struct UnsignedManifest(Unsigned);

impl UnsignedManifest {
    /// Prepares the manifest over consecutive entries of one journal; `None` when there are none.
    pub fn over(
        entries: &[ParsedEntry],
        key: &PublicKey,
        handset: Option<Code>,
        previous_bundle: Option<Digest>,
        made_at: DateTime<FixedOffset>,
    ) -> Result<Option<Self>, DocumentError> {
        let (Some(first), Some(last)) = (entries.first(), entries.last()) else {
            return Ok(None);
        };
        let manifest = ManifestV1 {
            format: FORMAT.to_owned(),
            jwk: key.jwk(),
            handset,
            made_at,
            first_seq: first.seq(),
            last_seq: last.seq(),
            count: u64::try_from(entries.len())
                .map_err(|error| DocumentError::malformed("manifest", error))?,
            prev: first.prev(),
            head: last.hash(),
            previous_bundle,
            days: totals_by_day(entries.iter().map(ParsedEntry::body)),
        };
        let text = to_text("manifest", &manifest)?;
        Unsigned::new(Typ::Manifest, key.id(), &text)
            .map(Self)
            .map(Some)
    }

    /// What to sign.
    pub const fn unsigned(&self) -> &Unsigned {
        &self.0
    }

    /// The compact form.
    pub fn signed(&self, signature: &[u8; 64]) -> String {
        self.0.with_signature(signature)
    }
}

/// The text of a bundle file.
pub fn make_bundle(manifest: String, entries: &[ParsedEntry]) -> Result<String, DocumentError> {
    let entries = entries
        .iter()
        .map(|entry| entry.compact().to_owned())
        .collect();
    to_text(
        "bundle",
        &FileV1 {
            format: FORMAT.to_owned(),
            manifest,
            entries,
        },
    )
}
