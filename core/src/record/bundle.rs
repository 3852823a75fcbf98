//! A bundle: part of a handset's journal, carried to the desk as one file.
//!
//! Its bytes, and how to check them by hand, are described at the top of [`crate::record`], from
//! `format.md`.

use super::digest::Digest;
use super::entry::{Entry, EntryFault, ParsedEntry};
use super::journal::JournalHead;
use super::json::{DocumentError, check_version, from_text};
use super::jws::{Jws, JwsError, SignatureCheck, Typ};
use super::key::{JwkV1, KeyError, KeyId, PublicKey};
use super::totals::{DayTotalV1, totals_by_day};
use super::{BUNDLE_BYTES_AT_MOST, ENTRY_BYTES_AT_MOST};
use crate::units::Code;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

pub(super) const FORMAT: &str = "combgate-bundle/1";
/// A manifest holds a line a day; ten years of days fit.
const MANIFEST_BYTES_AT_MOST: usize = 1024 * 1024;

/// The file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileV1 {
    pub(super) format: String,
    pub(super) manifest: String,
    pub(super) entries: Vec<String>,
}

/// What the handset signs about a bundle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ManifestV1 {
    /// `combgate-bundle/1`.
    pub format: String,
    /// The handset's public key.
    pub jwk: JwkV1,
    /// The handset's code, once the desk has given one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub handset: Option<Code>,
    /// When the bundle was made.
    #[serde(with = "super::time::instant")]
    pub made_at: DateTime<FixedOffset>,
    /// `seq` of the first entry.
    pub first_seq: u64,
    /// `seq` of the last entry.
    pub last_seq: u64,
    /// How many entries.
    pub count: u64,
    /// Hash before the first entry.
    pub prev: Digest,
    /// Hash of the last entry.
    pub head: Digest,
    /// SHA-256 of the manifest of the bundle made before.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub previous_bundle: Option<Digest>,
    /// Totals by day.
    pub days: Vec<DayTotalV1>,
}

/// A bundle as a whole that cannot be taken. Nothing of it is believed; the file is kept.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BundleError {
    /// The file or its manifest cannot be read.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The manifest's form or signature.
    #[error("manifest: {0}")]
    Manifest(#[from] JwsError),
    /// The manifest's key.
    #[error("manifest: {0}")]
    Key(#[from] KeyError),
}

/// What is wrong inside a bundle whose manifest is good.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BundleFault {
    /// An entry is damaged, altered or not the handset's.
    #[error("entry {place}: {fault}", place = .0.place(), fault = .0.fault)]
    Entry(BadEntry),
    /// Entries are missing or in another order.
    #[error(
        "entry {found} follows entry {before}: what should stand between is missing; ask the officer to export again"
    )]
    Gap {
        /// `seq` before.
        before: u64,
        /// `seq` found.
        found: u64,
    },
    /// An entry does not carry the hash of the one before.
    #[error(
        "entry {0} does not follow from the entry before it: one of the two was altered; ask the officer to export again"
    )]
    Unlinked(u64),
    /// The manifest says another count, first, last or head.
    #[error(
        "the manifest signs entries {first} to {last} ({count} of them), which is not what the file holds: ask the officer to export again"
    )]
    NotAsSigned {
        /// First `seq` signed.
        first: u64,
        /// Last `seq` signed.
        last: u64,
        /// Count signed.
        count: u64,
    },
    /// The manifest's totals are not the entries'.
    #[error(
        "the manifest's totals are not those of its entries: keep the file and ask the officer"
    )]
    TotalsDiffer,
}

/// An entry refused, kept as evidence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadEntry {
    /// Place in the file, from 1.
    pub position: usize,
    /// The `seq` it claims, if that could be read.
    pub claimed_seq: Option<u64>,
    /// As received.
    pub compact: String,
    /// What is wrong.
    pub fault: EntryFault,
}

impl BadEntry {
    /// The entry's name for people: the number it claims, else its place in the file.
    fn place(&self) -> String {
        self.claimed_seq.map_or_else(
            || format!("at place {} of the file", self.position),
            |seq| format!("{seq} (place {} of the file)", self.position),
        )
    }
}

/// An entry as it came out of checking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Received {
    /// Its signature fits.
    Good(Entry),
    /// It is refused.
    Bad(BadEntry),
}

