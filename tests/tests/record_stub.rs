//! The stub on a member's paper: what it says, who may have signed it, and how large it gets.
//!
//! jose (JavaScript) checks RFC 7515 and RFC 7518, 3.4: it verifies ours, and ours takes what it
//! makes.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::record::{
    EntryBody, Handsets, HandsetsError, HandsetsV1, JwsError, KeyOfV1, ParsedEntry, SoftwareCheck,
    SoftwareKey, Stub, StubError, StubV1, Typ, Unsigned,
};
use combgate_tests::demo::day::{Gate, whole};
use combgate_tests::demo::{at, code, example, label, public, published_key, sign, test_key};
use combgate_tests::node;
use serde::Deserialize;
use serde_json::{Value, json};

fn papers(gate: &Gate) -> Vec<ParsedEntry> {
    let is_paper =
        |entry: &&ParsedEntry| matches!(entry.body(), EntryBody::Receipt(_) | EntryBody::Slip(_));
    gate.handset
        .entries
        .iter()
        .filter(is_paper)
        .cloned()
        .collect()
}

fn signed(key: &SoftwareKey, says: &StubV1) -> String {
    sign(key, &says.unsigned(public(key).id()).unwrap())
}

/// A stub with any payload, signed.
fn raw(payload: &str) -> String {
    let key = published_key();
    sign(
        &key,
        &Unsigned::new(Typ::Stub, public(&key).id(), payload).unwrap(),
    )
}

fn list(desk: &SoftwareKey, handsets: Vec<KeyOfV1>) -> String {
    let desk_key = public(desk);
    let list = HandsetsV1::new(at("18:00"), label("Ridge Hives"), &desk_key, handsets);
    sign(desk, &list.unsigned(desk_key.id()).unwrap())
}

fn on_the_list(handset: &str, key: &SoftwareKey) -> KeyOfV1 {
    KeyOfV1 {
        code: code(handset),
        jwk: public(key).jwk(),
    }
}

#[derive(Deserialize)]
struct Checked {
    fits: bool,
    kid: String,
    typ: String,
    payload: Value,
    entry_hash: String,
}

#[test]
fn jose_verifies_every_stub_and_reads_the_figures_of_the_receipt() {
    let gate = example::short_day();
    let key = published_key();
    let papers = papers(&gate);
    assert_eq!(papers.len(), 3);
    for entry in &papers {
        let stub = signed(&key, &StubV1::of(entry).unwrap());
        let theirs: Checked = node::ask(
            "stub.mjs",
            &json!({ "do": "check", "stub": stub, "jwk": public(&key).jwk(), "entry": entry.compact() }),
        );
        assert!(theirs.fits);
        assert_eq!(theirs.kid, public(&key).id().to_string());
        assert_eq!(theirs.typ, "combgate-stub");
        assert_eq!(theirs.payload["entry"], theirs.entry_hash.as_str());
        match entry.body() {
            EntryBody::Receipt(receipt) => {
                assert_eq!(theirs.payload["number"], receipt.number.to_string());
                assert_eq!(theirs.payload["day"], receipt.day.to_string());
                assert_eq!(theirs.payload["net_g"], json!(receipt.assessment.net_g));
                let money = &theirs.payload["money"];
                assert_eq!(money["paid_minor"], receipt.settlement.paid_minor);
                assert_eq!(money["owed_minor"], receipt.settlement.owed_minor);
            }
            EntryBody::Slip(slip) => {
                assert_eq!(theirs.payload["number"], slip.number.to_string());
                assert_eq!(theirs.payload.get("money"), None);
            }
            other => panic!("{} is no paper", other.kind()),
        }
    }
}

#[test]
fn a_stub_made_with_jose_is_taken_and_belongs_to_its_entry() {
    let gate = example::short_day();
    let papers = papers(&gate);
    let says = StubV1::of(&papers[0]).unwrap();
    let mut jwk = serde_json::to_value(public(&published_key()).jwk()).unwrap();
    jwk["d"] = "jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI".into();
    let text: String = node::ask(
        "stub.mjs",
        &json!({ "do": "make", "jwk": jwk, "payload": says }),
    );
    let stub = Stub::parse(&format!(" {text}\n")).unwrap();
    stub.verify(&public(&published_key()), &SoftwareCheck)
        .unwrap();
    assert_eq!(stub.says(), &says);
    assert_eq!(stub.is_of(&papers[0]), Ok(()));
    assert_eq!(stub.is_of(&papers[1]), Err(StubError::OtherEntry));
}

#[test]
fn slips_have_stubs_and_other_entries_have_none() {
    let gate = whole();
    let slips = |entry: &&ParsedEntry| matches!(entry.body(), EntryBody::Slip(_));
    assert!(gate.handset.entries.iter().filter(slips).count() >= 2);
    for entry in &gate.handset.entries {
        let paper = matches!(entry.body(), EntryBody::Receipt(_) | EntryBody::Slip(_));
        assert_eq!(
            StubV1::of(entry).is_some(),
            paper,
            "{}",
            entry.body().kind()
        );
    }
}

