//! A handset at the gate: what it writes is signed and chained as the phone does it.

use super::{public, sign};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    Brief, EntryBody, Issue, JournalHead, ParsedEntry, PublicKey, ReceiptNumber, SoftwareKey,
    Standing, UnsignedEntry, UnsignedManifest, make_bundle,
};
use combgate_core::units::{Code, Label};
use std::ops::RangeBounds;

/// A handset with its key and journal.
#[derive(Debug, Clone)]
pub struct Handset {
    /// Its key.
    pub key: SoftwareKey,
    /// Its code.
    pub code: Code,
    /// Its journal.
    pub entries: Vec<ParsedEntry>,
    /// Where it stands.
    pub standing: Standing,
}

impl Handset {
    /// Enrols a handset: its journal holds the card.
    ///
    /// # Panics
    /// When the entry is refused.
    pub fn enrol(key: SoftwareKey, code: Code, name: Label, at: DateTime<FixedOffset>) -> Self {
        let card = UnsignedEntry::enrolment(&public(&key), name, at).unwrap();
        let mut handset = Self {
            key,
            code,
            entries: Vec::new(),
            standing: Standing::default(),
        };
        handset.keep(&card);
        handset
    }

    /// Its public key.
    pub fn public(&self) -> PublicKey {
        public(&self.key)
    }

    /// The enrolment card.
    pub fn card(&self) -> &str {
        self.entries[0].compact()
    }

    /// Where its journal ends.
    pub fn head(&self) -> JournalHead {
        self.entries
            .last()
            .map_or(JournalHead::EMPTY, JournalHead::at)
    }

    /// Writes an entry.
    ///
    /// # Panics
    /// When the entry is refused.
    pub fn write(&mut self, at: DateTime<FixedOffset>, body: &EntryBody) -> &ParsedEntry {
        let unsigned = UnsignedEntry::after(self.head(), self.public().id(), at, body).unwrap();
        self.keep(&unsigned)
    }

    fn keep(&mut self, unsigned: &UnsignedEntry) -> &ParsedEntry {
        let compact = unsigned.signed(&self.key.sign(unsigned.unsigned()));
        let entry = ParsedEntry::parse(&compact).unwrap();
        self.standing.note(&entry);
        self.entries.push(entry);
        self.entries.last().unwrap()
    }

    /// Issues the receipt or slip that the decision calls for, under the next number.
    ///
    /// # Panics
    /// When it cannot be issued.
    pub fn issue(
        &mut self,
        at: DateTime<FixedOffset>,
        issue: Issue,
        brief: &Brief,
    ) -> ReceiptNumber {
        let number = self.standing.next_number(&self.code, issue.day).unwrap();
        let body = issue.paper(number.clone(), brief).unwrap();
        self.write(at, &body);
        number
    }

    /// A bundle of the entries with these `seq`.
    ///
    /// # Panics
    /// When there are none.
    pub fn bundle(&self, seqs: impl RangeBounds<u64>, made_at: DateTime<FixedOffset>) -> String {
        let entries: Vec<_> = self
            .entries
            .iter()
            .filter(|entry| seqs.contains(&entry.seq()))
            .cloned()
            .collect();
        make_bundle(self.manifest(&entries, made_at), &entries).unwrap()
    }

    /// The signed manifest over entries.
    ///
    /// # Panics
    /// When there are none.
    pub fn manifest(&self, entries: &[ParsedEntry], made_at: DateTime<FixedOffset>) -> String {
        let code = Some(self.code.clone());
        let unsigned = UnsignedManifest::over(entries, &self.public(), code, None, made_at)
            .unwrap()
            .unwrap();
        sign(&self.key, unsigned.unsigned())
    }
}