/// State of a bundle whose signatures nobody has checked.
#[derive(Debug, Clone)]
pub struct Unverified(());

/// State of a bundle whose manifest fits its key, and whose entries were checked one by one.
#[derive(Debug, Clone)]
pub struct Verified {
    received: Vec<Received>,
}

/// A bundle. Only a [`Verified`] one gives its entries away.
///
/// # Examples
/// Nobody gets at an entry before its signature was checked; this does not compile:
/// ```compile_fail,E0599
/// # use combgate_core::record::{Bundle, BundleError};
/// # fn read(text: &str) -> Result<(), BundleError> {
/// let unverified = Bundle::parse(text)?;
/// for entry in unverified.good() {}
/// # Ok(())
/// # }
/// ```
/// With the check it does:
/// ```
/// # use combgate_core::record::{Bundle, BundleError, SignatureCheck};
/// # fn read(text: &str, check: &dyn SignatureCheck) -> Result<(), BundleError> {
/// let verified = Bundle::parse(text)?.verify(None, check)?;
/// for entry in verified.good() {}
/// # Ok(())
/// # }
/// ```
#[derive(Debug, Clone)]
pub struct Bundle<State> {
    manifest_jws: Jws,
    manifest: ManifestV1,
    key: PublicKey,
    compact: Vec<String>,
    state: State,
}

impl<State> Bundle<State> {
    /// The key it says it is signed by; unproven until checked.
    pub fn kid(&self) -> KeyId {
        self.key.id()
    }

    /// SHA-256 of the manifest, by which the bundle is known.
    pub fn digest(&self) -> Digest {
        Digest::of(self.manifest_jws.compact())
    }
}

impl Bundle<Unverified> {
    /// Reads a bundle file, strictly.
    pub fn parse(text: &str) -> Result<Self, BundleError> {
        let file: FileV1 = from_text("bundle", text, BUNDLE_BYTES_AT_MOST)?;
        check_version("bundle", &file.format, FORMAT)?;
        let manifest_jws = Jws::parse(&file.manifest, Typ::Manifest, MANIFEST_BYTES_AT_MOST)?;
        let manifest: ManifestV1 =
            from_text("manifest", manifest_jws.payload(), MANIFEST_BYTES_AT_MOST)?;
        check_version("manifest", &manifest.format, FORMAT)?;
        let key = PublicKey::try_from(&manifest.jwk)?;
        Ok(Self {
            manifest_jws,
            manifest,
            key,
            compact: file.entries,
            state: Unverified(()),
        })
    }

    /// Checks every signature.
    ///
    /// `trusted` is the key that the desk enrolled; without it the bundle is checked against the
    /// key it carries, which says that it is whole but not whose it is.
    pub fn verify(
        self,
        trusted: Option<&PublicKey>,
        check: &dyn SignatureCheck,
    ) -> Result<Bundle<Verified>, BundleError> {
        let key = *trusted.unwrap_or(&self.key);
        self.manifest_jws.check(&key, check)?;
        let received = check_entries(&self.compact, &key, check);
        Ok(Bundle {
            manifest_jws: self.manifest_jws,
            manifest: self.manifest,
            key,
            compact: self.compact,
            state: Verified { received },
        })
    }
}

impl Bundle<Verified> {
    /// What the handset signed about it.
    pub const fn manifest(&self) -> &ManifestV1 {
        &self.manifest
    }

    /// The key all of it is signed by.
    pub const fn key(&self) -> &PublicKey {
        &self.key
    }

    /// Entries in the file's order, the refused ones included.
    pub fn received(&self) -> &[Received] {
        &self.state.received
    }

    /// Entries whose signature fits.
    pub fn good(&self) -> impl Iterator<Item = &Entry> {
        self.state
            .received
            .iter()
            .filter_map(|received| match received {
                Received::Good(entry) => Some(entry),
                Received::Bad(_) => None,
            })
    }

