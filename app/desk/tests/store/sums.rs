//! Sums and counts of days: kept bit by bit, they are what all of it at once comes to.

use super::papers::paper;
use super::{Open, day, handset};
use crate::common::fixtures;
use crate::common::handset::code;
use combgate_core::clerk::{DayBook, DayBookRow, DayCounted, DayMoved};
use combgate_core::record::{EntryBody, ParsedEntry};
use combgate_desk::store::{DayStands, Store, StoreError, Tallied, TallyRow};
use std::path::Path;

/// The good day of the fixtures: receipts of several grades, a slip, a cancellation.
fn bodies() -> Vec<EntryBody> {
    let text = std::fs::read_to_string(fixtures().join("bundles/good/day.json")).unwrap();
    let bundle: serde_json::Value = serde_json::from_str(&text).unwrap();
    let entries = bundle["entries"].as_array().unwrap().iter();
    entries
        .map(|entry| {
            ParsedEntry::parse(entry.as_str().unwrap())
                .unwrap()
                .body()
                .clone()
        })
        .collect()
}

fn book(of: &str, bodies: &[EntryBody]) -> DayBook {
    let mut book = DayBook::new(day(9));
    for body in bodies {
        book.add(&code(of), body);
    }
    book
}

pub(crate) fn sums_of_a_day_add_up_by_handset_and_grade<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let none = store.day_sums(day(9)).unwrap();
    assert_eq!((none.rows.len(), none.grades.len()), (0, 0));
    // What two handsets bought, receipt by receipt, in turns; nothing is undone by another than
    // who wrote it.
    let bodies: Vec<_> = bodies()
        .into_iter()
        .filter(|body| !matches!(body, EntryBody::Cancellation(_)))
        .collect();
    for body in &bodies {
        for of in ["K2", "K1"] {
            store
                .keep_sums(&book(of, std::slice::from_ref(body)))
                .unwrap();
        }
    }
    drop(store);
    let store = open(folder);
    let kept = store.day_sums(day(9)).unwrap();
    let once = book("K1", &bodies).total();
    assert!(once.receipts > 1 && once.slips > 0, "{once:?}");
    for (row, of) in kept.rows.iter().zip(["K1", "K2"]) {
        let expected = DayBookRow {
            handset: code(of),
            total: once.clone(),
        };
        assert_eq!(*row, expected);
    }
    assert_eq!(kept.rows.len(), 2);
    assert_eq!(kept.total.net_g, 2 * once.net_g);
    assert_eq!(kept.total.payable_minor, 2 * once.payable_minor);
    let grades = book("K1", &bodies);
    let grades = grades.grades();
    assert_eq!(kept.grades.len(), grades.len());
    for (name, of) in grades {
        let both = kept.grades[name];
        assert_eq!((both.receipts, both.net_g), (2 * of.receipts, 2 * of.net_g));
        assert_eq!(both.payable_minor, 2 * of.payable_minor);
    }
    assert_eq!(store.day_sums(day(10)).unwrap().rows, []);
}

pub(crate) fn counts_add_up_over_days<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let row = |what, about: &str, scale: &str, value, count| TallyRow {
        what,
        about: about.to_owned(),
        scale: scale.to_owned(),
        value,
        count,
    };
    let digit = |value, count| row(Tallied::Digit, "Neema", "SC-2", value, count);
    let other_scale = row(Tallied::Digit, "Neema", "SC-3", 5, 1);
    let moisture = row(Tallied::Moisture, "honeybee", "", 1_800, 4);
    let limit = row(Tallied::Limit, "honeybee", "", 2_000, 1);
    store
        .keep_tally(day(9), &[digit(5, 2), moisture.clone()])
        .unwrap();
    store
        .keep_tally(day(9), &[digit(5, 1), other_scale.clone()])
        .unwrap();
    store
        .keep_tally(day(10), &[digit(5, 4), digit(0, 1), limit.clone()])
        .unwrap();
    store.keep_tally(day(12), &[digit(5, 100)]).unwrap();
    drop(store);
    let store = open(folder);
    let found = |first, last| {
        let mut rows = store.tallied(day(first)..=day(last)).unwrap();
        rows.sort_by_key(|row| (row.scale.clone(), row.value));
        rows
    };
    assert_eq!(
        found(9, 9),
        [moisture.clone(), digit(5, 3), other_scale.clone()]
    );
    let both = [limit, moisture, digit(0, 1), digit(5, 7), other_scale];
    let rows = found(9, 11);
    assert_eq!(rows.len(), both.len());
    assert!(both.iter().all(|row| rows.contains(row)), "{rows:?}");
    assert_eq!(found(13, 20), []);
}

pub(crate) fn an_officers_day_adds_up_and_keeps_what_was_counted<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let moved = |paid_minor, returned_minor, counted| DayMoved {
        paid_minor,
        returned_minor,
        counted,
    };
    let counted = Some(DayCounted {
        cash_minor: 900,
        full_pails: 3,
        expected_full: 4,
    });
    store
        .keep_moved(&code("K1"), 2, &moved(500, 0, None))
        .unwrap();
    store
        .keep_moved(&code("K1"), 2, &moved(200, 50, None))
        .unwrap();
    store
        .keep_moved(&code("K1"), 9, &moved(7, 0, None))
        .unwrap();
    assert_eq!(store.moved(&code("K1"), 2).unwrap(), moved(700, 50, None));
    store
        .keep_moved(&code("K1"), 2, &moved(0, 0, counted))
        .unwrap();
    drop(store);
    let store = open(folder);
    assert_eq!(
        store.moved(&code("K1"), 2).unwrap(),
        moved(700, 50, counted)
    );
    assert_eq!(store.moved(&code("K1"), 9).unwrap(), moved(7, 0, None));
    // A day that nothing is kept of is no empty day.
    let none = store.moved(&code("K1"), 3);
    assert!(matches!(none, Err(StoreError::Damaged { .. })), "{none:?}");
    // What receipts stand at follows from them: what is owed is what is not paid yet.
    let mut receipt = paper("K1", 3, "K1-26-00001");
    receipt.paid_minor = 500_000;
    store.keep_paper(&receipt).unwrap();
    let owed_minor = receipt.facts().owed_minor();
    let stands = DayStands {
        net_g: receipt.net_g,
        payable_minor: receipt.payable_minor,
        owed_minor,
    };
    assert!(owed_minor > 0);
    assert_eq!(store.day_stands(day(9)).unwrap(), stands);
    let by_grade = store.stands_by_grade(day(1)..=day(30)).unwrap();
    assert_eq!(by_grade, [(day(9), code("A"), stands)]);
    assert_eq!(store.day_stands(day(10)).unwrap(), DayStands::default());
    assert_eq!(store.stands_by_grade(day(10)..=day(30)).unwrap(), []);
}
