//! Handing over: the bundle that goes to the desk and the acknowledgement that comes back. Only
//! what the desk acknowledged counts as handed over.

use super::{Handset, Key, Outgoing, Refused};
use crate::platform::clock;
use crate::platform::state::{self, Slot};
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    Acknowledgement, AcknowledgementV1, BUNDLE_BYTES_AT_MOST, BriefError, Digest, KeyId,
    ParsedEntry, PublicKey, SignatureCheck, Signed, SoftwareCheck, UnsignedManifest, make_bundle,
};
use combgate_core::units::Code;
use leptos::prelude::*;
use std::sync::Arc;

/// Acknowledgements that are kept, for the questions in them.
const KEPT_AT_MOST: usize = 12;
/// Most bytes of those before the newest.
const KEPT_BYTES_AT_MOST: usize = 1024 * 1024;
/// What a bundle's manifest and the marks between its entries may take.
const MANIFEST_ROOM: usize = 2 * 1024 * 1024;

/// Which entries go into a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Those that the desk has not acknowledged.
    NotHandedOver,
    /// All there are. Importing entries again changes nothing.
    Everything,
}

/// What is not handed over yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// How many entries.
    pub count: u64,
    /// When the oldest of them was written.
    pub since: Option<DateTime<FixedOffset>>,
    /// How many of them are in no bundle.
    pub unbundled: u64,
}

/// The acknowledgements in hand, newest first.
#[derive(Debug, Clone, Default)]
pub struct Acknowledged(Arc<[Acknowledgement]>);

impl Acknowledged {
    /// The newest.
    pub fn newest(&self) -> Option<&AcknowledgementV1> {
        self.0.first().map(Acknowledgement::payload)
    }

    /// All of them, newest first.
    pub fn all(&self) -> impl Iterator<Item = &AcknowledgementV1> {
        self.0.iter().map(Acknowledgement::payload)
    }
}

impl Handset {
    /// What is not handed over yet. Reactive.
    ///
    /// A brief addressed to this handset shows that the desk has its card, the first entry.
    pub fn waiting(&self) -> Waiting {
        let (last, booked) = (self.last.get(), self.booked_to());
        Waiting {
            count: last.saturating_sub(booked),
            since: self.since.get(),
            unbundled: last.saturating_sub(self.bundled.get().max(booked)),
        }
    }

    /// The acknowledgements in hand. Reactive.
    pub fn acknowledged(&self) -> Acknowledged {
        self.acknowledged.get()
    }

    fn booked_to(&self) -> u64 {
        let card = u64::from(self.brief.with(Option::is_some));
        let booked = |all: &Acknowledged| all.newest().map_or(0, |newest| newest.booked_to);
        self.acknowledged.with(booked).max(card)
    }

    /// Takes in an acknowledgement: checked, compared with the journal and with the one in hand,
    /// stored for good, then counted by.
    ///
    /// # Errors
    /// See [`Refused`]; then everything stays as it was.
    pub async fn take_acknowledgement(&self, compact: &str) -> Result<(), Refused> {
        let (kid, desk) = self.between()?.ok_or(Refused::NoBrief)?;
        let compact = compact.trim();
        let taken = Acknowledgement::take(compact, kid, &desk, &SoftwareCheck)?;
        let booked = match u32::try_from(taken.payload().booked_to) {
            Ok(seq @ 1..) => self.entry(seq).await?.map(|entry| entry.hash()),
            _ => None,
        };
        let held = self.acknowledged.get_untracked();
        taken.fits(booked, held.0.first())?;
        let database = self.database.get_value();
        let before = state::read(&database, Slot::Acknowledgement).await?;
        let before = before.unwrap_or_default();
        let mut room = KEPT_BYTES_AT_MOST;
        let kept = before
            .lines()
            .filter(|line| *line != compact)
            .take(KEPT_AT_MOST - 1)
            .take_while(|line| {
                let fits = line.len() <= room;
                room = room.saturating_sub(line.len());
                fits
            });
        let text: Vec<&str> = std::iter::once(compact).chain(kept).collect();
        let text = text.join("\n");
        state::write(&database, Slot::Acknowledgement, &text).await?;
        self.recall_acknowledged(Some(&text))?;
        self.recall_since().await
    }

