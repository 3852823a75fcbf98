//! What came from handsets: booked entries, those that wait, evidence, findings.

use super::StoreError;
use chrono::NaiveDate;
use combgate_core::clerk::{Finding, FindingWeight};
use combgate_core::record::{Digest, ParsedEntry};
use combgate_core::units::Code;

/// An entry that waits for those before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// Its place in the journal.
    pub seq: u64,
    /// As received.
    pub compact: String,
    /// Manifest of the bundle that it came with, as received.
    pub manifest: String,
}

/// An entry that is not booked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Evidence<'a> {
    /// The `seq` it claims, if that could be read.
    pub claimed_seq: Option<u64>,
    /// Code of the finding.
    pub code: &'static str,
    /// As received.
    pub compact: &'a str,
}

/// A finding as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    /// Which entry; 0 when none can be named.
    pub seq: u64,
    /// Which receipt or slip.
    pub number: Option<String>,
    /// Code of the kind.
    pub code: String,
    /// How much it weighs.
    pub weight: FindingWeight,
    /// The sentence.
    pub sentence: String,
}

impl From<&Finding> for Noted {
    fn from(finding: &Finding) -> Self {
        Self {
            seq: finding.seq,
            number: finding.number.as_ref().map(ToString::to_string),
            code: finding.kind.code().to_owned(),
            weight: finding.kind.weight(),
            sentence: finding.kind.to_string(),
        }
    }
}

/// Journals as they are booked.
pub trait Journal {
    /// The compact form booked under a number.
    fn booked(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError>;
    /// Adds the next entry; `day` is the day on which it moves honey or money.
    fn book(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        day: Option<NaiveDate>,
    ) -> Result<(), StoreError>;
    /// Booked entries that move honey or money on a day, by handset and number.
    fn booked_on(&self, day: NaiveDate) -> Result<Vec<(Code, String)>, StoreError>;

    /// Keeps a manifest; one that is kept already stays.
    fn keep_manifest(&self, handset: &Code, manifest: &str) -> Result<(), StoreError>;
    /// Lets an entry wait, once; its manifest is kept already. Says whether it is new.
    fn wait(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        manifest: Digest,
    ) -> Result<bool, StoreError>;
    /// The first of those that wait, by number and then by hash.
    fn first_waiting(&self, handset: &Code) -> Result<Option<Waiting>, StoreError>;
    /// Takes an entry off those that wait.
    fn stop_waiting(&self, handset: &Code, waiting: &Waiting) -> Result<(), StoreError>;
    /// How many wait.
    fn count_waiting(&self, handset: &Code) -> Result<u64, StoreError>;

    /// Keeps an entry as evidence, once; says whether it is new.
    fn keep_evidence(&self, handset: &Code, evidence: Evidence<'_>) -> Result<bool, StoreError>;
    /// Keeps a finding, once; says whether it is new.
    fn note(&self, handset: &Code, finding: &Noted) -> Result<bool, StoreError>;
    /// All findings of a handset, in order of entries.
    fn noted(&self, handset: &Code) -> Result<Vec<Noted>, StoreError>;
}
