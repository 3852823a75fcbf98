//! Desk, terms, register and briefs.

use super::{Open, at, day, handset, key};
use crate::common::handset::{code, label};
use chrono::NaiveDate;
use combgate_core::record::{AdvanceV1, CooperativeV1, DeskAddress, Digest, MemberV1};
use combgate_desk::store::{Brief, Desk, RegisterChange, Store, Terms, TermsKind};
use std::path::Path;

fn member(number: &str, outstanding: Option<i64>) -> MemberV1 {
    MemberV1 {
        number: code(number),
        name: label("Asha \"Nyuki\" O'Mrembwe"),
        village: Some(label("Kilindo")),
        phone: None,
        language: Some(code("sw")),
        premiums: vec![code("ORG"), code("FAIR")],
        advance: outstanding.map(|outstanding_minor| AdvanceV1 {
            payee: label("Savings group"),
            outstanding_minor,
        }),
    }
}

pub(crate) fn the_desk_keeps_its_first_key<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    assert_eq!(store.desk().unwrap(), None);
    let mut desk = Desk {
        private_key: vec![1, 2, 3],
        public_key: key(1),
        cooperative: None,
        address: None,
    };
    store.keep_desk(&desk).unwrap();
    assert_eq!(store.desk().unwrap(), Some(desk.clone()));
    let cooperative = CooperativeV1 {
        name: label("Ridge Hives"),
        place: label("Ndulele"),
        complaints: label("Office"),
    };
    let address = DeskAddress::new("https://desk.example:8443").unwrap();
    let changed = Desk {
        private_key: vec![9],
        public_key: key(9),
        cooperative: Some(cooperative.clone()),
        address: Some(address.clone()),
    };
    store.keep_desk(&changed).unwrap();
    desk.cooperative = Some(cooperative);
    desk.address = Some(address);
    assert_eq!(store.desk().unwrap(), Some(desk));
}

pub(crate) fn terms_are_kept_by_digest_and_found_by_day<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let terms = |name: &str, first: u32, last: Option<u32>| Terms {
        kind: TermsKind::PriceList,
        code: code(name),
        digest: Digest::of(name),
        first_day: day(first),
        last_day: last.map(day),
        document: format!("{{\"id\":\"{name}\"}}"),
        taken_in_at: at(0),
        taken_in_by: None,
    };
    let (early, open_ended, late) = (
        terms("EARLY", 1, Some(10)),
        terms("OPEN", 5, None),
        terms("LATE", 20, Some(25)),
    );
    for kept in [&early, &open_ended, &late] {
        assert!(store.keep_terms(kept).unwrap());
        assert!(!store.keep_terms(kept).unwrap(), "a second time is no news");
    }
    let in_force = |day| {
        let found = store.terms_in_force(TermsKind::PriceList, day).unwrap();
        found.map(|terms| terms.code.to_string())
    };
    for (on, expected) in [
        (1, "EARLY"),
        (4, "EARLY"),
        (5, "OPEN"),
        (10, "OPEN"),
        (19, "OPEN"),
        (20, "LATE"),
        (25, "LATE"),
        (26, "OPEN"),
    ] {
        assert_eq!(in_force(day(on)).as_deref(), Some(expected), "{on}");
    }
    let before = NaiveDate::from_ymd_opt(2026, 9, 30).unwrap();
    assert_eq!(in_force(before), None);
    assert_eq!(
        store.terms(TermsKind::PriceList, &early.digest).unwrap(),
        Some(early.clone())
    );
    assert_eq!(store.terms(TermsKind::Policy, &early.digest).unwrap(), None);
    assert_eq!(
        store.newest_terms(TermsKind::PriceList).unwrap(),
        Some(late)
    );
    assert_eq!(store.newest_terms(TermsKind::Policy).unwrap(), None);
}

