//! What of the journals is read again: beside a plain list of the same entries.

use super::journals::bundle_row;
use super::{Open, at, day, handset};
use crate::common::fixtures;
use crate::common::handset::code;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::NaiveDate;
use combgate_core::record::{Digest, EntryBody, ParsedEntry};
use combgate_core::units::Code;
use combgate_desk::store::{BundleRow, Evidence, Kept, Store};
use std::collections::BTreeSet;
use std::path::Path;

/// Entries of a bundle of the fixtures: days opened and closed, papers between them.
fn journal(bundle: &str) -> Vec<ParsedEntry> {
    let text = std::fs::read_to_string(fixtures().join(bundle)).unwrap();
    let bundle: serde_json::Value = serde_json::from_str(&text).unwrap();
    let entries = bundle["entries"].as_array().unwrap().iter();
    entries
        .map(|entry| ParsedEntry::parse(entry.as_str().unwrap()).unwrap())
        .collect()
}

/// The opening of a day.
pub(crate) fn opening() -> ParsedEntry {
    let entries = journal("bundles/good/day.json");
    entries.into_iter().find(is_opening).unwrap()
}

/// Two handsets' journals: a week, and one day before it; each entry with whose it is.
fn two_journals() -> Vec<(Code, ParsedEntry)> {
    [
        ("K1", "fortnight/b1-week-1.json"),
        ("K2", "bundles/good/day.json"),
    ]
    .into_iter()
    .flat_map(|(of, bundle)| {
        journal(bundle)
            .into_iter()
            .map(move |entry| (code(of), entry))
    })
    .collect()
}

/// The day in its payload (RFC 7515, 7.1), where it has one.
pub(crate) fn day_of(entry: &ParsedEntry) -> Option<NaiveDate> {
    let payload = entry.compact().split('.').nth(1).unwrap();
    let payload = URL_SAFE_NO_PAD.decode(payload).unwrap();
    let payload: serde_json::Value = serde_json::from_slice(&payload).unwrap();
    payload["body"]["day"]
        .as_str()
        .map(|day| day.parse().unwrap())
}

fn is_end(entry: &ParsedEntry) -> bool {
    matches!(
        entry.body(),
        EntryBody::DayOpened(_) | EntryBody::DayClosed(_)
    )
}

fn is_opening(entry: &ParsedEntry) -> bool {
    matches!(entry.body(), EntryBody::DayOpened(_))
}

fn compact(entries: &[ParsedEntry]) -> Vec<&str> {
    entries.iter().map(ParsedEntry::compact).collect()
}

fn of_handsets(entries: &[(Code, ParsedEntry)]) -> Vec<(&str, &str)> {
    let both = entries.iter();
    both.map(|(of, entry)| (of.as_str(), entry.compact()))
        .collect()
}

/// A store that holds two journals, kept in turns from their ends; with the plain list.
fn filled<S: Store>(open: Open<S>, folder: &Path) -> (S, Vec<(Code, ParsedEntry)>) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let all = two_journals();
    for (of, entry) in all.iter().rev() {
        assert!(store.keep_entry(of, entry, Kept::Booked).unwrap());
    }
    drop(store);
    (open(folder), all)
}

pub(crate) fn entries_are_read_by_number_and_by_day<S: Store>(open: Open<S>, folder: &Path) {
    let (store, all) = filled(open, folder);
    let k1: Vec<&ParsedEntry> = all
        .iter()
        .filter_map(|(of, entry)| (of.as_str() == "K1").then_some(entry))
        .collect();
    for seqs in [1..=1, 3..=9, 40..=u64::MAX, 60..=70] {
        let found = store.booked_among(&code("K1"), seqs.clone()).unwrap();
        let expected: Vec<&str> = k1
            .iter()
            .filter(|entry| seqs.contains(&entry.seq()))
            .map(|entry| entry.compact())
            .collect();
        assert_eq!(compact(&found), expected, "{seqs:?}");
    }
    let first = |of: &str| store.first_moment(&code(of)).unwrap();
    assert_eq!(first("K1"), Some(k1[0].at()));
    assert_eq!(first("K3"), None);
    for on in [8, 9, 12, 15, 17, 18].map(day) {
        let of_day = |wanted: fn(&ParsedEntry) -> bool| -> Vec<(Code, ParsedEntry)> {
            let entries = all
                .iter()
                .filter(|(_, entry)| day_of(entry) == Some(on) && wanted(entry));
            entries.cloned().collect()
        };
        let booked = store.booked_on(on).unwrap();
        assert_eq!(of_handsets(&booked), of_handsets(&of_day(|_| true)), "{on}");
        let ends = store.ends_on(on).unwrap();
        assert_eq!(of_handsets(&ends), of_handsets(&of_day(is_end)), "{on}");
        let openings = store.openings_of(on).unwrap();
        assert_eq!(
            of_handsets(&openings),
            of_handsets(&of_day(is_opening)),
            "{on}"
        );
    }
}

