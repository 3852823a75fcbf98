//! A handset and its copy hand over in any order, interleaved with another handset: which history is
//! booked depends on what came first, and nothing else does. Held to a model that knows nothing of
//! bundles and databases.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use combgate_core::record::{ParsedEntry, totals_by_day};
use combgate_desk::import::import;
use combgate_desk::keys::DeskCheck;
use combgate_desk::store::SqliteStore;
use common::books::Books;
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

/// The copy was made after this entry.
const COPIED_AT: u64 = 4;

struct World {
    desk: TestDesk,
    /// The handset, its copy, and another handset.
    journals: [TestHandset; 3],
}

static WORLD: LazyLock<World> = LazyLock::new(|| {
    let desk = TestDesk::with_open_prices();
    let mut honest = TestHandset::enrol(&desk, "K1");
    honest.open();
    honest.deliver(&delivery("bought"), "M001", None);
    honest.deliver(&delivery("held"), "M005", None);
    let mut copy = honest.turned_back_to(COPIED_AT);
    honest.deliver(&delivery("bought"), "M003", Some(50_000));
    honest.pay_latest();
    honest.close();
    copy.deliver(&delivery("bought"), "M004", None);
    copy.deliver(&delivery("stingless"), "M006", None);
    copy.cancel_latest();
    copy.close();
    let mut other = TestHandset::enrol(&desk, "K2");
    other.open();
    other.deliver(&delivery("bought"), "M002", None);
    other.close();
    World {
        desk,
        journals: [honest, copy, other],
    }
});

/// A part of one of the three journals.
#[derive(Debug, Clone, Copy)]
struct Carried {
    journal: usize,
    first: u64,
    last: u64,
}

impl Carried {
    fn entries(self) -> &'static [ParsedEntry] {
        let at = |seq: u64| usize::try_from(seq).unwrap();
        &WORLD.journals[self.journal].entries[at(self.first) - 1..at(self.last)]
    }
}

fn carried() -> impl Strategy<Value = Carried> {
    (
        0..3_usize,
        any::<prop::sample::Index>(),
        any::<prop::sample::Index>(),
    )
        .prop_map(|(journal, one, other)| {
            let length = WORLD.journals[journal].entries.len();
            let place =
                |index: prop::sample::Index| u64::try_from(index.index(length)).unwrap() + 1;
            let (one, other) = (place(one), place(other));
            Carried {
                journal,
                first: one.min(other),
                last: one.max(other),
            }
        })
}

fn take(store: &mut SqliteStore, folder: &Path, carried: Carried) {
    let journal = &WORLD.journals[carried.journal];
    let path = folder.join("bundle.json");
    std::fs::write(&path, journal.bundle(carried.first..=carried.last)).unwrap();
    let now = "2026-10-21T08:00:00+03:00".parse().unwrap();
    import(store, &DeskCheck, &path, now).unwrap();
}

fn compacts<'a>(entries: impl Iterator<Item = &'a ParsedEntry>) -> BTreeSet<String> {
    entries.map(|entry| entry.compact().to_owned()).collect()
}

/// What of a journal is without a gap from its first entry on, of what came.
fn unbroken(journal: usize, came: &BTreeSet<String>) -> Vec<String> {
    let entries = WORLD.journals[journal].entries.iter();
    let all = entries.map(|entry| entry.compact().to_owned());
    all.take_while(|entry| came.contains(entry)).collect()
}

fn holds(store: &SqliteStore, all: &[Carried]) -> Books {
    let books = Books::of(store);
    for (handset, journals) in books.handsets.iter().zip([&[0, 1][..], &[2]]) {
        // The cards came when the handsets were enrolled; the copy has the same.
        let cards = WORLD.journals[journals[0]].entries.iter().take(1);
        let came = all.iter().filter(|each| journals.contains(&each.journal));
        let mut came = compacts(came.flat_map(|each| each.entries()));
        came.extend(compacts(cards));
        // One history and no mixture of two, as far as it came without a gap.
        let histories = journals.iter().map(|journal| unbroken(*journal, &came));
        assert!(
            histories.clone().any(|history| history == handset.booked),
            "{}: {} entries are booked of {:?}",
            handset.code,
            handset.booked.len(),
            histories.map(|history| history.len()).collect::<Vec<_>>()
        );
        // Nothing that came is lost, and nothing is there twice.
        let booked: BTreeSet<String> = handset.booked.iter().cloned().collect();
        let apart: BTreeSet<String> = handset.apart.iter().cloned().collect();
        assert_eq!(handset.booked.len() + handset.apart.len(), came.len());
        assert_eq!(&booked | &apart, came, "{}", handset.code);
        assert_eq!(handset.evidence, [], "every signature is good");
    }
    // The sums are those of what is booked.
    let booked = books.handsets.iter().flat_map(|handset| &handset.booked);
    let booked: Vec<_> = booked
        .map(|text| ParsedEntry::parse(text).unwrap())
        .collect();
    let totals = totals_by_day(booked.iter().map(ParsedEntry::body));
    let grams = |days: &[combgate_core::record::DayTotalV1]| -> Vec<_> {
        let days = days.iter().filter(|day| day.receipts + day.slips > 0);
        days.cloned().collect()
    };
    assert_eq!(grams(&books.days), grams(&totals));
    books
}

/// Both wrote a sixth entry, and the seventh and eighth of the one whose sixth comes later wait for it.
#[test]
fn what_waits_behind_a_place_that_both_wrote_is_booked_with_it() {
    let folder = tempfile::tempdir().unwrap();
    let ledger = folder.path().join("ledger.sqlite");
    std::fs::copy(WORLD.desk.path("desk/ledger.sqlite"), &ledger).unwrap();
    let mut store = SqliteStore::open(&ledger).unwrap();
    let all = [(1, 3, 5), (0, 1, 6), (1, 7, 8), (1, 1, 7)].map(|(journal, first, last)| Carried {
        journal,
        first,
        last,
    });
    for (count, each) in (1..).zip(&all) {
        take(&mut store, folder.path(), *each);
        holds(&store, &all[..count]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_copied_handset_in_any_order_ends_in_one_history_with_nothing_lost(
        (all, again) in prop::collection::vec(carried(), 1..10)
            .prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle())),
    ) {
        let folder = tempfile::tempdir().unwrap();
        let ledger = folder.path().join("ledger.sqlite");
        std::fs::copy(WORLD.desk.path("desk/ledger.sqlite"), &ledger).unwrap();
        let mut store = SqliteStore::open(&ledger).unwrap();
        let mut before: Vec<Vec<String>> = Vec::new();
        for (count, each) in (1..).zip(&all) {
            take(&mut store, folder.path(), *each);
            let books = holds(&store, &all[..count]);
            // What is booked stays, whatever contradicts it later.
            let now: Vec<_> = books.handsets.iter().map(|handset| handset.booked.clone()).collect();
            for (old, new) in before.iter().zip(&now) {
                prop_assert!(new.starts_with(old));
            }
            before = now;
        }
        // All of it once more, in another order, changes nothing.
        let books = Books::of(&store);
        for each in again {
            take(&mut store, folder.path(), each);
        }
        prop_assert_eq!(Books::of(&store), books);
    }
}
