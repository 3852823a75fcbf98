//! `combgate import`, whole: good, altered, repeated, cut, strange and out of order bundles of
//! `demo-fixtures`.

// Helpers of tests unwrap; expectations are written by a tool, which puts hashes everywhere.
#![allow(clippy::unwrap_used, clippy::needless_raw_string_hashes)]

mod common;

use combgate_core::record::seal::{Entropy, OpeningKey, seal_for};
use combgate_core::record::{
    Acknowledgement, AcknowledgementV1, BUNDLE_BYTES_AT_MOST, SignatureCheck, SoftwareCheck,
};
use combgate_desk::store::{Journals, Office};
use common::books::Books;
use common::desk::TestDesk;
use common::handset::code;
use expect_test::expect;

const GOOD: &str = "fixtures/bundles/good/day.json";
const DAY: &str = "daybook --day 2026-10-09";

#[test]
fn a_good_day_is_booked_and_printed() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        &format!("import {GOOD}"),
        &expect![[r#"
        exit 0
        -- out
        fixtures/bundles/good/day.json: handset K7, Gate telephone (test key)
          entries 1 to 20: 19 booked, 0 kept apart, 1 known before, 0 refused
          booked up to entry 20
          nothing to look at
    "#]],
    );
    desk.check(DAY, &expect![[r#"
        exit 0
        -- out
        Day book of 2026-10-09, money in KES

        number        member         grade      net kg         payable            paid            owed
        K7-26-00001   M001               A       17.50        7,710.00        7,710.00            0.00
        K7-26-00002   M002               A       37.98       12,580.00       12,580.00            0.00
        K7-26-00003   M003               B       14.11        4,190.00        4,190.00            0.00
        K7-26-00004   M004               A       22.53        9,925.00        9,925.00            0.00
        K7-26-00005   M005                        8.77                                                  held
        K7-26-00006   M006                        9.46                                                  refused
        K7-26-00007   M007               S        3.08        2,895.00        2,895.00            0.00
        K7-26-00008   K7-N1              B       11.09        3,845.00        3,845.00            0.00
        K7-26-00009   M008               A       18.20        7,570.00        7,570.00            0.00  cancelled
        K7-26-00010   M008               A       17.70        7,360.00        7,360.00            0.00
        K7-26-00011   M009               A       69.72       30,715.00       30,715.00            0.00
        K7-26-00012   M010               A       11.24        5,340.00        5,340.00            0.00
        K7-26-00013   M011                        7.90                                                  refused
        K7-26-00014   M012               A       15.35        5,470.00        5,470.00            0.00

        handset   receipts  slips  cancelled  pails      net kg         payable            paid            owed
        K7              11      3          1     13      220.30       90,030.00       90,030.00            0.00
        total           11      3          1     13      220.30       90,030.00       90,030.00            0.00
        A cancellation counts on the day it was made, as a subtraction.

        grade     receipts      net kg         payable
        A                7      192.02       79,100.00
        B                2       25.20        8,035.00
        S                1        3.08        2,895.00

        Nothing to look at.
    "#]]);
}

/// Source: the manifest that the handset signed, and the receipts as the farmers saw them.
#[test]
fn the_day_books_sums_are_those_that_the_handset_signed() {
    let desk = TestDesk::of_the_cooperative();
    let signed = desk.json(&format!("verify {GOOD}"), 0);
    desk.done(&format!("import {GOOD}"));
    let book = desk.json(DAY, 0);
    let (signed, total) = (&signed["days"][0], &book["total"]);
    for sum in [
        "receipts",
        "slips",
        "cancellations",
        "pails",
        "net_g",
        "payable_minor",
        "paid_minor",
    ] {
        assert_eq!(signed[sum], total[sum], "{sum}");
        assert!(signed[sum].as_i64().unwrap() > 0, "{sum}");
    }
    let of_receipts = |sum: &str| -> i64 {
        let receipts = book["receipts"].as_array().unwrap();
        let standing = receipts
            .iter()
            .filter(|receipt| receipt["cancelled"] == false);
        standing.map(|receipt| receipt[sum].as_i64().unwrap()).sum()
    };
    for sum in ["net_g", "payable_minor", "paid_minor"] {
        assert_eq!(of_receipts(sum), total[sum].as_i64().unwrap(), "{sum}");
    }
}

#[test]
fn importing_again_changes_nothing_and_says_so() {
    let desk = TestDesk::of_the_cooperative();
    desk.done(&format!("import {GOOD}"));
    let before = Books::of(&desk.store());
    desk.check(
        &format!("import {GOOD}"),
        &expect![[r#"
        exit 0
        -- out
        fixtures/bundles/good/day.json: handset K7, Gate telephone (test key)
          entries 1 to 20: nothing new; nothing was changed
          booked up to entry 20
          nothing to look at
    "#]],
    );
    desk.done("import fixtures/bundles/good/morning.json");
    assert_eq!(Books::of(&desk.store()), before);
}

#[test]
fn an_altered_byte_is_named_and_the_good_entries_before_it_are_booked() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        "import fixtures/bundles/bad/altered-byte.json",
        &expect![[r#"
            exit 1
            -- out
            fixtures/bundles/bad/altered-byte.json: handset K7, Gate telephone (test key)
              entries 1 to 20: 3 booked, 15 kept apart, 1 known before, 1 refused
              booked up to entry 4
              waiting for entries that are missing: 15
              to look at: 2
                serious   entry 5, place 5 of the file: this entry is refused and kept as evidence: the signature does not fit: the text was changed after signing or damaged on the way; ask for it again [entry-refused]
                question  entry 6: entries after 4 are missing, so this one waits: ask the officer to export again from there [gap]
        "#]],
    );
    let store = desk.store();
    let evidence = store.evidence(&code("K7")).unwrap();
    assert_eq!(evidence.len(), 1);
    assert_eq!((evidence[0].seq, evidence[0].position), (Some(5), 5));
    drop(store);
    // The honest bundle fills the gap, and nothing but the evidence tells of it.
    desk.check(
        &format!("import {GOOD}"),
        &expect![[r#"
        exit 0
        -- out
        fixtures/bundles/good/day.json: handset K7, Gate telephone (test key)
          entries 1 to 20: 16 booked, 0 kept apart, 19 known before, 0 refused
          booked up to entry 20
          nothing to look at
    "#]],
    );
    let mended = Books::of(&desk.store());
    let honest = TestDesk::of_the_cooperative();
    honest.done(&format!("import {GOOD}"));
    let honest = Books::of(&honest.store());
    assert_eq!(mended.papers, honest.papers);
    assert_eq!(mended.days, honest.days);
    assert_eq!(mended.handsets[0].booked, honest.handsets[0].booked);
    assert_eq!(mended.handsets[0].findings, honest.handsets[0].findings);
}

#[test]
fn what_is_no_bundle_is_unusable() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        "import fixtures/bundles/bad/truncated.json",
        &expect![[r#"
            exit 2
            -- err
            error: fixtures/bundles/bad/truncated.json: the bundle is damaged or not of this kind (a string has no end at line 1 column 30115): ask for it again
            hint: ask the officer to export the bundle again and to send it as a file; nothing of this one was taken in
        "#]],
    );
    desk.check(
        "import fixtures/bundles/bad/unknown-version.json",
        &expect![[r#"
            exit 2
            -- err
            error: fixtures/bundles/bad/unknown-version.json: the bundle says it is 'combgate-bundle/2' but 'combgate-bundle/1' is read here: update the program or ask for an older file
            hint: update this program, or ask for a bundle of the version that it reads; nothing of this one was taken in
        "#]],
    );
    desk.check(
        "import fixtures/cooperative/members.csv",
        &expect![[r#"
            exit 2
            -- err
            error: fixtures/cooperative/members.csv: the bundle is damaged or not of this kind (no value begins like this at line 1 column 1): ask for it again
            hint: ask the officer to export the bundle again and to send it as a file; nothing of this one was taken in
        "#]],
    );
    desk.check(
        "import missing.json",
        &expect![[r#"
            exit 2
            -- err
            error: missing.json cannot be read: No such file or directory (os error 2)
            hint: look at the name of the file and at its permissions
        "#]],
    );
    let oversized = desk.path("oversized.json");
    // A file with a hole, so that it takes no room.
    let file = std::fs::File::create(oversized).unwrap();
    file.set_len(u64::try_from(BUNDLE_BYTES_AT_MOST).unwrap() + 1)
        .unwrap();
    desk.check(
        "import oversized.json",
        &expect![[r#"
            exit 2
            -- err
            error: oversized.json: the bundle has 33554433 bytes, at most 33554432 are read: ask for a smaller one
            hint: ask the officer to export the bundle again and to send it as a file; nothing of this one was taken in
        "#]],
    );
    assert_eq!(
        desk.store().handset(&code("K7")).unwrap().unwrap().head.seq,
        1
    );
}

#[test]
fn a_strange_key_is_refused_and_a_forged_manifest_is_kept() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        "import fixtures/bundles/bad/wrong-key.json",
        &expect![[r#"
            exit 1
            -- err
            error: fixtures/bundles/bad/wrong-key.json: the bundle is signed by key VYFp Awws, which no enrolled handset has
            hint: ask whose handset it is; if it is one of yours, enrol it from its card with `combgate enrol CARD`, then import again
        "#]],
    );
    let forged = "fixtures/bundles/bad/forged-manifest.json";
    desk.check(&format!("import {forged}"), &expect![[r#"
        exit 1
        -- err
        error: fixtures/bundles/bad/forged-manifest.json: handset K7 did not sign this bundle: manifest: the signature does not fit: the text was changed after signing or damaged on the way; ask for it again
        hint: nothing of it was booked and it is kept as evidence: ask who sent it, and the officer to export again
    "#]]);
    let evidence = desk.store().evidence(&code("K7")).unwrap();
    assert_eq!(evidence.len(), 1);
    assert_eq!(evidence[0].bytes, desk.read(forged).into_bytes());
    assert_eq!(
        desk.store().handset(&code("K7")).unwrap().unwrap().head.seq,
        1
    );
}

#[test]
fn entries_that_do_not_link_yet_wait() {
    let desk = TestDesk::of_the_cooperative();
    let afternoon = "fixtures/bundles/good/afternoon.json";
    desk.check(&format!("import {afternoon}"), &expect![[r#"
        exit 1
        -- out
        fixtures/bundles/good/afternoon.json: handset K7, Gate telephone (test key)
          entries 13 to 20: 0 booked, 8 kept apart, 0 known before, 0 refused
          booked up to entry 1
          waiting for entries that are missing: 8
          to look at: 1
            question  entry 13: entries after 1 are missing, so this one waits: ask the officer to export again from there [gap]
    "#]]);
    desk.check(
        "import fixtures/bundles/good/morning.json",
        &expect![[r#"
            exit 0
            -- out
            fixtures/bundles/good/morning.json: handset K7, Gate telephone (test key)
              entries 1 to 12: 19 booked, 0 kept apart, 1 known before, 0 refused
              booked up to entry 20
              nothing to look at
        "#]],
    );
    let straight = TestDesk::of_the_cooperative();
    straight.done(&format!("import {GOOD}"));
    assert_eq!(Books::of(&desk.store()), Books::of(&straight.store()));
}

#[test]
fn a_fork_is_found_whichever_came_first_and_what_is_booked_stays() {
    let fork = "fixtures/bundles/bad/fork.json";
    for (first, second) in [(GOOD, fork), (fork, GOOD)] {
        let desk = TestDesk::of_the_cooperative();
        desk.done(&format!("import {first}"));
        let before = Books::of(&desk.store());
        let answer = desk.json(&format!("import {second}"), 1);
        let findings = answer[0]["findings"].as_array().unwrap();
        assert!(
            findings.iter().any(|finding| finding["code"] == "fork"),
            "{answer:#}"
        );
        let after = Books::of(&desk.store());
        assert_eq!(after.papers, before.papers);
        assert_eq!(after.handsets[0].booked, before.handsets[0].booked);
        assert!(!after.handsets[0].apart.is_empty());
    }
}

#[test]
fn dishonest_receipts_are_booked_and_questioned() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        "import fixtures/bundles/bad/dishonest.json",
        &expect![[r#"
            exit 1
            -- out
            fixtures/bundles/bad/dishonest.json: handset K7, Gate telephone (test key)
              entries 1 to 6: 5 booked, 0 kept apart, 1 known before, 0 refused
              booked up to entry 6
              to look at: 2
                serious   entry 4, K7-26-00002: priced again by its price list, KES 5340.00 comes out and KES 6340.00 was signed: do not pay before it is settled [price-differs]
                serious   entry 6, K7-26-00003: 2026-10-09 was closed before this entry: ask the officer why [day-closed]
        "#]],
    );
}

#[test]
fn a_manifest_that_does_not_fit_its_entries_is_a_finding() {
    let desk = TestDesk::of_the_cooperative();
    desk.check(
        "import fixtures/bundles/bad/lying-totals.json",
        &expect![[r#"
            exit 1
            -- out
            fixtures/bundles/bad/lying-totals.json: handset K7, Gate telephone (test key)
              entries 1 to 20: 19 booked, 0 kept apart, 1 known before, 0 refused
              booked up to entry 20
              to look at: 1
                serious   entry 20: the manifest's totals are not those of its entries: keep the file and ask the officer [manifest-differs]
        "#]],
    );
    desk.check("import fixtures/bundles/bad/gap.json", &expect![[r#"
        exit 1
        -- out
        fixtures/bundles/bad/gap.json: handset K7, Gate telephone (test key)
          entries 1 to 20: 0 booked, 0 kept apart, 19 known before, 0 refused
          booked up to entry 20
          to look at: 2
            serious   entry 20: the manifest signs entries 1 to 20 (20 of them), which is not what the file holds: ask the officer to export again [manifest-differs]
            serious   entry 20: the manifest's totals are not those of its entries: keep the file and ask the officer [manifest-differs]
    "#]]);
}

#[test]
fn one_bad_file_does_not_stop_the_others() {
    let desk = TestDesk::of_the_cooperative();
    let bad = "fixtures/bundles/bad/truncated.json";
    let answer = desk.json(&format!("import {bad} {GOOD}"), 2);
    assert_eq!(answer[0]["file"], bad);
    assert!(answer[0]["hint"].as_str().unwrap().contains("export"));
    assert_eq!(answer[1]["booked_to"], 20);
    assert_eq!(answer[1]["nothing_new"], false);
}

#[test]
fn the_acknowledgement_is_the_desks_and_says_what_is_asked() {
    let take = |desk: &TestDesk, name: &str| -> AcknowledgementV1 {
        let store = desk.store();
        let handset = store.handset(&code("K7")).unwrap().unwrap();
        let key = store.desk().unwrap().unwrap().public_key;
        let check: &dyn SignatureCheck = &SoftwareCheck;
        Acknowledgement::take(&desk.read(name), handset.key.id(), &key, check)
            .unwrap()
            .payload()
            .clone()
    };
    let desk = TestDesk::of_the_cooperative();
    let dishonest = "fixtures/bundles/bad/dishonest.json";
    desk.json(&format!("import {dishonest} --acknowledgement a.jws"), 1);
    let taken = take(&desk, "a.jws");
    assert_eq!(taken.booked_to, 6);
    let asked: Vec<_> = taken
        .questions
        .iter()
        .map(|question| (question.seq, question.finding.as_str()))
        .collect();
    assert_eq!(asked, [(4, "price-differs"), (6, "day-closed")]);

    let desk = TestDesk::of_the_cooperative();
    std::fs::create_dir(desk.path("out")).unwrap();
    desk.done(&format!("import {GOOD} --acknowledgement out"));
    let taken = take(&desk, "out/acknowledgement-K7.jws");
    assert_eq!((taken.booked_to, taken.questions.len()), (20, 0));
    let head = desk.store().handset(&code("K7")).unwrap().unwrap().head;
    assert_eq!(taken.head, head.hash);
}

#[test]
fn a_desk_that_is_not_there_is_explained() {
    let desk = TestDesk::bare();
    desk.check(&format!("import {GOOD}"), &expect![[r#"
        exit 2
        -- err
        error: there is no ledger in desk
        hint: name the desk's folder with --desk or COMBGATE_DESK, or make one with `combgate init DIR`
    "#]]);
    desk.write("ledger.sqlite", "not a ledger");
    desk.check(
        "daybook --day 2026-10-09 --desk .",
        &expect![[r#"
            exit 2
            -- err
            error: the ledger is damaged: the file (file is not a database)
            hint: stop working with it, keep the folder as it is, and restore the last backup into another folder
        "#]],
    );
}

#[test]
fn a_bundle_that_a_locked_handset_sealed_for_this_desk_is_booked_and_no_other() {
    let desk = TestDesk::of_the_cooperative();
    let good = std::fs::read(desk.path(GOOD)).unwrap();
    let key = combgate_desk::desk::open(&desk.path("desk")).unwrap().key;
    let seal = |public| {
        let entropy = Entropy {
            ephemeral: [9; 32],
            nonce: [3; 12],
        };
        seal_for(&public, &good, &entropy).unwrap()
    };
    let ours = seal(key.opening().unwrap().public());
    let other = seal(OpeningKey::new(&[7; 32]).unwrap().public());
    std::fs::write(desk.path("other.jwe"), other).unwrap();
    std::fs::write(desk.path("ours.jwe"), ours).unwrap();
    desk.check("import other.jwe", &expect![[r#"
        exit 2
        -- err
        error: other.jwe: it does not open with this key: it was sealed for another desk, or was damaged on the way
        hint: a locked handset sealed it for the desk whose brief it had: import it there, or ask for the file again
    "#]]);
    desk.check(
        "import ours.jwe",
        &expect![[r#"
        exit 0
        -- out
        ours.jwe: handset K7, Gate telephone (test key)
          entries 1 to 20: 19 booked, 0 kept apart, 1 known before, 0 refused
          booked up to entry 20
          nothing to look at
    "#]],
    );
}