pub(crate) fn openings_and_closings_are_found_around_a_number<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    let (store, all) = filled(open, folder);
    for of in ["K1", "K2", "K3"].map(code) {
        let own: Vec<&ParsedEntry> = all
            .iter()
            .filter_map(|(whose, entry)| (*whose == of).then_some(entry))
            .collect();
        let last = store.last_end(&of).unwrap();
        let expected = own.iter().rev().find(|entry| is_end(entry));
        assert_eq!(
            last.as_ref().map(ParsedEntry::compact),
            expected.map(|entry| entry.compact())
        );
        for seq in 0..52 {
            let after = store.end_after(&of, seq).unwrap();
            let expected = own.iter().find(|entry| entry.seq() > seq && is_end(entry));
            assert_eq!(
                after.as_ref().map(ParsedEntry::compact),
                expected.map(|entry| entry.compact()),
                "{of} after {seq}"
            );
            let before = store.opened_before(&of, seq).unwrap();
            let opened = own.iter().rev();
            let expected = opened
                .clone()
                .find(|entry| entry.seq() < seq && is_opening(entry));
            assert_eq!(
                before.as_deref(),
                expected.map(|entry| entry.compact()),
                "{of} before {seq}"
            );
        }
    }
}

pub(crate) fn days_are_found_on_which_something_counts<S: Store>(open: Open<S>, folder: &Path) {
    let empty = open(folder);
    assert_eq!(empty.first_day().unwrap(), None);
    assert_eq!(empty.latest_days(3).unwrap(), []);
    assert_eq!(empty.days_around(day(9)).unwrap(), (None, None));
    drop(empty);
    let (store, all) = filled(open, folder);
    let mut days: BTreeSet<NaiveDate> = all.iter().filter_map(|(_, entry)| day_of(entry)).collect();
    let check = |days: &BTreeSet<NaiveDate>| {
        assert_eq!(store.first_day().unwrap().as_ref(), days.first());
        for most in [0, 1, 3, 99] {
            let latest: Vec<NaiveDate> = days.iter().rev().take(most).copied().collect();
            assert_eq!(store.latest_days(most).unwrap(), latest);
        }
        for on in 7..20 {
            let before = days.range(..day(on)).next_back().copied();
            let after = days.range(day(on + 1)..).next().copied();
            assert_eq!(store.days_around(day(on)).unwrap(), (before, after), "{on}");
        }
        let some: Vec<NaiveDate> = days.range(day(10)..=day(14)).copied().collect();
        assert_eq!(store.days_booked(day(10)..=day(14)).unwrap(), some);
    };
    check(&days);
    // An entry that came late counts on another day, and is read there; its opening is of its own.
    let k2 = code("K2");
    assert_eq!(store.counts_on(&k2, 2).unwrap(), Some(day(9)));
    assert_eq!(store.counts_on(&k2, 1).unwrap(), None);
    assert_eq!(store.counts_on(&k2, 99).unwrap(), None);
    for (of, entry) in &all {
        if *of == k2 && day_of(entry).is_some() {
            store.count_late(of, entry.seq(), day(18)).unwrap();
        }
    }
    days.remove(&day(9));
    days.insert(day(18));
    check(&days);
    assert_eq!(store.counts_on(&k2, 2).unwrap(), Some(day(18)));
    assert_eq!(store.booked_on(day(9)).unwrap().len(), 0);
    assert_eq!(store.ends_on(day(18)).unwrap().len(), 2);
    assert_eq!(store.openings_of(day(9)).unwrap().len(), 1);
    assert_eq!(store.openings_of(day(18)).unwrap().len(), 0);
}

pub(crate) fn what_came_last_and_what_was_refused_is_found<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let bundle = |of: &str, file: &str| BundleRow {
        handset: code(of),
        file: Digest::of(file),
        ..bundle_row()
    };
    let came = [
        bundle("K1", "one"),
        bundle("K2", "two"),
        bundle("K1", "three"),
    ];
    for bundle in &came {
        store.keep_bundle(bundle).unwrap();
    }
    let latest = |of: &str| store.latest_bundle(&code(of)).unwrap();
    assert_eq!(latest("K1").as_ref(), Some(&came[2]));
    assert_eq!(latest("K2").as_ref(), Some(&came[1]));
    assert_eq!(latest("K3"), None);
    let refused = |of: &str, bytes: &str, seq: Option<u64>| Evidence {
        handset: code(of),
        digest: Digest::of(bytes),
        seq,
        position: seq.unwrap_or(0),
        file: Digest::of("file"),
        reason: format!("{bytes} does not fit"),
        bytes: bytes.as_bytes().to_vec(),
        kept_at: at(0),
    };
    let kept = [
        refused("K1", "late", Some(7)),
        refused("K1", "early", Some(2)),
        refused("K2", "other", None),
    ];
    for evidence in &kept {
        assert!(store.keep_evidence(evidence).unwrap());
    }
    let told = |of: &str| store.refusals(&code(of)).unwrap();
    let reason = |of: &str| format!("{of} does not fit");
    assert_eq!(
        told("K1"),
        [(Some(2), reason("early")), (Some(7), reason("late"))]
    );
    assert_eq!(told("K2"), [(None, reason("other"))]);
    assert_eq!(told("K3"), []);
}
