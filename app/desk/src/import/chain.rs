//! Extending a handset's journal as booked, whatever comes and in whatever order.
//!
//! Entries with a good signature that do not link yet are kept apart, and booked once those before
//! them are. So the books depend on which entries came, not on how they were bundled; only when a
//! handset signed two texts under one number, the first to come stands.

use super::books::{AHEAD, LedgerBooks};
use super::effect;
use crate::store::{FindingRow, Handset, Kept, Store, StoreError};
use chrono::NaiveDate;
use combgate_core::clerk::{Chain, ClosedTo, Finding, FindingKind, Place, number_of, signed_text};
use combgate_core::record::{Digest, Entry, JournalHead, SignatureCheck, day_of};

/// What became of the entries of a bundle.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Extension {
    /// Booked now, those that had waited included.
    pub booked: u64,
    /// Newly kept apart.
    pub apart: u64,
    /// Kept before, booked or apart.
    pub known: u64,
}

/// Extends a handset's journal by entries, and keeps how far it got.
pub(super) fn extend<'a, S: Store>(
    store: &S,
    check: &dyn SignatureCheck,
    handset: &mut Handset,
    arrivals: impl IntoIterator<Item = &'a Entry>,
    today: NaiveDate,
) -> Result<Extension, StoreError> {
    // In order, so that nothing of one bundle has to wait for the rest of it.
    let mut arrivals: Vec<&Entry> = arrivals.into_iter().collect();
    arrivals.sort_by_key(|entry| entry.seq());
    let mut journal = Journal {
        store,
        check,
        books: LedgerBooks::new(store, handset.code.clone()),
        chain: Chain::booked_to(handset.head),
        waiting: first_waiting(store, handset, handset.head)?,
        extension: Extension::default(),
        closed: store.closed_to()?,
        today,
        handset,
    };
    for part in arrivals.chunks(AHEAD) {
        journal.judge_ahead(part);
        for entry in part {
            journal.take(entry)?;
        }
    }
    // What came may be another signature over the head, by which an entry that waited links.
    journal.book_waiting()?;
    let extension = journal.extension;
    store.keep_progress(handset)?;
    Ok(extension)
}

fn first_waiting(
    store: &impl Store,
    handset: &Handset,
    head: JournalHead,
) -> Result<Option<u64>, StoreError> {
    let waiting = store.waiting_above(&handset.code, head.seq)?;
    Ok(waiting.map(|waiting| waiting.first))
}

struct Journal<'a, S> {
    store: &'a S,
    check: &'a dyn SignatureCheck,
    books: LedgerBooks<'a, S>,
    handset: &'a mut Handset,
    chain: Chain,
    /// The lowest number kept apart above the head.
    waiting: Option<u64>,
    extension: Extension,
    closed: ClosedTo,
    today: NaiveDate,
}