    /// Everything that is wrong, in the file's order, then of the whole.
    pub fn faults(&self) -> Vec<BundleFault> {
        let mut faults = Vec::new();
        let mut head = JournalHead {
            seq: self.manifest.first_seq.saturating_sub(1),
            hash: self.manifest.prev,
        };
        for received in &self.state.received {
            match received {
                Received::Good(entry) => {
                    if entry.seq() != head.seq.saturating_add(1) {
                        faults.push(BundleFault::Gap {
                            before: head.seq,
                            found: entry.seq(),
                        });
                    } else if !head.precedes(entry) {
                        faults.push(BundleFault::Unlinked(entry.seq()));
                    }
                    head = JournalHead::at(entry);
                }
                Received::Bad(bad) => {
                    // The next entry is compared with what this one claims to be, so that one
                    // damaged entry is one fault and the break after it another.
                    head = JournalHead {
                        seq: head.seq.saturating_add(1),
                        hash: Digest::of(&bad.compact),
                    };
                    faults.push(BundleFault::Entry(bad.clone()));
                }
            }
        }
        let count = u64::try_from(self.state.received.len()).unwrap_or(u64::MAX);
        if self.manifest.first_seq == 0
            || head.seq != self.manifest.last_seq
            || head.hash != self.manifest.head
            || count != self.manifest.count
            || count == 0
        {
            faults.push(BundleFault::NotAsSigned {
                first: self.manifest.first_seq,
                last: self.manifest.last_seq,
                count: self.manifest.count,
            });
        }
        if faults.is_empty() {
            let totals = totals_by_day(self.good().map(|entry| entry.body()));
            if totals != self.manifest.days {
                faults.push(BundleFault::TotalsDiffer);
            }
        }
        faults
    }
}

/// Takes entries apart and checks their signatures, all at one call so that a checker may use all
/// cores.
fn check_entries(compact: &[String], key: &PublicKey, check: &dyn SignatureCheck) -> Vec<Received> {
    let mut parsed = check.parse_all(compact);
    // One that answers too few times has left the rest to us: nothing of a file goes missing.
    for missed in compact.iter().skip(parsed.len()) {
        parsed.push(ParsedEntry::parse(missed));
    }
    let signed: Vec<_> = parsed.iter().flatten().map(ParsedEntry::signed).collect();
    let mut fits = check.fit_all(key, &signed).into_iter();
    let expected = key.id();
    let mut received = Vec::with_capacity(parsed.len());
    for (index, (parsed, compact)) in parsed.into_iter().zip(compact).enumerate() {
        let bad = |claimed_seq, fault| {
            Received::Bad(BadEntry {
                position: index + 1,
                claimed_seq,
                compact: compact.chars().take(ENTRY_BYTES_AT_MOST).collect(),
                fault,
            })
        };
        received.push(match parsed {
            Err(fault) => bad(None, fault),
            Ok(entry) => {
                // A checker that answers too few times has refused the rest.
                let fits = fits.next().unwrap_or(false);
                let (seq, found) = (entry.seq(), entry.kid());
                if found != expected {
                    bad(Some(seq), JwsError::OtherKey { found, expected }.into())
                } else if !fits {
                    bad(Some(seq), JwsError::BadSignature.into())
                } else {
                    Received::Good(Entry::proven(entry))
                }
            }
        });
    }
    received
}

impl Entry {
    /// Checks an enrolment card: a journal's first entry, signed by the key it carries.
    ///
    /// Says that the card is whole and that its maker holds the key, not who the maker is.
    pub fn from_card(compact: &str, check: &dyn SignatureCheck) -> Result<Self, BundleError> {
        let malformed =
            |detail: &dyn std::fmt::Display| DocumentError::malformed("enrolment card", detail);
        let parsed = ParsedEntry::parse(compact.trim()).map_err(|fault| malformed(&fault))?;
        let super::entry::EntryBody::Enrolled(card) = parsed.body() else {
            return Err(malformed(&"it is an entry of another kind").into());
        };
        let key = PublicKey::try_from(&card.jwk)?;
        if !JournalHead::EMPTY.precedes(&parsed) {
            return Err(malformed(&"it is not the first entry of a journal").into());
        }
        parsed.jws().check(&key, check)?;
        Ok(Self::proven(parsed))
    }

    /// Checks one entry by itself, such as one that waited for those before it.
    pub fn signed_by(
        key: &PublicKey,
        compact: &str,
        check: &dyn SignatureCheck,
    ) -> Result<Self, EntryFault> {
        let parsed = ParsedEntry::parse(compact)?;
        parsed.jws().check(key, check)?;
        Ok(Self::proven(parsed))
    }
}
