//! Accounts, sessions, what was done with findings, handsets out of use.

use super::{Open, at, entry, handset};
use crate::common::handset::{code, label};
use combgate_core::record::Digest;
use combgate_desk::store::{
    Account, Cause, FindingStep, Kept, Revocation, Role, Session, Step, Store,
};
use std::path::Path;

fn account(name: &str, role: Role) -> Account {
    Account {
        name: code(name),
        role,
        password: format!("the hash of {name}'s password"),
        made_at: at(0),
        removed_at: None,
    }
}

fn session(identity: &str, account: &str, minute: u32) -> Session {
    Session {
        digest: Digest::of(identity),
        account: code(account),
        begun_at: at(minute),
        seen_at: at(minute),
    }
}

pub(crate) fn an_account_is_made_once_and_its_name_is_not_given_again<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    let store = open(folder);
    let (neema, asha) = (
        account("neema", Role::Bookkeeper),
        account("asha", Role::Approver),
    );
    assert!(store.keep_account(&neema).unwrap());
    assert!(store.keep_account(&asha).unwrap());
    let taken = Account {
        password: "another".to_owned(),
        ..account("neema", Role::Approver)
    };
    assert!(
        !store.keep_account(&taken).unwrap(),
        "the name is somebody's"
    );
    drop(store);
    let store = open(folder);
    assert_eq!(store.account(&code("neema")).unwrap(), Some(neema.clone()));
    assert_eq!(store.account(&code("juma")).unwrap(), None);
    let names = |store: &S| -> Vec<String> {
        let all = store.accounts().unwrap();
        all.iter().map(|each| each.name.to_string()).collect()
    };
    assert_eq!(names(&store), ["asha", "neema"], "in order of name");
    let removed = Account {
        removed_at: Some(at(9)),
        ..neema
    };
    store.change_account(&removed).unwrap();
    assert_eq!(
        store.account(&code("neema")).unwrap(),
        Some(removed.clone())
    );
    assert_eq!(names(&store), ["asha", "neema"], "still told of");
    assert!(
        !store.keep_account(&taken).unwrap(),
        "the name was somebody's"
    );
    assert_eq!(store.account(&code("neema")).unwrap(), Some(removed));
    assert_eq!(store.account(&code("asha")).unwrap(), Some(asha));
}

pub(crate) fn a_session_ends_with_its_account_its_time_or_on_demand<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    let store = open(folder);
    let neema = account("neema", Role::Bookkeeper);
    store.keep_account(&neema).unwrap();
    store
        .keep_account(&account("asha", Role::Approver))
        .unwrap();
    let mut first = session("one", "neema", 1);
    let all = [
        first.clone(),
        session("two", "neema", 5),
        session("three", "asha", 7),
        session("four", "asha", 8),
    ];
    for each in &all {
        store.begin_session(each).unwrap();
    }
    first.seen_at = at(4);
    store.see_session(&first).unwrap();
    drop(store);
    let store = open(folder);
    let found = |identity: &str| store.session(&Digest::of(identity)).unwrap();
    assert_eq!(found("one"), Some(first));
    assert_eq!(found("two"), Some(all[1].clone()), "another is as it was");
    assert_eq!(found("five"), None);
    // By when it began, not by when somebody was last seen.
    store.end_sessions_before(at(5)).unwrap();
    assert_eq!((found("one"), found("two").is_some()), (None, true));
    store.end_session(&Digest::of("three")).unwrap();
    assert_eq!((found("three"), found("four").is_some()), (None, true));
    // A new password, or none any more: whoever is signed in with the account no longer is.
    store.change_account(&neema).unwrap();
    assert_eq!((found("two"), found("four").is_some()), (None, true));
}

pub(crate) fn steps_are_kept_in_the_order_taken<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    store
        .keep_account(&account("neema", Role::Bookkeeper))
        .unwrap();
    let step = |of: &str, seq, step, minute| FindingStep {
        handset: code(of),
        seq,
        code: "price-differs".to_owned(),
        sentence: "priced again, another sum comes out".to_owned(),
        step,
        words: label("She showed her card."),
        account: code("neema"),
        taken_at: at(minute),
    };
    // The same step twice is two steps; the later one may be of an earlier entry.
    let taken = [
        step("K1", 9, Step::Ask, 1),
        step("K2", 4, Step::Accept, 2),
        step("K1", 3, Step::Dispute, 3),
        step("K1", 9, Step::Ask, 4),
        step("K1", 9, Step::Reverse, 5),
    ];
    for each in &taken {
        store.take_step(each).unwrap();
    }
    drop(store);
    let store = open(folder);
    let of_k1: Vec<_> = taken
        .iter()
        .filter(|each| each.handset == code("K1"))
        .cloned()
        .collect();
    assert_eq!(store.steps(&code("K1")).unwrap(), of_k1);
    assert_eq!(store.steps(&code("K2")).unwrap(), taken[1..2]);
    assert_eq!(store.steps(&code("K3")).unwrap(), []);
}

pub(crate) fn a_handset_out_of_use_is_not_believed_from_an_entry_on<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    store
        .keep_account(&account("asha", Role::Approver))
        .unwrap();
    assert_eq!(store.revocation(&code("K1")).unwrap(), None);
    assert_eq!(store.disbelieved_from(&code("K1")).unwrap(), None);
    let lost = Revocation {
        handset: code("K1"),
        from_at: at(30),
        cause: Cause::Lost,
        replacement: None,
        words: label("Left on the bus"),
        account: code("asha"),
        made_at: at(40),
    };
    store.revoke(&lost).unwrap();
    drop(store);
    let store = open(folder);
    assert_eq!(store.revocation(&code("K1")).unwrap(), Some(lost.clone()));
    assert_eq!(store.revocation(&code("K2")).unwrap(), None);
    // Nothing was written since; the first entry that is, is kept, and no later one after it.
    assert_eq!(store.disbelieved_from(&code("K1")).unwrap(), None);
    store.disbelieve_from(&code("K1"), 7).unwrap();
    store.disbelieve_from(&code("K1"), 9).unwrap();
    assert_eq!(store.disbelieved_from(&code("K1")).unwrap(), Some(7));
    assert_eq!(store.disbelieved_from(&code("K2")).unwrap(), None);
    // Said anew it is as it was said last, and what is booked is looked at again.
    store
        .keep_entry(&code("K1"), &entry(1, 1), Kept::Booked)
        .unwrap();
    let replaced = Revocation {
        from_at: at(0),
        cause: Cause::Replaced,
        replacement: Some(code("K2")),
        words: label("The glass broke"),
        made_at: at(50),
        ..lost
    };
    store.revoke(&replaced).unwrap();
    assert_eq!(store.revocation(&code("K1")).unwrap(), Some(replaced));
    assert_eq!(store.disbelieved_from(&code("K1")).unwrap(), Some(1));
}
