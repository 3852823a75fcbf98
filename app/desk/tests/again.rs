//! One text signed twice is one entry, whichever signature comes first, and what follows either
//! is booked.
//!
//! ES256 draws a new number for each signature, and from one signature anybody makes a second that
//! fits as well: `n - s` for `s` (SEC 1, 4.1.4, where both verify).

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use combgate_core::record::{JournalHead, ParsedEntry};
use combgate_desk::import::import;
use combgate_desk::keys::DeskCheck;
use combgate_desk::store::{Journals, SqliteStore};
use common::desk::TestDesk;
use common::handset::{TestHandset, code, delivery};

/// Order of the group P-256 (SEC 2, 2.4.2).
const ORDER: [u8; 32] = [
    0xFF, 0xFF, 0xFF, 0xFF, 0x00, 0x00, 0x00, 0x00, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF,
    0xBC, 0xE6, 0xFA, 0xAD, 0xA7, 0x17, 0x9E, 0x84, 0xF3, 0xB9, 0xCA, 0xC2, 0xFC, 0x63, 0x25, 0x51,
];

/// The same text with the other signature that fits.
fn signed_again(entry: &ParsedEntry) -> ParsedEntry {
    let (text, signature) = entry.compact().rsplit_once('.').unwrap();
    let mut signature = URL_SAFE_NO_PAD.decode(signature).unwrap();
    let mut borrow = 0;
    for place in (0..32).rev() {
        let difference = i16::from(ORDER[place]) - i16::from(signature[32 + place]) - borrow;
        borrow = i16::from(difference < 0);
        signature[32 + place] = u8::try_from(difference.rem_euclid(256)).unwrap();
    }
    let compact = format!("{text}.{}", URL_SAFE_NO_PAD.encode(signature));
    ParsedEntry::parse(&compact).unwrap()
}

fn text_of(compact: &str) -> &str {
    compact.rsplit_once('.').unwrap().0
}

#[test]
fn one_text_signed_twice_is_one_entry_in_any_order() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M001", None);
    let first = handset.bundle(1..=3);
    let again = signed_again(&handset.entries[2]);
    assert_ne!(again.hash(), handset.entries[2].hash());
    let only_again = handset.bundle_of(std::slice::from_ref(&again));
    // The journal goes on from the second signature.
    handset.entries[2] = again.clone();
    assert_eq!(JournalHead::at(&handset.entries[2]).hash, again.hash());
    handset.deliver(&delivery("bought"), "M003", None);
    let after = handset.bundle(4..=4);
    let bundles = [first, only_again, after];
    for order in [
        [0, 1, 2],
        [0, 2, 1],
        [1, 0, 2],
        [1, 2, 0],
        [2, 0, 1],
        [2, 1, 0],
    ] {
        let folder = tempfile::tempdir().unwrap();
        let ledger = folder.path().join("ledger.sqlite");
        std::fs::copy(desk.path("desk/ledger.sqlite"), &ledger).unwrap();
        let mut store = SqliteStore::open(&ledger).unwrap();
        for place in order {
            let path = folder.path().join("bundle.json");
            std::fs::write(&path, &bundles[place]).unwrap();
            let now = "2026-10-21T08:00:00+03:00".parse().unwrap();
            import(&mut store, &DeskCheck, &path, now).unwrap();
        }
        for entry in &handset.entries {
            let booked = store.booked(&code("K1"), entry.seq()).unwrap().unwrap();
            assert_eq!(text_of(&booked), text_of(entry.compact()), "{order:?}");
        }
        assert_eq!(handset.booked_to(&store), 4, "{order:?}");
    }
}
