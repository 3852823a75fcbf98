//! Pails at the store.

use super::papers::paper;
use super::{Open, at, day, handset};
use crate::common::handset::{code, label};
use combgate_core::clerk::{PailAtStore, SealSeen};
use combgate_core::intake::{ScaleCheck, WeighingScale};
use combgate_core::units::{Grams, ScaleInterval};
use combgate_desk::store::{PailPlace, ReceivingRow, SetAside, Store};
use std::path::Path;

fn weighed(pail: &str, paper: Option<PailPlace>) -> ReceivingRow {
    ReceivingRow {
        id: 0,
        pail: code(pail),
        paper,
        day: day(10),
        found: PailAtStore {
            scale: WeighingScale {
                interval: ScaleInterval::new(20).unwrap(),
                check: ScaleCheck::NotDone,
            },
            gross: Grams::new(18_400).unwrap(),
            tare: Some(Grams::new(900).unwrap()),
            seal: SealSeen::Broken(code("S-1")),
            by: label("Juma Bakari"),
        },
        at: at(30),
        set_aside: None,
    }
}

pub(crate) fn a_pail_of_a_paper_is_received_once<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let paper = paper("K1", 3, "K1-26-00001");
    store.keep_paper(&paper).unwrap();
    let numbers = [&code("P-1"), &code("P-2")];
    store
        .keep_pails(&code("K1"), 3, Some(paper.day), &numbers)
        .unwrap();
    let second = PailPlace {
        handset: code("K1"),
        seq: 3,
        place: 2,
    };
    let mut row = weighed("P-2", Some(second.clone()));
    row.id = store.keep_receiving(&row).unwrap();
    assert!(
        store
            .keep_receiving(&weighed("P-2", Some(second.clone())))
            .is_err()
    );
    assert_eq!(store.receiving(row.id).unwrap(), Some(row.clone()));
    let on_paper = store.pails_on(day(9)..=day(9)).unwrap();
    assert_eq!(on_paper.len(), 2);
    assert_eq!(on_paper[0].received, None);
    assert_eq!(on_paper[1].at, second);
    assert_eq!(on_paper[1].received.as_ref().unwrap().id, row.id);
    assert_eq!(store.pails_named(&code("P-2")).unwrap(), on_paper[1..]);
    assert_eq!(store.pail_at(&second).unwrap().as_ref(), on_paper.get(1));
    let nowhere = PailPlace {
        place: 3,
        ..second.clone()
    };
    assert_eq!(store.pail_at(&nowhere).unwrap(), None);
    let days = day(9)..=day(9);
    assert_eq!(store.on_the_way(days.clone(), 0..9).unwrap(), on_paper[..1]);
    assert_eq!(store.count_on_the_way(days.clone()).unwrap(), 1);
    let how = SetAside {
        by: label("Asha Mrembwe"),
        at: at(40),
        because: label("The lid lay on the scale"),
    };
    store.set_aside(row.id, &how).unwrap();
    assert_eq!(store.count_on_the_way(days.clone()).unwrap(), 2);
    let both = store.on_the_way(days.clone(), 0..2).unwrap();
    assert_eq!(both.len(), 2);
    for place in 0..2 {
        let one = store.on_the_way(days.clone(), place..place + 1).unwrap();
        assert_eq!(one, both[place..=place]);
    }
    let again = weighed("P-2", Some(second));
    let id = store.keep_receiving(&again).unwrap();
    assert_eq!(store.count_on_the_way(days.clone()).unwrap(), 1);
    // Nobody waits for the pails of a cancelled paper.
    let mut cancelled = store.paper(&code("K1"), 3).unwrap().unwrap();
    cancelled.cancelled_by = Some(4);
    store.change_paper(&cancelled).unwrap();
    assert_eq!(store.count_on_the_way(days).unwrap(), 0);
    drop(store);
    let store = open(folder);
    let all = store.receivings_on(day(10)..=day(10), 9).unwrap();
    assert_eq!(all.len(), 2);
    let last = ReceivingRow { id, ..again };
    assert_eq!(all[0], last);
    assert_eq!(all[1].set_aside, Some(how));
    assert_eq!(store.receivings_on(day(10)..=day(10), 1).unwrap(), [last]);
    assert!(store.receivings_on(day(9)..=day(9), 9).unwrap().is_empty());
}

pub(crate) fn a_pail_without_a_paper_waits_for_one<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let early = weighed("P-1", None);
    let id = store.keep_receiving(&early).unwrap();
    assert_eq!(store.unmatched().unwrap(), [ReceivingRow { id, ..early }]);
    let paper = paper("K1", 3, "K1-26-00001");
    store.keep_paper(&paper).unwrap();
    store
        .keep_pails(&code("K1"), 3, Some(paper.day), &[&code("P-1")])
        .unwrap();
    let place = PailPlace {
        handset: code("K1"),
        seq: 3,
        place: 1,
    };
    store.match_receiving(id, &place).unwrap();
    assert!(store.unmatched().unwrap().is_empty());
    assert_eq!(
        store.receiving(id).unwrap().unwrap().paper,
        Some(place.clone())
    );
    // A paper that does not name such a pail cannot be named.
    let other = PailPlace { place: 2, ..place };
    assert!(store.keep_receiving(&weighed("P-1", Some(other))).is_err());
}