#[test]
fn a_changed_stub_and_another_key_are_refused() {
    let gate = example::short_day();
    let text = signed(&published_key(), &StubV1::of(&papers(&gate)[0]).unwrap());
    let key = public(&published_key());
    for place in 0..text.len() {
        let mut bytes = text.clone().into_bytes();
        bytes[place] = if bytes[place] == b'A' { b'B' } else { b'A' };
        let changed = String::from_utf8(bytes).unwrap();
        let taken = Stub::parse(&changed).and_then(|stub| stub.verify(&key, &SoftwareCheck));
        assert!(taken.is_err(), "byte {place} may be changed");
    }
    let other = Stub::parse(&text).unwrap();
    assert!(matches!(
        other.verify(&public(&test_key("another")), &SoftwareCheck),
        Err(StubError::Jws(JwsError::OtherKey { .. }))
    ));
}

#[test]
fn only_what_a_paper_can_say_is_read() {
    let entry = "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0";
    let money = r#""money":{"currency":"KES","paid_minor":100,"owed_minor":0}"#;
    let stub = |decision: &str, rest: &str| {
        raw(&format!(
            r#"{{"number":"K7-26-00041","day":"2026-10-09","decision":"{decision}",{rest}"entry":"{entry}"}}"#
        ))
    };
    assert!(Stub::parse(&stub("buy", &format!(r#""net_g":1000,{money},"#))).is_ok());
    assert!(Stub::parse(&stub("hold", "")).is_ok());
    for (decision, rest) in [
        ("buy", r#""net_g":1000,"#.to_owned()),
        ("buy", format!("{money},")),
        ("hold", format!("{money},")),
        ("buy", r#""net_g":-1,"#.to_owned()),
        ("hold", r#""member":"M001","#.to_owned()),
        ("hold", r#""day":"2026-10-09","#.to_owned()),
        ("maybe", String::new()),
        (
            "buy",
            r#""net_g":1000,"money":{"currency":"KES","paid_minor":-1,"owed_minor":0},"#.to_owned(),
        ),
        (
            "buy",
            r#""net_g":1000,"money":{"currency":"kes","paid_minor":1,"owed_minor":0},"#.to_owned(),
        ),
    ] {
        assert!(
            Stub::parse(&stub(decision, &rest)).is_err(),
            "{decision} {rest}"
        );
    }
    for bad in ["", "a.b.c", &"A".repeat(10_000)] {
        assert!(Stub::parse(bad).is_err());
    }
    // An entry is signed by the same key and is still no stub.
    let gate = example::short_day();
    assert!(matches!(
        Stub::parse(gate.handset.card()),
        Err(StubError::Jws(_))
    ));
}

/// ISO/IEC 18004, table 7 (from memory): 858 bytes fit version 20 at level L. The stub of the
/// largest receipt that can be written must stay below.
#[test]
fn the_largest_stub_fits() {
    let largest = r#"{"number":"ABCDEFGHIJKLMNOPQRSTUVWX-26-9999999","day":"2026-10-09","decision":"refuse","net_g":100000000,"money":{"currency":"KES","paid_minor":1000000000000000,"owed_minor":1000000000000000},"entry":"ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0"}"#;
    let length = raw(largest).len();
    assert!(
        length <= combgate_core::record::STUB_BYTES_AT_MOST,
        "{length}"
    );
    let usual = signed(
        &published_key(),
        &StubV1::of(&papers(&example::short_day())[0]).unwrap(),
    );
    assert!(usual.len() < 480, "{}", usual.len());
}

#[test]
fn the_desks_list_says_whose_key_signed() {
    let (desk, handset) = (test_key("desk"), published_key());
    let gate = example::short_day();
    let text = signed(&handset, &StubV1::of(&papers(&gate)[0]).unwrap());
    let stub = Stub::parse(&text).unwrap();
    let read = |text: &str, desk: Option<_>| Handsets::read(text, desk, &SoftwareCheck);
    let trusted = Some(public(&desk).id());

    let whole = list(
        &desk,
        vec![
            on_the_list("K7", &test_key("handset K7")),
            on_the_list("EX", &handset),
        ],
    );
    let handsets = read(&whole, trusted).unwrap();
    assert_eq!(handsets.verify(&stub, &SoftwareCheck), Ok(&code("EX")));

    let without = read(&list(&desk, vec![]), trusted).unwrap();
    assert_eq!(
        without.verify(&stub, &SoftwareCheck),
        Err(HandsetsError::UnknownHandset(stub.kid()))
    );
    let other_code = read(&list(&desk, vec![on_the_list("K9", &handset)]), trusted).unwrap();
    assert!(matches!(
        other_code.verify(&stub, &SoftwareCheck),
        Err(HandsetsError::OtherCode { .. })
    ));
    let forged = list(&test_key("somebody"), vec![on_the_list("EX", &handset)]);
    assert!(matches!(
        read(&forged, trusted),
        Err(HandsetsError::OtherDesk { .. })
    ));
    let mut changed = whole.clone().into_bytes();
    let middle = changed.len() / 2;
    changed[middle] = if changed[middle] == b'A' { b'B' } else { b'A' };
    assert!(read(&String::from_utf8(changed).unwrap(), trusted).is_err());
    let theirs: Checked = node::ask(
        "stub.mjs",
        &json!({ "do": "check", "stub": whole, "jwk": public(&desk).jwk(), "entry": "" }),
    );
    assert!(theirs.fits);
    assert_eq!(theirs.typ, "combgate-handsets");
    assert_eq!(
        theirs.payload["handsets"][1]["jwk"],
        json!(public(&handset).jwk())
    );
}
