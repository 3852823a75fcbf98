//! Pails at the store, from the gate to the second weighing, by the desk's commands.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use combgate_core::record::DeliveryV1;
use common::desk::TestDesk;
use common::handset::{TestHandset, code, delivery};
use expect_test::expect;
use serde_json::{Value, json};

/// Bought honey in pails of these numbers: 18.40 kg full, 0.90 kg empty, on steps of 10 g.
fn in_pails(numbers: &[&str]) -> DeliveryV1 {
    let mut delivery = delivery("bought");
    let pail = delivery.pails[0].clone();
    delivery.pails = numbers
        .iter()
        .map(|number| {
            let mut pail = pail.clone();
            pail.seal = Some(code(&number.replace('P', "S")));
            pail.number = code(number);
            pail
        })
        .collect();
    delivery
}

/// A desk with one day of handset K1: pails P-1 and P-2 on one receipt, P-3 on another.
fn a_day() -> (TestDesk, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&in_pails(&["P-1", "P-2"]), "M001", None);
    handset.deliver(&in_pails(&["P-3"]), "M003", None);
    (desk, handset)
}

fn import(desk: &TestDesk, handset: &TestHandset) {
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    desk.done("import bundle.json");
}

/// Runs with a name of several words.
fn receive(desk: &TestDesk, words: &str, by: &str, exit: i32) -> Value {
    let output = desk
        .command(&format!(
            "receive {words} --interval 10 --known 5 --shown 5 --json"
        ))
        .args(["--by", by])
        .output()
        .unwrap();
    let complaint = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(exit), "{words}: {complaint}");
    serde_json::from_slice(&output.stdout).unwrap_or(Value::String(complaint))
}

fn codes(answer: &Value) -> Vec<&str> {
    let findings = answer["findings"].as_array().unwrap();
    findings
        .iter()
        .map(|found| found["code"].as_str().unwrap())
        .collect()
}

/// Worked: 18.40 kg is 1,840 intervals of 10 g: 1 e on verification, 20 g in service, on both
/// scales 40 g. The cooperative's policy lets nothing shrink.
#[test]
fn a_pail_that_agrees_and_one_that_is_light() {
    let (desk, handset) = a_day();
    import(&desk, &handset);
    let agrees = receive(&desk, "P-1 --gross 18.36 --seal S-1", "Juma Bakari", 0);
    assert_eq!(agrees["paper"]["number"], "K1-26-00001");
    assert_eq!(agrees["difference_g"], -40);
    assert_eq!(agrees["may_lose_mg"], 40_000);
    assert!(codes(&agrees).is_empty());
    let light = receive(&desk, "P-2 --gross 18.35 --seal S-2", "Juma Bakari", 1);
    assert_eq!(codes(&light), ["pail-light"]);
    // Nothing is taken off for it.
    let book = desk.json("daybook --day 2026-10-20", 0);
    assert_eq!(book["total"]["net_g"], 3 * 17_500);
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(pails["on_the_way"][0]["pail"], "P-3");
    assert_eq!(pails["received"].as_array().unwrap().len(), 2);
}

#[test]
fn the_buyer_cannot_receive() {
    let (desk, handset) = a_day();
    import(&desk, &handset);
    let said = receive(&desk, "P-1 --gross 18.4 --seal S-1", "neema  OSALE", 1);
    assert!(
        said.as_str().unwrap().contains("bought this honey"),
        "{said}"
    );
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(pails["received"], json!([]));
}

#[test]
fn seals_and_second_weighings() {
    let (desk, handset) = a_day();
    import(&desk, &handset);
    let broken = receive(&desk, "P-1 --gross 18.4 --broken S-1", "Juma", 1);
    assert_eq!(codes(&broken), ["seal-broken"]);
    let gone = receive(&desk, "P-2 --gross 18.4 --no-seal", "Juma", 1);
    assert_eq!(codes(&gone), ["seal-gone"]);
    let twice = receive(&desk, "P-1 --gross 18.4 --seal S-1", "Juma", 1);
    assert!(
        twice.as_str().unwrap().contains("was received on"),
        "{twice}"
    );
    let again = receive(
        &desk,
        "P-1 --gross 18.38 --seal S-1 --again typed-wrongly",
        "Asha",
        0,
    );
    assert!(codes(&again).is_empty());
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(pails["received"][0]["by"], "Asha");
    assert_eq!(pails["received"].as_array().unwrap().len(), 2);
    let never = receive(&desk, "P-3 --gross 18.4 --seal S-3 --again why", "Juma", 2);
    assert!(
        never.as_str().unwrap().contains("never received"),
        "{never}"
    );
}