pub(crate) fn an_advance_is_paid_back_by_each_handset<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.add_handset(&handset("K2", 2)).unwrap();
    let change = |member: &MemberV1| store.keep_member(member).unwrap();
    assert_eq!(change(&member("M001", Some(1_000))), RegisterChange::Added);
    assert_eq!(
        change(&member("M001", Some(1_000))),
        RegisterChange::Unchanged
    );
    store.repay(&code("M001"), &code("K1"), 300).unwrap();
    store.repay(&code("M001"), &code("K1"), 100).unwrap();
    store.repay(&code("M001"), &code("K2"), 50).unwrap();
    let seen_by = |handset: &str| {
        let seen = store.member_seen_by(&code(handset), &code("M001")).unwrap();
        seen.unwrap().advance.unwrap().outstanding_minor
    };
    assert_eq!(
        (seen_by("K1"), seen_by("K2"), seen_by("K3")),
        (600, 950, 1_000)
    );
    let outstanding = || {
        let members = store.members().unwrap();
        assert_eq!(members.len(), 1);
        members[0]
            .advance
            .as_ref()
            .map(|advance| advance.outstanding_minor)
    };
    assert_eq!(outstanding(), Some(550));
    // Cancelled, it is owed again.
    store.repay(&code("M001"), &code("K2"), -50).unwrap();
    assert_eq!(outstanding(), Some(600));
    // The same word of the office is no news; another one counts from now.
    assert_eq!(
        change(&member("M001", Some(1_000))),
        RegisterChange::Unchanged
    );
    assert_eq!(outstanding(), Some(600));
    assert_eq!(change(&member("M001", Some(600))), RegisterChange::Changed);
    assert_eq!((seen_by("K1"), outstanding()), (600, Some(600)));
    store.repay(&code("M001"), &code("K1"), 600).unwrap();
    assert_eq!(outstanding(), None, "nothing is outstanding any more");
    assert_eq!(seen_by("K1"), 0);
    // A new name alone leaves the advance as it stands.
    let mut renamed = member("M001", Some(600));
    renamed.name = label("Asha Mrembwe");
    assert_eq!(change(&renamed), RegisterChange::Changed);
    assert_eq!(outstanding(), None);
    assert_eq!(change(&member("M001", None)), RegisterChange::Changed);
    assert_eq!(store.members().unwrap(), [member("M001", None)]);
}

pub(crate) fn a_handset_knows_the_members_it_can_know<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let mut own = member("K1-N1", None);
    own.name = label("Registered first");
    store.keep_field_member(&code("K1"), &own).unwrap();
    store
        .keep_field_member(&code("K1"), &member("K1-N1", None))
        .unwrap();
    let seen_by =
        |handset: &str, number: &str| store.member_seen_by(&code(handset), &code(number)).unwrap();
    assert_eq!(seen_by("K1", "K1-N1"), Some(own.clone()));
    assert_eq!(seen_by("K2", "K1-N1"), None);
    assert_eq!(seen_by("K1", "M001"), None);
    assert_eq!(store.next_serial().unwrap(), 1);
    store
        .keep_brief(&Brief {
            serial: 1,
            handset: code("K1"),
            issued_at: at(0),
            last_day: day(20),
            float_minor: 5,
            compact: "brief".to_owned(),
        })
        .unwrap();
    assert_eq!(store.next_serial().unwrap(), 2);
    let newest = |handset: &str| store.newest_brief(&code(handset)).unwrap();
    assert_eq!(newest("K1").map(|brief| brief.serial), Some(1));
    assert_eq!(newest("K2"), None);
    assert_eq!(
        seen_by("K2", "K1-N1"),
        Some(own.clone()),
        "it stood in a brief"
    );
    // The office's word goes before the field's, for everybody.
    let office = member("K1-N1", None);
    store.keep_member(&office).unwrap();
    assert_eq!(seen_by("K1", "K1-N1"), Some(office.clone()));
    assert_eq!(store.members().unwrap(), [office]);
}

