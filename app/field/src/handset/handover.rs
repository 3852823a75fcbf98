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
use combgate_view::untrack;
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
    pub fn waiting(self) -> Waiting {
        let (last, booked) = (self.last.get(), self.booked_to());
        Waiting {
            count: last.saturating_sub(booked),
            since: self.since.get(),
            unbundled: last.saturating_sub(self.bundled.get().max(booked)),
        }
    }

    /// The acknowledgements in hand. Reactive.
    pub fn acknowledged(self) -> Acknowledged {
        self.acknowledged.get()
    }

    fn booked_to(self) -> u64 {
        let card = u64::from(self.brief.with(Option::is_some));
        let booked = |all: &Acknowledged| all.newest().map_or(0, |newest| newest.booked_to);
        self.acknowledged.with(booked).max(card)
    }

    /// Takes in an acknowledgement: checked, compared with the journal and with the one in hand,
    /// stored for good, then counted by.
    ///
    /// # Errors
    /// See [`Refused`]; then everything stays as it was.
    pub async fn take_acknowledgement(self, compact: &str) -> Result<(), Refused> {
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
        // One that says the same with a later date takes its place, so that asking often pushes no
        // question out.
        let again = held
            .newest()
            .is_some_and(|held| says_the_same(held, taken.payload()));
        let mut room = KEPT_BYTES_AT_MOST;
        let kept = before
            .lines()
            .skip(usize::from(again))
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
    pub(super) fn recall_acknowledged(self, text: Option<&str>) -> Result<(), Refused> {
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
    pub(super) async fn recall_since(self) -> Result<(), Refused> {
        let first = untrack(|| self.booked_to()).saturating_add(1);
        let first = u32::try_from(first).unwrap_or(u32::MAX);
        self.since
            .set(self.entry(first).await?.map(|entry| entry.at()));
        Ok(())
    }

    /// Between whom acknowledgements go, once both are known.
    fn between(self) -> Result<Option<(KeyId, PublicKey)>, Refused> {
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
    pub async fn bundle(self, part: Part) -> Result<Vec<Outgoing>, Refused> {
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
        for part in parts(&entries, BUNDLE_BYTES_AT_MOST - MANIFEST_ROOM) {
            let made = self.bundle_of(part).await?;
            self.note_bundle(&made).await?;
            files.push(made.file);
        }
        if files.is_empty() {
            return Err(Refused::NotEnrolled);
        }
        Ok(files)
    }

    /// Makes a bundle of the entries from a place on, of so many bytes at most, or of one entry. That
    /// it was given out is noted apart.
    pub(super) async fn bundle_from(self, first: u32, bytes: usize) -> Result<Made, Refused> {
        let entries = self.read(first..=u32::MAX).await?;
        let parts = parts(&entries, bytes);
        self.bundle_of(parts.first().ok_or(Refused::NotEnrolled)?)
            .await
    }

    async fn bundle_of(self, entries: &[ParsedEntry]) -> Result<Made, Refused> {
        let key = self.key.get_untracked().ok_or(Refused::NotEnrolled)?;
        let at = clock::now().ok_or(Refused::NoClock)?.at;
        let handset = self.brief.with_untracked(|brief| {
            brief
                .as_ref()
                .map(|brief| brief.payload().handset.code.clone())
        });
        let previous = state::bundles(&self.database.get_value())
            .await?
            .pop()
            .and_then(|text| Digest::try_from(text).ok());
        let unsigned = UnsignedManifest::over(entries, &key.public, handset.clone(), previous, at)?
            .ok_or(Refused::NotEnrolled)?;
        let signature = key.browser.sign(unsigned.unsigned().bytes()).await?;
        let manifest = unsigned.signed(&signature);
        let last = entries.last().map_or(0, ParsedEntry::seq);
        let name = format!(
            "combgate-{}-{}-{last}.json",
            handset.as_ref().map_or("handset", Code::as_str),
            at.date_naive(),
        );
        Ok(Made {
            digest: Digest::of(&manifest),
            file: Outgoing {
                name,
                text: make_bundle(manifest, entries)?,
            },
            last,
            at,
        })
    }

    /// Notes that a bundle was given out.
    pub(super) async fn note_bundle(self, made: &Made) -> Result<(), Refused> {
        let database = self.database.get_value();
        let place = u32::try_from(made.last).unwrap_or(u32::MAX);
        let texts = [
            (Slot::Bundle(place), &*made.digest.to_string()),
            (Slot::Exported, &*made.at.to_rfc3339()),
        ];
        state::write_all(&database, texts).await?;
        self.bundled
            .update(|bundled| *bundled = made.last.max(*bundled));
        Ok(())
    }
}

/// A bundle that was made.
#[derive(Debug, Clone)]
pub(super) struct Made {
    /// As it is given out.
    pub(super) file: Outgoing,
    /// Digest of its manifest.
    digest: Digest,
    /// Its last entry.
    last: u64,
    at: DateTime<FixedOffset>,
}

/// Cuts entries into parts of so many bytes at most, or of one entry.
fn parts(entries: &[ParsedEntry], limit: usize) -> Vec<&[ParsedEntry]> {
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

/// Whether two acknowledgements differ in their date alone.
fn says_the_same(one: &AcknowledgementV1, other: &AcknowledgementV1) -> bool {
    (one.booked_to, one.head, &one.questions) == (other.booked_to, other.head, &other.questions)
}

/// For what was checked when it was taken in and then stored: whoever can change this phone's
/// store can change its journal too.
struct CheckedWhenTaken;

impl SignatureCheck for CheckedWhenTaken {
    fn fits(&self, _: &PublicKey, _: Signed<'_>) -> bool {
        true
    }
}
