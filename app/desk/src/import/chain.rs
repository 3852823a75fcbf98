//! Extending a handset's journal as booked, whatever comes and in whatever order.
//!
//! Entries with a good signature that do not link yet are kept apart, and booked once those before
//! them are. So the books depend on which entries came, not on how they were bundled; only when a
//! handset signed two texts under one number, the first to come stands.

use super::books::LedgerBooks;
use super::effect;
use crate::findings::opening_before;
use crate::statistics::Tally;
use crate::store::{FindingRow, Handset, Kept, Store, StoreError};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::{
    Chain, ClosedTo, DayBook, Finding, FindingKind, OfficerDays, Place, number_of, signed_text,
};
use combgate_core::record::{
    DayOpenedV1, Digest, Entry, EntryBody, JournalHead, SignatureCheck, day_of,
};
use std::collections::BTreeMap;

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
    let opened = last_opening(store, handset)?;
    let open = opened.as_ref().map(|(seq, _)| *seq);
    let mut journal = Journal {
        store,
        check,
        books: LedgerBooks::new(store, handset.code.clone()),
        chain: Chain::booked_to(handset.head),
        waiting: first_waiting(store, handset, handset.head)?,
        extension: Extension::default(),
        closed: store.closed_to()?,
        today,
        days: BTreeMap::new(),
        out_of_use: match store.disbelieved_from(&handset.code)? {
            Some(_) => None,
            None => store.revocation(&handset.code)?.map(|said| said.from_at),
        },
        officers: OfficerDays::after(open.filter(|_| handset.review.day_in_hand().is_some())),
        opened: opened.map(|(_, opening)| opening),
        handset,
    };
    for entry in arrivals {
        journal.take(entry)?;
    }
    // What came may be another signature over the head, by which an entry that waited links.
    journal.book_waiting()?;
    for (day, (book, tally)) in &journal.days {
        store.keep_sums(book)?;
        store.keep_tally(*day, &tally.rows())?;
    }
    for (opening, moved) in journal.officers.moved() {
        store.keep_moved(&journal.handset.code, *opening, moved)?;
    }
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

fn last_opening(
    store: &impl Store,
    handset: &Handset,
) -> Result<Option<(u64, Box<DayOpenedV1>)>, StoreError> {
    let next = handset.head.seq.saturating_add(1);
    let opening = opening_before(store, &handset.code, next)?;
    Ok(opening.and_then(|entry| match entry.body() {
        EntryBody::DayOpened(opening) => Some((entry.seq(), opening.clone())),
        _ => None,
    }))
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
    /// What was booked now, by the day it counts on.
    days: BTreeMap<NaiveDate, (DayBook, Tally)>,
    /// What was booked now, by the officer's day it is of.
    officers: OfficerDays,
    /// From when on the handset is out of use, until an entry of then is booked.
    out_of_use: Option<DateTime<FixedOffset>>,
    /// The last opening that is booked.
    opened: Option<Box<DayOpenedV1>>,
}

impl<S: Store> Journal<'_, S> {
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
        if self.out_of_use.is_some_and(|from| entry.at() >= from) {
            self.store.disbelieve_from(code, entry.seq())?;
            self.out_of_use = None;
        }
        self.officers
            .note(entry, self.handset.review.full_pails_in_hand());
        let findings = self.handset.review.review(entry, &self.books);
        self.books.trouble()?;
        for finding in &findings {
            self.store.keep_finding(code, &row(finding))?;
        }
        effect::apply(self.store, code, entry)?;
        self.books.booked(entry);
        self.count(entry)?;
        self.handset.head = JournalHead::at(entry);
        self.extension.booked += 1;
        Ok(())
    }

    /// Counts it on its day; what comes after that was closed counts on the open day, and says so.
    fn count(&mut self, entry: &Entry) -> Result<(), StoreError> {
        if let EntryBody::DayOpened(opening) = entry.body() {
            self.opened = Some(opening.clone());
        }
        let Some(day) = day_of(entry.body()) else {
            return Ok(());
        };
        let code = &self.handset.code;
        let mut on = day;
        if self.closed.contains(day) {
            on = self.closed.open_day(self.today);
            self.store.count_late(code, entry.seq(), on)?;
            let finding = row(&Finding {
                seq: entry.seq(),
                number: number_of(entry.body()),
                kind: FindingKind::BookedLate { day, on },
            });
            self.store.keep_finding(code, &finding)?;
        }
        let new = || (DayBook::new(on), Tally::default());
        let (book, tally) = self.days.entry(on).or_insert_with(new);
        if let EntryBody::Cancellation(undone) = entry.body()
            && let Some(grade) = self
                .store
                .receipt(&undone.number, code)?
                .and_then(|paper| paper.grade)
        {
            book.know(code, &undone.number, &grade);
        }
        book.count(code, entry.body());
        tally.count(self.opened.as_deref(), entry.body());
        Ok(())
    }

    /// Books what waited for the head, and what waited for that.
    fn book_waiting(&mut self) -> Result<(), StoreError> {
        loop {
            let head = self.chain.head();
            // What a copied handset wrote may wait in a place that is booked by now: it never joins.
            if self.waiting.is_some_and(|lowest| lowest <= head.seq) {
                self.waiting = first_waiting(self.store, self.handset, head)?;
            }
            if self.waiting != Some(head.seq.saturating_add(1)) {
                return Ok(());
            }
            let Some((entry, chain)) = self.next_waiting()? else {
                return Ok(());
            };
            self.chain = chain;
            self.book(&entry)?;
        }
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
