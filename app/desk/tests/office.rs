//! `combgate init`, `enrol` and `brief`, whole.

// Helpers of tests unwrap; expectations are written by a tool, which puts hashes everywhere.
#![allow(clippy::unwrap_used, clippy::needless_raw_string_hashes)]

mod common;

use combgate_core::record::{Brief, Expected, JwsError, SoftwareCheck};
use combgate_desk::store::{Journals, Office, RegisterChange};
use common::desk::TestDesk;
use common::handset::{TestHandset, code};
use expect_test::expect;

const CARD: &str = "fixtures/handset-k7/enrolment-card.jws";

#[test]
fn a_desk_is_set_up_step_by_step() {
    let desk = TestDesk::bare();
    desk.check("init desk", &expect![[r#"
        exit 0
        -- out
        The desk is set up in desk.
        key          XXXX XXXX; handsets keep it from their first brief on
        policy       POL-DEFAULT-1, from 2026-01-01
                     the default: published limits and common practice
        members      0: 0 new, 0 changed
        Still missing before a brief can be made; put them in a folder and give `combgate init DIR --from FOLDER` again:
          cooperative.json: who buys, where, and where members complain
          prices.json: what a kilogram of each grade pays
          members.csv: the register, unless all members are registered in the field
    "#]]);
    let key = desk.store().desk().unwrap().unwrap().private_key;
    desk.check(
        "init desk --from fixtures/cooperative",
        &expect![[r#"
            exit 0
            -- out
            The desk is set up in desk.
            key          XXXX XXXX; handsets keep it from their first brief on
            cooperative  Ridge Hives Honey Cooperative, Ndulele Gate
            policy       POL-2026-1, from 2026-01-01
            price list   PL-2026-3, 2026-10-05 to 2027-03-31
            members      12: 12 new, 0 changed
            Next: `combgate enrol CARD` for each handset.
        "#]],
    );
    desk.check(
        "init desk --from fixtures/cooperative",
        &expect![[r#"
            exit 0
            -- out
            The desk is set up in desk.
            key          XXXX XXXX; handsets keep it from their first brief on
            cooperative  Ridge Hives Honey Cooperative, Ndulele Gate
            policy       POL-2026-1, from 2026-01-01
            price list   PL-2026-3, 2026-10-05 to 2027-03-31
            members      12: 0 new, 0 changed
            Next: `combgate enrol CARD` for each handset.
        "#]],
    );
    assert_eq!(desk.store().desk().unwrap().unwrap().private_key, key);
}

#[test]
fn a_folder_with_a_fault_is_not_taken_in_at_all() {
    let desk = TestDesk::bare();
    let spoil = |file: &str, from: &str, to: &str| {
        let file = format!("fixtures/cooperative/{file}");
        let text = desk.read(&file);
        let spoilt = text.replace(from, to);
        assert_ne!(spoilt, text);
        desk.write(&file, &spoilt);
        let said = desk.printout("init desk --from fixtures/cooperative");
        desk.write(&file, &text);
        said
    };
    expect![[r#"
        exit 2
        -- err
        error: members.csv, line 3, number: ' ' cannot stand in a code: use letters, digits, '-' , '/' or '.'
        hint: correct that cell; nothing was taken in
    "#]].assert_eq(&spoil("members.csv", "M002,Baraka", "M 02,Baraka"));
    expect![[r#"
        exit 2
        -- err
        error: members.csv, line 3: member M001 stands twice
        hint: remove one of the two lines; nothing was taken in
    "#]]
    .assert_eq(&spoil("members.csv", "M002", "M001"));
    expect![[r#"
        exit 2
        -- err
        error: prices.json: the price list is damaged or not of this kind ('KSH' is not a currency of ISO 4217: write its three capital letters, such as KES in `currency` at line 7 column 14): ask for it again
        hint: correct the file and give the command again; demo-fixtures/cooperative holds one of each kind to begin from
    "#]].assert_eq(&spoil("prices.json", "\"KES\"", "\"KSH\""));
    expect![[r#"
        exit 2
        -- err
        error: policy.json: the policy says it is 'combgate-policy/9' but 'combgate-policy/1' is read here: update the program or ask for an older file
        hint: correct the file and give the command again; demo-fixtures/cooperative holds one of each kind to begin from
    "#]].assert_eq(&spoil(
        "policy.json",
        "combgate-policy/1",
        "combgate-policy/9",
    ));
    expect![[r#"
        exit 2
        -- err
        error: policy POL-2026-1 and price list PL-2026-3 do not go together: grade S of StinglessBee CombInFrame can be given but has no price: add a price
        hint: correct one of the two files and give the command again
    "#]].assert_eq(&spoil(
        "prices.json",
        "\"grade\": \"S\"",
        "\"grade\": \"T\"",
    ));
    assert!(!desk.path("desk/ledger.sqlite").exists() || desk.store().desk().unwrap().is_none());
    desk.check(
        "init desk --from nowhere",
        &expect![[r#"
        exit 2
        -- err
        error: nowhere cannot be read: No such file or directory (os error 2)
        hint: look at the name of the file and at its permissions
    "#]],
    );
    desk.done("init desk --from fixtures/cooperative");
    expect![[r#"
        exit 2
        -- err
        error: the price list is in UGX, but the books are kept in KES
        hint: keep one currency to a ledger: set up another desk for the other
    "#]]
    .assert_eq(&spoil("prices.json", "\"KES\"", "\"UGX\""));
}

#[test]
fn an_enrolment_card_makes_a_handset() {
    let desk = TestDesk::bare();
    desk.done("init desk");
    desk.check(
        &format!("enrol {CARD}"),
        &expect![[r#"
        exit 0
        -- out
        Handset K1 is enrolled: Gate telephone (test key), key fQpt xrLt.
        Compare the key with what the handset shows: if it differs, this is another handset's card.
        Next: `combgate brief --handset K1 --out FILE`.
    "#]],
    );
    desk.check(
        &format!("enrol {CARD}"),
        &expect![[r#"
        exit 0
        -- out
        Handset K1 was enrolled before: Gate telephone (test key), key fQpt xrLt.
        Compare the key with what the handset shows: if it differs, this is another handset's card.
        Next: `combgate brief --handset K1 --out FILE`.
    "#]],
    );
    desk.check(
        &format!("enrol {CARD} --code K7"),
        &expect![[r#"
        exit 2
        -- err
        error: this handset is enrolled as K1 already
        hint: go on with K1; receipts bear it, so it cannot change
    "#]],
    );
    let handset = desk.store().handset(&code("K1")).unwrap().unwrap();
    assert_eq!(handset.head.seq, 1, "the card is the journal's first entry");
}

#[test]
fn what_is_no_card_is_explained() {
    let desk = TestDesk::bare();
    desk.done("init desk");
    desk.check(
        "enrol fixtures/bundles/good/day.json",
        &expect![[r#"
        exit 2
        -- err
        error: fixtures/bundles/good/day.json is larger than the 16386 bytes that are read
        hint: choose the right file; if it is, ask for it in smaller parts
    "#]],
    );
    desk.check("enrol fixtures/handset-k7/brief.jws", &expect![[r#"
        exit 2
        -- err
        error: the enrolment card is damaged or not of this kind (the signed text is a Brief, not a Entry: choose the right file): ask for it again
        hint: ask the officer to show or send the handset's enrolment card again
    "#]]);
    desk.check(
        &format!("enrol {CARD} --code K-7"),
        &expect![[r#"
        exit 2
        -- err
        error: 'K-7' cannot be a handset's code
        hint: choose letters and digits, at most 8, such as --code K7
    "#]],
    );
    let changed = desk.read(CARD).replace(".eyJ", ".eyK");
    desk.write("changed.jws", &changed);
    let said = desk.printout("enrol changed.jws");
    assert!(said.starts_with("exit 2"), "{said}");
    assert!(desk.store().handsets().unwrap().is_empty());
}

#[test]
fn a_brief_is_taken_by_the_handset_it_is_for() {
    let desk = TestDesk::with_open_prices();
    desk.done(&format!("enrol {CARD} --code K7"));
    let said = desk.done("brief --handset K7 --out brief.jws --float 1250.50");
    assert!(said.contains("float       KES 1,250.50\n"), "{said}");
    let store = desk.store();
    let handset = store.handset(&code("K7")).unwrap().unwrap();
    let own = store.desk().unwrap().unwrap().public_key.id();
    let expected = Expected {
        handset: handset.key.id(),
        desk: Some(own),
        held_serial: None,
        today: chrono::Local::now().date_naive(),
    };
    let text = desk.read("brief.jws");
    let brief = Brief::take(&text, expected, &SoftwareCheck).unwrap();
    assert_eq!(brief.payload().float_minor, 125_050);
    assert_eq!(brief.payload().members.len(), 12);
    assert_eq!(brief.payload().serial, 1);
    desk.done("brief --handset K7 --out again.jws");
    let again = Brief::take(&desk.read("again.jws"), expected, &SoftwareCheck).unwrap();
    assert_eq!(again.payload().serial, 2);
    // Somebody's change of one letter breaks the signature.
    let (payload, signature) = text.trim().rsplit_once('.').unwrap();
    let other = if signature.starts_with('A') { 'B' } else { 'A' };
    let changed = format!("{payload}.{other}{}", &signature[1..]);
    let refused = Brief::take(&changed, expected, &SoftwareCheck).unwrap_err();
    assert_eq!(refused, JwsError::BadSignature.into());
}

#[test]
fn a_brief_that_cannot_be_made_is_explained() {
    let desk = TestDesk::bare();
    desk.done("init desk");
    let brief = "brief --handset K7 --out brief.jws";
    desk.check(
        brief,
        &expect![[r#"
        exit 2
        -- err
        error: no handset K7 is enrolled
        hint: enrol the handset from its card with `combgate enrol CARD`
    "#]],
    );
    desk.done(&format!("enrol {CARD} --code K7"));
    desk.check(brief, &expect![[r#"
        exit 2
        -- err
        error: the desk does not know the cooperative's name yet
        hint: write cooperative.json, put it in a folder and take it in with `combgate init DIR --from FOLDER`
    "#]]);
    desk.write("fixtures/cooperative/prices.json", "");
    std::fs::remove_file(desk.path("fixtures/cooperative/prices.json")).unwrap();
    desk.done("init desk --from fixtures/cooperative");
    let said = desk.printout(brief);
    assert!(
        said.contains("error: no price list is in force on "),
        "{said}"
    );
    let desk = TestDesk::with_open_prices();
    desk.done(&format!("enrol {CARD} --code K7"));
    let with = |option: &str, value: &str| {
        desk.printout(&format!(
            "brief --handset K7 --out brief.jws {option} {value}"
        ))
    };
    expect![[r#"
        exit 2
        -- err
        error: --float 12.345 has more decimals than are taken: 2 at most
        hint: write at most 2 decimals; nothing is rounded for you
    "#]]
    .assert_eq(&with("--float", "12.345"));
    expect![[r#"
        exit 2
        -- err
        error: a float of -500 minor units cannot be handed over
        hint: give the cash that the officer takes along, such as --float 120000 for 120,000.00
    "#]]
    .assert_eq(&with("--float", "-5"));
    let past = with("--until", "2020-01-01");
    assert!(
        past.contains("error: the brief cannot be good until 2020-01-01"),
        "{past}"
    );
    desk.check(
        "brief --handset K7 --out nowhere/brief.jws",
        &expect![[r#"
            exit 2
            -- err
            error: nowhere/brief.jws cannot be written: entity not found
            hint: see that the folder exists, may be written to and has room
        "#]],
    );
}

#[test]
fn the_offices_word_on_an_advance_counts_until_it_says_another() {
    let desk = TestDesk::of_the_cooperative();
    let outstanding = || {
        let members = desk.store().members().unwrap();
        let member = members
            .into_iter()
            .find(|member| member.number == code("M002"));
        member
            .unwrap()
            .advance
            .map(|advance| advance.outstanding_minor)
    };
    assert_eq!(outstanding(), Some(1_500_000));
    desk.done("import fixtures/bundles/good/day.json");
    let left = outstanding().unwrap();
    assert!(left < 1_500_000, "a receipt took some of it back");
    // The same table again says nothing new.
    desk.done("init desk --from fixtures/cooperative");
    assert_eq!(outstanding(), Some(left));
    let members = desk.read("fixtures/cooperative/members.csv");
    desk.write(
        "fixtures/cooperative/members.csv",
        &members.replace("1500000", "900000"),
    );
    desk.done("init desk --from fixtures/cooperative");
    assert_eq!(outstanding(), Some(900_000));
    let store = desk.store();
    let mut member = store
        .member_seen_by(&code("K7"), &code("M002"))
        .unwrap()
        .unwrap();
    member.advance = None;
    assert_eq!(store.keep_member(&member).unwrap(), RegisterChange::Changed);
    assert_eq!(outstanding(), None);
}

/// What the printouts say, for another program.
#[test]
fn enrolling_and_briefs_answer_in_json() {
    let desk = TestDesk::with_open_prices();
    let told = desk.json(&format!("enrol {CARD} --code K7"), 0);
    assert_eq!(
        (&told["handset"], &told["enrolled_before"]),
        (&"K7".into(), &false.into())
    );
    // RFC 7638: SHA-256 in base64url.
    assert_eq!(told["key"].as_str().unwrap().len(), 43);
    let told = desk.json(&format!("enrol {CARD}"), 0);
    assert_eq!(told["enrolled_before"], true);
    let told = desk.json("brief --handset K7 --out brief.jws --float 1200.50", 0);
    assert_eq!(told["serial"], 1);
    assert_eq!(told["float_minor"], 120_050);
    assert_eq!(told["policy"], "POL-2026-1");
    assert_eq!(told["members"], desk.store().members().unwrap().len());
    assert!(desk.read("brief.jws").starts_with("ey"));
}

/// Who has handed over up to where, and one entry as it was signed.
#[test]
fn handsets_and_entries_are_told() {
    let desk = TestDesk::with_open_prices();
    assert!(desk.done("handsets").contains("No handset is enrolled yet"));
    desk.done(&format!("enrol {CARD} --code K7"));
    desk.done("brief --handset K7 --out brief.jws");
    let told = desk.json("handsets", 0);
    assert_eq!(
        (
            &told[0]["handset"],
            &told[0]["booked_to"],
            &told[0]["handed_over"]
        ),
        (&"K7".into(), &1.into(), &serde_json::Value::Null)
    );
    assert!(told[0]["brief_until"].is_string() && told[0]["out_of_use"].is_null());
    assert!(desk.done("handsets").contains("Gate telephone (test key)"));
    let entry = desk.json("entry K7 1", 0);
    assert_eq!(
        (&entry["kind"], &entry["findings"]),
        (&"handset_enrolled".into(), &serde_json::json!([]))
    );
    // The payload of the JWS (RFC 7515, section 7.1), as the card has it.
    assert_eq!(entry["signed"]["seq"], 1);
    assert!(desk.done("entry K7 1").contains("Nothing was found in it."));
    for (asked, said) in [
        ("entry K7 2", "no entry 2 of handset K7"),
        ("entry K9 1", "K9"),
    ] {
        let refused = desk.printout(asked);
        assert!(
            refused.starts_with("exit 2") && refused.contains(said),
            "{refused}"
        );
    }
}

/// One for each handset in use, a lost one left out.
#[test]
fn briefs_for_all_in_use() {
    let desk = TestDesk::with_open_prices();
    std::fs::create_dir(desk.path("briefs")).unwrap();
    let nobody = desk.printout("brief --all --out briefs");
    assert!(nobody.contains("no handset is in use"), "{nobody}");
    for code in ["K1", "K2", "K3"] {
        TestHandset::enrol(&desk, code);
    }
    desk.command("account add zawadi --role approver")
        .write_stdin("an apiary on a long ridge")
        .assert()
        .success();
    let from = (chrono::Utc::now() + chrono::Duration::days(1)).to_rfc3339();
    desk.done(&format!(
        "revoke --handset K2 --from {from} --cause lost --words gone --by zawadi"
    ));
    let told = desk.json("brief --all --out briefs --float 500", 0);
    let codes: Vec<_> = told
        .as_array()
        .unwrap()
        .iter()
        .map(|each| &each["handset"])
        .collect();
    assert_eq!(codes, ["K1", "K3"]);
    assert!(desk.read("briefs/brief-K3.jws").starts_with("ey"));
    assert!(desk.printout("brief --out briefs").starts_with("exit 2"));
    let address = desk.json("address https://desk.example:8720", 0);
    assert_eq!(address["address"], "https://desk.example:8720");
    assert!(desk.json("address --none", 0)["address"].is_null());
}
