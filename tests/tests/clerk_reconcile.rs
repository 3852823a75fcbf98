//! An officer's cash and pails, against the demo day added up by hand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::clerk::{DayPail, OfficerDay, ReconcileFinding, reconcile};
use combgate_core::record::{EntryBody, Keeper, ParsedEntry, ReceiptNumber};
use combgate_tests::demo::code;
use combgate_tests::demo::day::{FLOAT_MINOR, whole};
use std::collections::BTreeSet;

/// Pails of the day's papers that go to the store.
fn pails(entries: &[ParsedEntry], received: &[&str]) -> Vec<DayPail> {
    let cancelled: BTreeSet<ReceiptNumber> = entries
        .iter()
        .filter_map(|entry| match entry.body() {
            EntryBody::Cancellation(undone) => Some(undone.number.clone()),
            _ => None,
        })
        .collect();
    let mut pails = Vec::new();
    for entry in entries {
        let (number, delivery, held) = match entry.body() {
            EntryBody::Receipt(receipt) => (&receipt.number, &receipt.delivery, false),
            EntryBody::Slip(slip) if slip.pails_with == Keeper::Cooperative => {
                (&slip.number, &slip.delivery, true)
            }
            _ => continue,
        };
        pails.extend(delivery.pails.iter().map(|pail| DayPail {
            number: pail.number.clone(),
            paper: number.clone(),
            held,
            cancelled: cancelled.contains(number),
            received: received.contains(&pail.number.as_str()) && !cancelled.contains(number),
        }));
    }
    pails
}

fn reconciled(given: i64, received: &[&str]) -> OfficerDay {
    let entries = whole().handset.entries;
    let pails = pails(&entries, received);
    // The first entry is the card; the second opens the day.
    reconcile(&entries[1..], given, &pails).unwrap()
}

/// By hand, from the receipts listed in `demo_fixtures.rs`: 90,030.00 of honey stand, of which
/// 9,925.00 were paid by telephone; besides, 7,570.00 were paid and came back.
#[test]
fn the_demo_day_is_even() {
    let day = reconciled(0, &[]);
    assert_eq!(day.cash.float_minor, FLOAT_MINOR);
    assert_eq!(day.cash.paid_minor, 9_003_000 - 992_500 + 757_000);
    assert_eq!(day.cash.returned_minor, 757_000);
    assert_eq!(day.cash.expected_minor(), FLOAT_MINOR - 8_010_500);
    assert_eq!(day.cash.difference_minor(), Some(0));
    // 13 pails bought and not given back, one held, one of the cancelled receipt given back.
    assert_eq!(
        (
            day.pails.bought,
            day.pails.held,
            day.pails.given_back,
            day.pails.on_the_way
        ),
        (14, 1, 1, 14)
    );
    assert_eq!(day.pails.counted_full, Some(14));
    assert_eq!(day.findings, []);
}

#[test]
fn cash_given_later_is_expected_in_the_box() {
    let day = reconciled(50_000, &[]);
    assert_eq!(day.cash.difference_minor(), Some(-50_000));
    assert_eq!(day.findings[0].code(), "cash-short");
    assert_eq!(reconciled(-50_000, &[]).findings[0].code(), "cash-over");
}

#[test]
fn once_pails_came_the_others_are_missing() {
    let day = reconciled(0, &["P-101", "P-102"]);
    assert_eq!((day.pails.received, day.pails.on_the_way), (2, 12));
    assert_eq!(day.findings.len(), 12);
    assert!(
        day.findings
            .iter()
            .all(|finding| finding.code() == "pail-missing")
    );
    let ReconcileFinding::PailMissing { pail, .. } = &day.findings[0] else {
        panic!("a pail is missing");
    };
    assert_eq!(*pail, code("P-103"));
}

#[test]
fn a_day_that_is_not_closed_yet_says_so() {
    let entries = whole().handset.entries;
    let (_, open) = entries[1..].split_last().unwrap();
    let day = reconcile(open, 0, &[]).unwrap();
    assert_eq!(day.cash.counted_minor, None);
    assert_eq!(day.findings[0].code(), "officer-day-open");
    assert_eq!(reconcile(&entries[..1], 0, &[]), None);
    assert_eq!(reconcile(&[], 0, &[]), None);
}
