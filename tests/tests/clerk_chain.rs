//! Where entries belong: bundles that come twice, late, in another order or with another history.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::clerk::{Chain, FindingKind, Place};
use combgate_core::record::{Bundle, Digest, Entry, JournalHead, SoftwareCheck};
use combgate_tests::demo::bad::{fork, good};
use combgate_tests::demo::day::whole;
use combgate_tests::demo::file::BundleFile;
use combgate_tests::demo::{at, public, test_key};
use combgate_tests::twin::twin;

/// Entries of a bundle whose signatures fit.
fn entries(text: &str) -> Vec<Entry> {
    let key = public(&test_key("handset K7"));
    let bundle = Bundle::parse(text).unwrap();
    let bundle = bundle.verify(Some(&key), &SoftwareCheck).unwrap();
    bundle.good().cloned().collect()
}

/// What is booked of one handset.
#[derive(Default)]
struct Booked(Vec<String>);

impl Booked {
    fn head(&self) -> JournalHead {
        self.0
            .last()
            .map_or(JournalHead::EMPTY, |last| JournalHead {
                seq: self.0.len().try_into().unwrap(),
                hash: Digest::of(last),
            })
    }

    /// Takes a bundle in, books what follows, and says what became of each entry.
    fn import(&mut self, entries: &[Entry]) -> Vec<Place> {
        let mut chain = Chain::booked_to(self.head());
        entries
            .iter()
            .map(|entry| {
                let booked = usize::try_from(entry.seq()).unwrap() - 1;
                let booked = self.0.get(booked).map(String::as_str);
                let place = chain.place(entry, booked);
                if place == Place::Next {
                    self.0.push(entry.compact().to_owned());
                    assert_eq!(chain.head(), self.head());
                }
                place
            })
            .collect()
    }
}

fn apart(kind: FindingKind) -> Place {
    Place::Apart(kind)
}

#[test]
fn a_bundle_is_booked_once() {
    let (mut desk, day) = (Booked::default(), entries(&good()));
    assert_eq!(desk.import(&day), vec![Place::Next; 20]);
    assert_eq!(desk.import(&day), vec![Place::Booked; 20]);
    assert_eq!(desk.import(&day[4..9]), vec![Place::Booked; 5]);
    assert_eq!(desk.0.len(), 20);
}

#[test]
fn what_comes_before_its_turn_waits() {
    let (mut desk, day) = (Booked::default(), entries(&good()));
    desk.import(&day[..3]);
    let waiting = apart(FindingKind::Gap { before: 3 });
    assert_eq!(desk.import(&day[12..14]), vec![waiting; 2]);
    // A part that overlaps both closes the gap.
    let places = desk.import(&day[1..14]);
    assert_eq!(places[..2], [Place::Booked, Place::Booked]);
    assert_eq!(places[2..], vec![Place::Next; 11]);
}

#[test]
fn a_second_history_is_a_fork_and_changes_nothing() {
    let (mut desk, day, other) = (Booked::default(), entries(&good()), entries(&fork()));
    desk.import(&day);
    let before = desk.0.clone();
    let forked = |place: usize| {
        apart(FindingKind::Fork {
            booked: day[place].hash(),
        })
    };
    assert_eq!(
        desk.import(&other),
        [Place::Booked, Place::Booked, forked(2), forked(3)]
    );
    assert_eq!(desk.0, before);

    // The other way round: the first that came stands, and nothing is booked on top of it.
    let mut desk = Booked::default();
    desk.import(&other);
    let places = desk.import(&day[..7]);
    assert!(matches!(places[2], Place::Apart(FindingKind::Fork { .. })));
    assert!(matches!(places[3], Place::Apart(FindingKind::Fork { .. })));
    assert_eq!(places[4], apart(FindingKind::Unlinked));
    assert_eq!(places[5], apart(FindingKind::Gap { before: 4 }));
    assert_eq!(desk.0.len(), 4);
}

#[test]
fn an_entry_of_another_journal_does_not_follow() {
    let (mut desk, day, other) = (Booked::default(), entries(&good()), entries(&fork()));
    desk.import(&day[..3]);
    assert_eq!(desk.import(&other[3..]), [apart(FindingKind::Unlinked)]);
}

/// Whoever carries a file can turn a signature into another that fits. He must not be able to
/// accuse the officer of a fork, nor to keep the honest journal from being booked afterwards.
#[test]
fn a_turned_signature_is_no_fork_and_blocks_nothing() {
    let day = entries(&good());
    let turned = entries(&BundleFile::of(&good()).with(|file| {
        file.entries[4] = twin(&file.entries[4]);
    }));
    assert_ne!(turned[4].compact(), day[4].compact());

    let mut desk = Booked::default();
    desk.import(&day);
    let places = desk.import(&turned);
    assert_eq!(places[4], apart(FindingKind::SignedAgain));
    assert!(
        places
            .iter()
            .filter(|place| **place == Place::Booked)
            .count()
            == 19
    );

    // The turned one came first: the entry after it does not follow from it.
    let mut desk = Booked::default();
    let places = desk.import(&turned);
    assert_eq!(places[5], apart(FindingKind::Unlinked));
    assert_eq!(desk.0.len(), 5);
    // The officer exports again, with the original.
    let places = desk.import(&day);
    assert_eq!(places[4], apart(FindingKind::SignedAgain));
    assert_eq!(places[5..], vec![Place::Next; 15]);
    assert_eq!(desk.import(&day)[5..], vec![Place::Booked; 15]);
}

/// Parts of the journal lost, repeated and in any order, from a seed: each entry is booked once,
/// in order, and the end is always the same.
#[test]
fn whatever_way_the_parts_come_the_books_end_the_same() {
    let day = whole();
    let all: Vec<_> = day
        .handset
        .entries
        .iter()
        .map(|e| e.compact().to_owned())
        .collect();
    let last = all.len();
    let text = day.handset.bundle(.., at("17:05"));
    let day = entries(&text);
    for seed in 0..200 {
        let mut seeded = fastrand::Rng::with_seed(seed);
        let mut desk = Booked::default();
        for _ in 0..12 {
            let from = seeded.usize(..last);
            let until = seeded.usize(from..last) + 1;
            desk.import(&day[from..until]);
            assert_eq!(desk.0, all[..desk.0.len()], "seed {seed}");
        }
        desk.import(&day);
        assert_eq!(desk.0, all, "seed {seed}");
    }
}

/// An acknowledgement carries the codes to the handset: they stay the same.
#[test]
fn what_is_found_of_a_chain_keeps_its_code() {
    let hash = Digest::NONE;
    for (kind, code) in [
        (FindingKind::Gap { before: 1 }, "gap"),
        (FindingKind::Fork { booked: hash }, "fork"),
        (FindingKind::Unlinked, "unlinked"),
        (FindingKind::SignedAgain, "signed-again"),
    ] {
        assert_eq!(kind.code(), code);
    }
}