pub(crate) fn briefs_are_found_by_serial_and_handset<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let brief = |serial: u32, of: &str| Brief {
        serial,
        handset: code(of),
        issued_at: at(serial),
        last_day: day(20),
        float_minor: 100 * i64::from(serial),
        compact: format!("brief {serial}"),
    };
    let gave = |of: &str| store.gave_briefs(&code(of)).unwrap();
    assert!(!gave("K1"));
    let kept = [brief(1, "K1"), brief(2, "K2"), brief(3, "K1")];
    for brief in &kept {
        store.keep_brief(brief).unwrap();
    }
    assert_eq!((gave("K1"), gave("K2"), gave("K3")), (true, true, false));
    let float = |serial, of: &str| store.float_given(serial, &code(of)).unwrap();
    assert_eq!((float(1, "K1"), float(3, "K1")), (Some(100), Some(300)));
    assert_eq!((float(2, "K1"), float(9, "K1")), (None, None));
    let given: Vec<(u32, i64)> = store
        .briefs_given(2)
        .unwrap()
        .iter()
        .map(|given| (given.serial, given.float_minor))
        .collect();
    assert_eq!(given, [(3, 300), (2, 200)]);
    let last = |of: &str| store.last_given(&code(of)).unwrap();
    assert_eq!(last("K1").map(|given| given.serial), Some(3));
    assert_eq!(last("K2").map(|given| given.issued_at), Some(at(2)));
    assert_eq!(last("K3"), None);
    assert_eq!(store.brief(2).unwrap().as_ref(), Some(&kept[1]));
    assert_eq!(store.brief(4).unwrap(), None);
}

pub(crate) fn a_member_is_found_by_number_and_by_name<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let named = |number: &str, name: &str| MemberV1 {
        name: label(name),
        ..member(number, None)
    };
    let all = [
        named("M001", "Asha Mrembwe"),
        named("M002", "Zawadi Öman"),
        named("M010", "Juma Mremi"),
    ];
    for member in all.iter().rev() {
        store.keep_member(member).unwrap();
    }
    assert_eq!(store.member(&code("M002")).unwrap().as_ref(), Some(&all[1]));
    assert_eq!(store.member(&code("M003")).unwrap(), None);
    // A text is found in names and numbers, whatever its letters; its places are counted from 0.
    for (text, found) in [
        ("MREM", vec![0, 2]),
        (" ömaN ", vec![1]),
        ("m0", vec![0, 1, 2]),
        ("%", vec![]),
        ("_", vec![]),
        ("", vec![0, 1, 2]),
    ] {
        let some = store.members_like(text, |found| 0..found).unwrap();
        let expected: Vec<MemberV1> = found.iter().map(|place| all[*place].clone()).collect();
        assert_eq!(some.part, expected, "{text}");
        assert_eq!((some.found, some.all), (found.len(), 3), "{text}");
    }
    let last = store
        .members_like("mrem", |found| found - 1..found)
        .unwrap();
    assert_eq!(last.part, all[2..]);
}

pub(crate) fn all_terms_are_listed_the_newest_first<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    let terms = |kind, name: &str, first: u32| Terms {
        kind,
        code: code(name),
        digest: Digest::of(name),
        first_day: day(first),
        last_day: None,
        document: format!("{{\"id\":\"{name}\"}}"),
        taken_in_at: at(0),
        taken_in_by: Some(label("Asha")),
    };
    let [early, late, middle] = [("EARLY", 1), ("LATE", 20), ("MIDDLE", 5)]
        .map(|(name, first)| terms(TermsKind::PriceList, name, first));
    let policy = terms(TermsKind::Policy, "POLICY", 3);
    for kept in [&early, &late, &policy, &middle] {
        assert!(store.keep_terms(kept).unwrap());
    }
    let listed = |kind| store.all_terms(kind).unwrap();
    assert_eq!(listed(TermsKind::PriceList), [late, middle, early]);
    assert_eq!(listed(TermsKind::Policy), [policy]);
}