impl<S: Store> Journal<'_, S> {
    /// Judges what is about to be booked.
    fn judge_ahead(&self, part: &[&Entry]) {
        let head = self.chain.head().seq;
        let new: Vec<&Entry> = part
            .iter()
            .copied()
            .filter(|entry| entry.seq() > head)
            .collect();
        self.books.reassess(&new);
    }

    fn take(&mut self, entry: &Entry) -> Result<(), StoreError> {
        let booked = if entry.seq() <= self.chain.head().seq {
            self.store.booked(&self.handset.code, entry.seq())?
        } else {
            None
        };
        // A sealed entry that comes again is known by its signed text, and stays sealed.
        let sealed = booked.as_deref() == Some("");
        if sealed && self.is_sealed(entry)? {
            self.extension.known += 1;
            return Ok(());
        }
        match self.chain.place(entry, booked.as_deref()) {
            Place::Next => {
                self.book(entry)?;
                self.book_waiting()
            }
            Place::Booked => {
                self.extension.known += 1;
                Ok(())
            }
            Place::Apart(_) => self.keep_apart(entry),
        }
    }

    fn is_sealed(&self, entry: &Entry) -> Result<bool, StoreError> {
        let signed = signed_text(entry.compact());
        self.store
            .is_sealed(&self.handset.code, entry.seq(), &Digest::of(signed))
    }

    fn keep_apart(&mut self, entry: &Entry) -> Result<(), StoreError> {
        if !self
            .store
            .keep_entry(&self.handset.code, entry, Kept::Apart)?
        {
            self.extension.known += 1;
            return Ok(());
        }
        self.extension.apart += 1;
        if entry.seq() > self.chain.head().seq {
            let lowest = self.waiting.unwrap_or(u64::MAX).min(entry.seq());
            self.waiting = Some(lowest);
        }
        Ok(())
    }

    fn book(&mut self, entry: &Entry) -> Result<(), StoreError> {
        let code = &self.handset.code;
        if !self.store.keep_entry(code, entry, Kept::Booked)? {
            self.store.book_entry(code, entry.seq(), &entry.hash())?;
        }
        let findings = self.handset.review.review(entry, &self.books);
        self.books.trouble()?;
        for finding in &findings {
            self.store.keep_finding(code, &row(finding))?;
        }
        effect::apply(self.store, code, entry)?;
        self.count_late(entry)?;
        self.handset.head = JournalHead::at(entry);
        self.extension.booked += 1;
        Ok(())
    }

    /// What comes after its day was closed counts on the open day, and says so.
    fn count_late(&self, entry: &Entry) -> Result<(), StoreError> {
        let late = day_of(entry.body()).filter(|day| self.closed.contains(*day));
        let Some(day) = late else {
            return Ok(());
        };
        let code = &self.handset.code;
        let on = self.closed.open_day(self.today);
        self.store.count_late(code, entry.seq(), on)?;
        let finding = row(&Finding {
            seq: entry.seq(),
            number: number_of(entry.body()),
            kind: FindingKind::BookedLate { day, on },
        });
        self.store.keep_finding(code, &finding)?;
        Ok(())
    }

    /// Books what waited for the head, and what waited for that.
    fn book_waiting(&mut self) -> Result<(), StoreError> {
        while self.waiting == Some(self.chain.head().seq.saturating_add(1)) {
            let Some((entry, chain)) = self.next_waiting()? else {
                return Ok(());
            };
            self.chain = chain;
            self.book(&entry)?;
            self.waiting = first_waiting(self.store, self.handset, self.chain.head())?;
        }
        Ok(())
    }

    /// An entry kept apart that follows the head, with the chain that it makes.
    fn next_waiting(&self) -> Result<Option<(Entry, Chain)>, StoreError> {
        let head = self.chain.head();
        let mut chains = vec![self.chain.clone()];
        let again = self.kept_apart(head.seq)?;
        if !again.is_empty() {
            let booked = self.store.booked(&self.handset.code, head.seq)?;
            for entry in again {
                let mut chain = Chain::booked_to(head);
                chain.place(&entry, booked.as_deref());
                chains.push(chain);
            }
        }
        for entry in self.kept_apart(head.seq.saturating_add(1))? {
            for chain in &chains {
                let mut chain = chain.clone();
                if chain.place(&entry, None) == Place::Next {
                    return Ok(Some((entry, chain)));
                }
            }
        }
        Ok(None)
    }

    fn kept_apart(&self, seq: u64) -> Result<Vec<Entry>, StoreError> {
        entries_apart(self.store, self.check, self.handset, seq..=seq)
    }
}

/// Entries kept apart, proven again.
pub(super) fn entries_apart(
    store: &impl Store,
    check: &dyn SignatureCheck,
    handset: &Handset,
    seqs: std::ops::RangeInclusive<u64>,
) -> Result<Vec<Entry>, StoreError> {
    store
        .apart(&handset.code, seqs)?
        .iter()
        .map(|compact| {
            Entry::signed_by(&handset.key, compact, check).map_err(|error| StoreError::Damaged {
                what: "an entry kept apart",
                detail: error.to_string(),
            })
        })
        .collect()
}

/// A finding as it is kept.
pub(crate) fn row(finding: &Finding) -> FindingRow {
    FindingRow {
        seq: finding.seq,
        code: finding.kind.code().to_owned(),
        weight: finding.kind.weight(),
        number: finding.number.clone(),
        sentence: finding.kind.to_string(),
    }
}
