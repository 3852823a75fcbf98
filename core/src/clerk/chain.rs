//! Where a received entry stands to the journal as it is booked.
//!
//! A handset may sign one text twice, and anybody can turn one ES256 signature into another that
//! fits as well (`n - s` for `s`). So two entries of one number are the same when their signed
//! texts are the same; only another text under the same number is a fork.

use super::finding::FindingKind;
use crate::record::{Digest, Entry, JournalHead};

/// What is to be done with an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// It follows the last booked entry: review it and book it.
    Next,
    /// It is booked already: do nothing.
    Booked,
    /// It is not booked: keep it as evidence, with this finding.
    Apart(FindingKind),
}

/// A handset's journal as it is booked, with the entries of one bundle placed against it in the
/// bundle's order.
#[derive(Debug, Clone)]
pub struct Chain {
    head: JournalHead,
    /// Hash of the head as this bundle carries it, when its signature is another.
    head_here: Digest,
}

impl Chain {
    /// A journal that is booked up to a head.
    pub const fn booked_to(head: JournalHead) -> Self {
        Self {
            head,
            head_here: head.hash,
        }
    }

    /// The last entry booked, those placed [`Place::Next`] included.
    pub const fn head(&self) -> JournalHead {
        self.head
    }

    /// Places the bundle's next entry. `booked` is the compact form that is booked under the
    /// entry's number, if there is one.
    pub fn place(&mut self, entry: &Entry, booked: Option<&str>) -> Place {
        if let Some(booked) = booked {
            return self.compare(entry, booked);
        }
        if entry.seq() > self.head.seq.saturating_add(1) {
            return Place::Apart(FindingKind::Gap {
                before: self.head.seq,
            });
        }
        if !self.follows(entry) {
            return Place::Apart(FindingKind::Unlinked);
        }
        *self = Self::booked_to(JournalHead::at(entry));
        Place::Next
    }

    fn follows(&self, entry: &Entry) -> bool {
        self.head.precedes(entry)
            || JournalHead {
                hash: self.head_here,
                ..self.head
            }
            .precedes(entry)
    }

    fn compare(&mut self, entry: &Entry, booked: &str) -> Place {
        if signed_text(entry.compact()) != signed_text(booked) {
            return Place::Apart(FindingKind::Fork {
                booked: Digest::of(booked),
            });
        }
        if entry.seq() == self.head.seq {
            self.head_here = entry.hash();
        }
        if entry.compact() == booked {
            Place::Booked
        } else {
            Place::Apart(FindingKind::SignedAgain)
        }
    }
}

/// A compact JWS without its signature: what two signatures of one text have in common.
pub fn signed_text(compact: &str) -> &str {
    compact.rsplit_once('.').map_or(compact, |(text, _)| text)
}
