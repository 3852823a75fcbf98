//! Changes of the register, and reversals because of findings.

use super::papers::paper;
use super::{Open, at, day, handset};
use crate::common::handset::{code, label};
use combgate_core::record::MemberV1;
use combgate_desk::store::{
    Act, ClosedDay, DaySums, Forgotten, MemberChange, OfWhat, Reversal, Reversed, Store,
};
use std::path::Path;

fn act(by: &str) -> Act {
    Act {
        by: label(by),
        at: at(5),
    }
}

fn member(village: &str) -> MemberV1 {
    MemberV1 {
        number: code("M001"),
        name: label("Asha Mrembwe"),
        village: Some(label(village)),
        phone: None,
        language: None,
        premiums: Vec::new(),
        advance: None,
    }
}

fn change(was: Option<&str>, became: &str) -> MemberChange {
    MemberChange {
        member: code("M001"),
        act: act("Neema"),
        was: was.map(member),
        became: Some(member(became)),
    }
}

pub(crate) fn changes_are_kept_until_a_member_is_forgotten<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    assert_eq!(store.office_member(&code("M001")).unwrap(), None);
    store.keep_member(&member("Sarafi")).unwrap();
    assert_eq!(
        store.office_member(&code("M001")).unwrap(),
        Some(member("Sarafi"))
    );
    let first = change(None, "Kilindo");
    let second = change(Some("Kilindo"), "Sarafi");
    store.keep_change(&first).unwrap();
    store.keep_change(&second).unwrap();
    drop(store);
    let store = open(folder);
    assert_eq!(store.changes(&code("M001")).unwrap(), [second, first]);
    assert_eq!(store.changes(&code("M002")).unwrap(), []);
    store
        .forget(&Forgotten {
            member: code("M001"),
            act: act("Neema"),
            because: label("Asked"),
        })
        .unwrap();
    store.keep_change(&change(None, "Mtoni Juu")).unwrap();
    let left = store.changes(&code("M001")).unwrap();
    let texts = left.iter().map(|change| (&change.was, &change.became));
    assert_eq!(texts.collect::<Vec<_>>(), [(&None, &None), (&None, &None)]);
}

fn reversal(of: OfWhat) -> Reversal {
    Reversal {
        id: 0,
        handset: code("K1"),
        seq: 3,
        code: "member-unknown".to_owned(),
        sentence: "nobody knows".to_owned(),
        of,
        minor: 227_500,
        day: day(12),
        act: act("Zawadi"),
        because: label("Nobody came"),
        undone: None,
    }
}

pub(crate) fn a_debt_is_reversed_in_parts_and_undone_once<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    let owed = || -> i64 {
        let owing = store.owing().unwrap();
        owing.iter().map(|paper| paper.facts().owed_minor()).sum()
    };
    assert_eq!(owed(), 227_500);
    let of_debt = |minor| Reversal {
        minor,
        ..reversal(OfWhat::Debt)
    };
    let part = store.keep_reversal(&of_debt(27_500)).unwrap();
    assert_eq!(owed(), 200_000);
    let rest = store.keep_reversal(&of_debt(200_000)).unwrap();
    assert_eq!((owed(), store.owing().unwrap()), (0, vec![]));
    assert!(store.keep_reversal(&of_debt(0)).is_err());
    let nobodys = Reversal {
        seq: 9,
        ..reversal(OfWhat::Debt)
    };
    assert!(store.keep_reversal(&nobodys).is_err());
    let undone = Reversed {
        day: day(13),
        act: act("Neema"),
        because: label("He came"),
    };
    assert!(store.undo_reversal(part, &undone).unwrap());
    assert!(!store.undo_reversal(part, &undone).unwrap());
    assert_eq!(owed(), 27_500);
    drop(store);
    let store = open(folder);
    let kept = Reversal {
        id: part,
        undone: Some(undone.clone()),
        ..of_debt(27_500)
    };
    let standing = Reversal {
        id: rest,
        ..of_debt(200_000)
    };
    assert_eq!(store.reversals(&code("K1"), 3).unwrap(), [kept, standing]);
    // Nothing counts on a closed day.
    store
        .close_day(&ClosedDay {
            day: day(13),
            closed: act("Neema"),
            sums: DaySums::default(),
        })
        .unwrap();
    assert!(store.undo_reversal(rest, &undone).is_err());
}
