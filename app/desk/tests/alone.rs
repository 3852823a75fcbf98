//! `combgate verify` and `assess`, whole: they need no desk.

// Helpers of tests unwrap; expectations are written by a tool, which puts hashes everywhere.
#![allow(clippy::unwrap_used, clippy::needless_raw_string_hashes)]

mod common;

use common::desk::TestDesk;
use expect_test::expect;

#[test]
fn the_code_on_a_receipt_is_verified_without_a_desk() {
    let desk = TestDesk::bare();
    let list = "--handsets fixtures/handset-k7/handsets.jws";
    desk.check(
        "verify fixtures/handset-k7/stub.jws",
        &expect![[r#"
        exit 1
        -- out
        fixtures/handset-k7/stub.jws: receipt K7-26-00001, 2026-10-09
        net      17.50 kg
        paid     KES 7,710.00
        owed     KES 0.00
        entry    oQHSWGqu6DRB8H5mgF92NftgJLnuwc7DjiUHBIv_A28
        signed   unproven: it names key fQpt xrLt
        Give the cooperative's list of handsets with --handsets FILE.
    "#]],
    );
    desk.check(
        &format!("verify fixtures/handset-k7/stub.jws {list}"),
        &expect![[r#"
            exit 0
            -- out
            fixtures/handset-k7/stub.jws: receipt K7-26-00001, 2026-10-09
            net      17.50 kg
            paid     KES 7,710.00
            owed     KES 0.00
            entry    oQHSWGqu6DRB8H5mgF92NftgJLnuwc7DjiUHBIv_A28
            signed   by handset K7 of Ridge Hives Honey Cooperative, key fQpt xrLt
            Whose list it is, only its desk key can say: give it with --desk-key.
        "#]],
    );
    let answer = desk.json(&format!("verify fixtures/handset-k7/stub.jws {list}"), 0);
    assert_eq!(answer["proven"], true);
    assert_eq!(answer["handset"], "K7");
    // Another desk's key, well formed.
    let other = "--desk-key 0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I";
    desk.check(
        &format!("verify fixtures/handset-k7/stub.jws {list} {other}"),
        &expect![[r#"
            exit 1
            -- err
            error: the list of handsets is signed by the desk nBbdop-XiyfsCEYMHtvTuHoIyEw0PmpLx1V6ujHYc-w, not by 0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I: ask the cooperative for its own list
            hint: do not believe the paper before the desk has looked at it
        "#]],
    );
    let path = desk.path("fixtures/handset-k7/stub.jws");
    let text = std::fs::read_to_string(&path).unwrap();
    let middle = text.len() / 2;
    let other_letter = if text.as_bytes()[middle] == b'A' {
        "B"
    } else {
        "A"
    };
    let changed = format!("{}{other_letter}{}", &text[..middle], &text[middle + 1..]);
    std::fs::write(&path, changed).unwrap();
    let refused = desk.printout(&format!("verify fixtures/handset-k7/stub.jws {list}"));
    assert!(!refused.starts_with("exit 0"), "{refused}");
}

#[test]
fn the_desk_lists_its_handsets_for_everybody() {
    let desk = TestDesk::of_the_cooperative();
    let said = desk.printout("handsets --keys list.jws");
    assert!(
        said.contains("The keys of 1 handsets are in list.jws"),
        "{said}"
    );
    let answer = desk.json("verify fixtures/handset-k7/stub.jws --handsets list.jws", 0);
    assert_eq!(answer["proven"], true);
    assert_eq!(answer["cooperative"], "Ridge Hives Honey Cooperative");
}

#[test]
fn a_bundle_is_verified_without_a_desk() {
    let desk = TestDesk::bare();
    desk.check("verify fixtures/bundles/good/day.json", &expect![[r#"
        exit 0
        -- out
        fixtures/bundles/good/day.json: whole
        handset  K7, key fQpt xrLt
        entries  1 to 20, made 2026-10-09T17:05:00+03:00
        2026-10-09  11 receipts, 3 slips, 1 cancelled, 13 pails, 220.30 kg net
        Whose key it is, only the desk that enrolled the handset can say: compare it with what the handset shows, or import the bundle there.
    "#]]);
    desk.check(
        "verify fixtures/bundles/bad/altered-byte.json",
        &expect![[r#"
            exit 1
            -- out
            fixtures/bundles/bad/altered-byte.json: not whole
            handset  K7, key fQpt xrLt
            entries  1 to 20, made 2026-10-09T17:05:00+03:00
            2026-10-09  11 receipts, 3 slips, 1 cancelled, 13 pails, 220.30 kg net
            fault    entry 5 (place 5 of the file): the signature does not fit: the text was changed after signing or damaged on the way; ask for it again
            fault    entry 6 does not follow from the entry before it: one of the two was altered; ask the officer to export again
            Whose key it is, only the desk that enrolled the handset can say: compare it with what the handset shows, or import the bundle there.
        "#]],
    );
    desk.check(
        "verify fixtures/bundles/bad/forged-manifest.json",
        &expect![[r#"
            exit 1
            -- err
            error: the bundle is not signed by the key it names: manifest: the signature does not fit: the text was changed after signing or damaged on the way; ask for it again
            hint: do not believe any of it, and ask the officer to export again
        "#]],
    );
    desk.check(
        "verify fixtures/bundles/bad/truncated.json",
        &expect![[r#"
            exit 2
            -- err
            error: the bundle is damaged or not of this kind (a string has no end at line 1 column 30115): ask for it again
            hint: ask for the bundle again, as a file
        "#]],
    );
    let answer = desk.json("verify fixtures/bundles/bad/gap.json", 1);
    assert_eq!(answer["whole"], false);
    assert_eq!(answer["faults"].as_array().unwrap().len(), 2);
}

#[test]
fn a_delivery_is_judged_and_priced() {
    let desk = TestDesk::bare();
    let policy = "fixtures/cooperative/policy.json";
    let prices = "fixtures/cooperative/prices.json";
    desk.check(
        &format!("assess fixtures/deliveries/bought.json --policy {policy} --prices {prices} --premium ORG"),
        &expect![[r#"
            exit 0
            -- out
            decision      Buy
            grade         A
            moisture      18.05 %, standard uncertainty 0.23 points
            capped share  92.71 %, between 88.13 and 95.61 %
            weight        18.40 kg − 0.90 kg = 17.50 kg net
            grounds
              Moisture 18.05 % is within the limit of 20.0 %.
              Capped comb 92.71 % is enough (66.7 % is asked).
            price
              Honey, grade A, KES 420.00 per kg: 7,350.00
              Added: Organic group, KES 25.00 per kg: 437.50
              County cess, to Invented County, 1.0 % of the value: −77.875
              Rounding to the coin: 0.375
            payable       KES 7,710.00
        "#]],
    );
    desk.check(
        &format!("assess fixtures/deliveries/held.json --policy {policy}"),
        &expect![[r#"
            exit 0
            -- out
            decision      Hold
            moisture      20.15 %, standard uncertainty 0.23 points
            weight        9.87 kg − 1.10 kg = 8.77 kg net
            grounds
              Moisture 20.15 % is too near the limit of 20.0 % to tell.
            what would change it
              Read on another refractometer, or on one checked today.
        "#]],
    );
    let refused = desk.json(
        &format!("assess fixtures/deliveries/refused.json --policy {policy}"),
        0,
    );
    assert_eq!(refused["decision"], "refuse");
    desk.check(
        &format!("assess fixtures/deliveries/held.json --policy {prices}"),
        &expect![[r#"
            exit 2
            -- err
            error: fixtures/cooperative/prices.json: the policy is damaged or not of this kind (unknown field `currency`, expected one of `format`, `id`, `title`, `from`, `until`, `confidence_hundredths`, `guard_band_hundredths`, `measuring`, `products`, `faults`, `grades`, `shrink` at line 7 column 2): ask for it again
            hint: correct that file; demo-fixtures holds deliveries, policies and price lists to compare it with
        "#]],
    );
    desk.check(
        &format!("assess fixtures/deliveries/bought.json --policy {policy} --prices {prices} --premium FAIR"),
        &expect![[r#"
            exit 2
            -- err
            error: the price list has no premium 'FAIR': take it off the member's record or ask the desk
            hint: correct that file; demo-fixtures holds deliveries, policies and price lists to compare it with
        "#]],
    );
}