/// A pail that comes before its bundle is kept, and matched when the bundle comes; only then can it
/// be seen that the buyer received it.
#[test]
fn a_pail_may_come_before_its_bundle() {
    let (desk, handset) = a_day();
    let unknown = receive(&desk, "P-1 --gross 18.3 --seal S-1", "Juma", 1);
    assert_eq!(codes(&unknown), ["pail-unknown"]);
    receive(&desk, "P-3 --gross 18.4 --seal S-3", "Neema Osale", 1);
    receive(&desk, "P-9 --gross 18.4 --seal S-9", "Juma", 1);
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(pails["without_paper"].as_array().unwrap().len(), 3);
    import(&desk, &handset);
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    let received = pails["received"].as_array().unwrap();
    assert_eq!(codes(&received[0]), ["pail-light"]);
    assert_eq!(codes(&received[1]), ["received-by-buyer"]);
    assert_eq!(pails["on_the_way"][0]["pail"], "P-2");
    assert_eq!(pails["without_paper"][0]["pail"], "P-9");
    // The same bundle again changes nothing.
    import(&desk, &handset);
    assert_eq!(
        desk.json("pails --from 2026-10-20 --to 2026-10-20", 0),
        pails
    );
}

/// A pail goes out again once it is emptied, so one number stands on several papers.
#[test]
fn a_pail_number_on_several_papers() {
    let (desk, mut handset) = a_day();
    handset.deliver(&in_pails(&["P-3"]), "M001", None);
    import(&desk, &handset);
    let said = receive(&desk, "P-3 --gross 18.4 --seal S-3", "Juma", 2);
    assert!(
        said.as_str().unwrap().contains("K1-26-00003, K1-26-00002"),
        "{said}"
    );
    let named = receive(
        &desk,
        "P-3 --gross 18.4 --seal S-3 --paper K1-26-00002",
        "Juma",
        0,
    );
    assert_eq!(named["paper"]["number"], "K1-26-00002");
    let other = receive(&desk, "P-3 --gross 18.4 --seal S-3", "Juma", 0);
    assert_eq!(other["paper"]["number"], "K1-26-00003");
    let wrong = receive(
        &desk,
        "P-3 --gross 18.4 --no-seal --paper K1-26-00001",
        "Juma",
        2,
    );
    assert!(
        wrong.as_str().unwrap().contains("does not stand on"),
        "{wrong}"
    );
}

#[test]
fn a_pail_of_a_cancelled_receipt_is_questioned_and_not_expected() {
    let (desk, mut handset) = a_day();
    handset.cancel_latest();
    import(&desk, &handset);
    let pails = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(pails["on_the_way"].as_array().unwrap().len(), 2);
    let came = receive(&desk, "P-3 --gross 18.4 --seal S-3", "Juma", 1);
    assert_eq!(codes(&came), ["pail-of-cancelled"]);
}

/// A ledger of the program before knows no pails; they are read out of its entries.
#[test]
fn an_older_ledger_learns_its_pails() {
    let (desk, handset) = a_day();
    import(&desk, &handset);
    let before = desk.json("pails --from 2026-10-20 --to 2026-10-20", 0);
    assert_eq!(before["on_the_way"].as_array().unwrap().len(), 3);
    let ledger = rusqlite::Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    common::desk::back_to_step_one(&ledger);
    drop(ledger);
    assert_eq!(
        desk.json("pails --from 2026-10-20 --to 2026-10-20", 0),
        before
    );
}

#[test]
fn what_is_printed() {
    let (desk, handset) = a_day();
    import(&desk, &handset);
    let words = "receive P-2 --gross 18.2 --seal S-8 --interval 10 --by Juma";
    let said = desk.printout(words);
    let today = said.split("received on ").nth(1).unwrap()[..10].to_owned();
    expect![[r"
        exit 1
        -- out
        Pail P-2: 18.20 kg at the store, received on TODAY by Juma
          receipt K1-26-00001 of 2026-10-20, member M001
          difference −0.20 kg; scales and shrink explain −0.04 to +0.04 kg
          note      the store's scale was not proven with a known weight that day (NotDone): try it, then weigh the pail again [store-scale-unproven]
          serious   it bears seal S-8 where the paper says S-2: keep it apart and ask the officer [seal-differs]
          question  200 g are missing, of which scales and shrink explain 40 g: weigh it again together with the officer; nothing is taken off for it [pail-light]
    "]]
    .assert_eq(&said.replace(&today, "TODAY"));
}