    /// Reads what was taken in before.
    pub(super) fn recall_acknowledged(&self, text: Option<&str>) -> Result<(), Refused> {
        if let Some((kid, desk)) = self.between()? {
            let all = text.unwrap_or_default().lines();
            // One that a newer program no longer reads is asked for again.
            let read = all
                .filter_map(|line| Acknowledgement::take(line, kid, &desk, &CheckedWhenTaken).ok());
            self.acknowledged.set(Acknowledged(read.collect()));
        }
        Ok(())
    }

    /// Looks from when on entries wait.
    pub(super) async fn recall_since(&self) -> Result<(), Refused> {
        let first = untrack(|| self.booked_to()).saturating_add(1);
        let first = u32::try_from(first).unwrap_or(u32::MAX);
        self.since
            .set(self.entry(first).await?.map(|entry| entry.at()));
        Ok(())
    }

    /// Between whom acknowledgements go, once both are known.
    fn between(&self) -> Result<Option<(KeyId, PublicKey)>, Refused> {
        let kid = self.key.with_untracked(|key| key.as_ref().map(Key::id));
        let desk = self.brief.with_untracked(|brief| {
            brief
                .as_ref()
                .map(|brief| PublicKey::try_from(&brief.payload().desk_jwk))
                .transpose()
        });
        Ok(kid.zip(desk.map_err(BriefError::from)?))
    }

    /// Makes a bundle, in several files where one would be larger than a desk takes.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn bundle(&self, part: Part) -> Result<Vec<Outgoing>, Refused> {
        let handed = self
            .acknowledged
            .with_untracked(|all| all.newest().map_or(0, |newest| newest.booked_to));
        let first = match part {
            // Asked for with nothing waiting, the bundle holds all there is.
            Part::NotHandedOver if handed < self.last.get_untracked() => handed.saturating_add(1),
            Part::NotHandedOver | Part::Everything => 1,
        };
        let first = u32::try_from(first).unwrap_or(u32::MAX);
        let entries = self.read(first..=u32::MAX).await?;
        let mut files = Vec::new();
        for part in parts(&entries) {
            files.push(self.bundle_of(part).await?);
        }
        if files.is_empty() {
            return Err(Refused::NotEnrolled);
        }
        Ok(files)
    }

    async fn bundle_of(&self, entries: &[ParsedEntry]) -> Result<Outgoing, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        let at = clock::now().ok_or(Refused::NoClock)?.at;
        let database = self.database.get_value();
        let handset = self.brief.with_untracked(|brief| {
            brief
                .as_ref()
                .map(|brief| brief.payload().handset.code.clone())
        });
        let previous = state::bundles(&database)
            .await?
            .pop()
            .and_then(|text| Digest::try_from(text).ok());
        let unsigned = UnsignedManifest::over(entries, &key.public, handset.clone(), previous, at)?
            .ok_or(Refused::NotEnrolled)?;
        let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
        let manifest = unsigned.signed(&signature);
        let last = entries.last().map_or(0, ParsedEntry::seq);
        let digest = Digest::of(&manifest).to_string();
        let text = make_bundle(manifest, entries)?;
        state::write(
            &database,
            Slot::Bundle(u32::try_from(last).unwrap_or(u32::MAX)),
            &digest,
        )
        .await?;
        state::write(&database, Slot::Exported, &at.to_rfc3339()).await?;
        self.bundled.update(|bundled| *bundled = last.max(*bundled));
        let name = format!(
            "combgate-{}-{}-{last}.json",
            handset.as_ref().map_or("handset", Code::as_str),
            at.date_naive(),
        );
        Ok(Outgoing { name, text })
    }
}

/// Cuts entries into parts of which each fits a bundle.
fn parts(entries: &[ParsedEntry]) -> Vec<&[ParsedEntry]> {
    let limit = BUNDLE_BYTES_AT_MOST - MANIFEST_ROOM;
    let mut parts = Vec::new();
    let (mut begin, mut size) = (0, 0);
    for (place, entry) in entries.iter().enumerate() {
        // Quotation marks and a comma stand around each entry.
        let length = entry.compact().len() + 3;
        if size + length > limit && place > begin {
            parts.push(&entries[begin..place]);
            (begin, size) = (place, 0);
        }
        size += length;
    }
    if begin < entries.len() {
        parts.push(&entries[begin..]);
    }
    parts
}

/// For what was checked when it was taken in and then stored: whoever can change this phone's
/// store can change its journal too.
struct CheckedWhenTaken;

impl SignatureCheck for CheckedWhenTaken {
    fn fits(&self, _: &PublicKey, _: Signed<'_>) -> bool {
        true
    }
}
