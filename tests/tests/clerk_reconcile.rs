//! An officer's cash and pails, against the demo day added up by hand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::clerk::{
    DayMoved, OfficerDay, OfficerDays, PailCount, PailOut, PailStands, ReconcileFinding, reconcile,
};
use combgate_core::record::{EntryBody, Keeper, ParsedEntry, ReceiptNumber, Standing};
use combgate_tests::demo::code;
use combgate_tests::demo::day::{FLOAT_MINOR, whole};
use std::collections::BTreeSet;
use std::convert::Infallible;

/// Pails of the day's papers that go to the store: how many stand how, and those on the way.
fn pails(entries: &[ParsedEntry], received: &[&str]) -> (PailCount, Vec<PailOut>) {
    let cancelled: BTreeSet<ReceiptNumber> = entries
        .iter()
        .filter_map(|entry| match entry.body() {
            EntryBody::Cancellation(undone) => Some(undone.number.clone()),
            _ => None,
        })
        .collect();
    let (mut count, mut out) = (PailCount::default(), Vec::new());
    for entry in entries {
        let (number, delivery, held) = match entry.body() {
            EntryBody::Receipt(receipt) => (&receipt.number, &receipt.delivery, false),
            EntryBody::Slip(slip) if slip.pails_with == Keeper::Cooperative => {
                (&slip.number, &slip.delivery, true)
            }
            _ => continue,
        };
        let cancelled = cancelled.contains(number);
        for pail in &delivery.pails {
            let received = received.contains(&pail.number.as_str()) && !cancelled;
            let stands = PailStands {
                held,
                cancelled,
                received,
            };
            count.count(stands, 1);
            if !cancelled && !received {
                out.push(PailOut {
                    number: pail.number.clone(),
                    paper: number.clone(),
                });
            }
        }
    }
    (count, out)
}

/// Every officer's day of a journal.
fn days(entries: &[ParsedEntry]) -> OfficerDays {
    let (mut days, mut standing) = (OfficerDays::default(), Standing::default());
    for entry in entries {
        days.note(entry, standing.full_pails());
        standing.note(entry);
    }
    days
}

fn reconciled_of(entries: &[ParsedEntry], given: i64, received: &[&str]) -> OfficerDay {
    let days = days(entries);
    let (opening, moved) = days.moved().first_key_value().unwrap();
    let opened = entries.iter().find(|entry| entry.seq() == *opening);
    let EntryBody::DayOpened(opened) = opened.unwrap().body() else {
        panic!("entry {opening} opens no day");
    };
    let (count, out) = pails(entries, received);
    let Ok(day) = reconcile::<Infallible>(opened, moved, given, count, || Ok(out));
    day
}

fn reconciled(given: i64, received: &[&str]) -> OfficerDay {
    reconciled_of(&whole().handset.entries, given, received)
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
    let (_, open) = entries.split_last().unwrap();
    let day = reconciled_of(open, 0, &["P-101"]);
    assert_eq!(day.cash.counted_minor, None);
    // Nothing is missing before the officer has counted.
    assert_eq!(day.findings.len(), 1);
    assert_eq!(day.findings[0].code(), "officer-day-open");
    assert!(days(&entries[..1]).moved().is_empty());
}

/// What is noted in two parts is what is noted in one.
#[test]
fn a_day_goes_on_where_an_earlier_part_of_it_ended() {
    let entries = whole().handset.entries;
    let all = days(&entries);
    let (opening, moved) = all.moved().first_key_value().unwrap();
    for cut in 2..entries.len() {
        let first = days(&entries[..cut]);
        let mut rest = OfficerDays::after(Some(*opening));
        let mut standing = Standing::default();
        for (place, entry) in entries.iter().enumerate() {
            if place >= cut {
                rest.note(entry, standing.full_pails());
            }
            standing.note(entry);
        }
        let parts = [&first, &rest].map(|part| part.moved()[opening]);
        let sum = |of: fn(&_) -> i64| parts.iter().map(of).sum::<i64>();
        assert_eq!(sum(|part: &DayMoved| part.paid_minor), moved.paid_minor);
        assert_eq!(
            sum(|part: &DayMoved| part.returned_minor),
            moved.returned_minor
        );
        assert_eq!(parts[1].counted, moved.counted);
    }
}
