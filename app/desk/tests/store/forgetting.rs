//! Members forgotten.

use super::{Open, at, handset};
use crate::common::handset::{code, label};
use combgate_core::record::{Digest, MemberV1};
use combgate_desk::store::{Act, Brief, Forgotten, Sealed, SealedKind, Store};
use std::path::Path;

fn member() -> MemberV1 {
    MemberV1 {
        number: code("M1"),
        name: label("Asha"),
        village: Some(label("Kilindo")),
        phone: Some(label("0700")),
        language: None,
        premiums: Vec::new(),
        advance: None,
    }
}

pub(crate) fn a_name_does_not_come_back<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_member(&member()).unwrap();
    store.keep_field_member(&code("K1"), &member()).unwrap();
    let brief = Brief {
        serial: 1,
        handset: code("K1"),
        issued_at: at(1),
        last_day: super::day(30),
        float_minor: 0,
        compact: "a.brief.signed".to_owned(),
    };
    store.keep_brief(&brief).unwrap();
    assert_eq!(store.forgotten(&code("M1")).unwrap(), None);
    let forgotten = Forgotten {
        member: code("M1"),
        act: Act {
            by: label("Juma"),
            at: at(2),
        },
        because: label("asked"),
    };
    store.forget(&forgotten).unwrap();
    let naming = store.naming().unwrap();
    assert_eq!(naming[0].compact, "a.brief.signed");
    let sealed = Sealed {
        member: code("M1"),
        what: SealedKind::Brief,
        handset: code("K1"),
        number: 1,
        digest: naming[0].digest,
        signed: Digest::of("a.brief"),
        sealed: "five.parts.of.a.jwe".to_owned(),
    };
    store.seal(&sealed).unwrap();
    assert!(store.naming().unwrap().is_empty());
    store.keep_member(&member()).unwrap();
    store.scrub().unwrap();
    drop(store);
    let store = open(folder);
    assert_eq!(store.forgotten(&code("M1")).unwrap(), Some(forgotten));
    assert_eq!(store.sealed().unwrap(), [sealed]);
    // A sealed brief is no entry.
    assert!(
        !store
            .is_sealed(&code("K1"), 1, &Digest::of("a.brief"))
            .unwrap()
    );
    let known = store.members().unwrap();
    assert_eq!(known[0].name, label("(forgotten)"));
    assert_eq!((&known[0].village, &known[0].phone), (&None, &None));
}
