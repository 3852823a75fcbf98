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

pub(crate) fn a_debt_is_reversed_once_and_undone_once<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    assert_eq!(store.owing().unwrap().len(), 1);
    let first = store.keep_reversal(&reversal(OfWhat::Debt)).unwrap();
    assert_eq!(store.owing().unwrap(), []);
    assert!(store.keep_reversal(&reversal(OfWhat::Debt)).is_err());
    let nothing = Reversal {
        minor: 0,
        ..reversal(OfWhat::Debt)
    };
    assert!(store.keep_reversal(&nothing).is_err());
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
    assert!(store.undo_reversal(first, &undone).unwrap());
    assert!(!store.undo_reversal(first, &undone).unwrap());
    assert_eq!(store.owing().unwrap().len(), 1);
    let second = store.keep_reversal(&reversal(OfWhat::Debt)).unwrap();
    drop(store);
    let store = open(folder);
    let kept = Reversal {
        id: first,
        undone: Some(undone.clone()),
        ..reversal(OfWhat::Debt)
    };
    let standing = Reversal {
        id: second,
        ..reversal(OfWhat::Debt)
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
    assert!(store.undo_reversal(second, &undone).is_err());
}
