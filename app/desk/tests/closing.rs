//! Closed days stay as they were, whatever comes; and officers' days against what was counted.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use combgate_desk::closing::close;
use combgate_desk::import::import_bytes;
use combgate_desk::keys::DeskCheck;
use combgate_desk::receiving::{Receiving, Which, receive};
use combgate_desk::store::{Act, Depot};
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery, label, unsealed_pail};
use serde_json::{Value, json};
use std::path::Path;

const DAY: &str = "2026-10-20";

fn a_day() -> (TestDesk, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M003", Some(100_000));
    handset.deliver(&delivery("bought"), "M005", None);
    import(&desk, &handset);
    (desk, handset)
}

fn import(desk: &TestDesk, handset: &TestHandset) -> Value {
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    let output = desk.command("import bundle.json --json").output().unwrap();
    assert!(output.status.code().unwrap() < 2);
    serde_json::from_slice(&output.stdout).unwrap()
}

fn day_book(desk: &TestDesk, day: &str) -> Value {
    desk.json(&format!("daybook --day {day}"), 0)
}

fn unchanged(desk: &TestDesk) -> bool {
    let days = desk.json("closed --entries", 0);
    days.as_array()
        .unwrap()
        .iter()
        .all(|day| day["unchanged"] == true)
}

#[test]
fn what_comes_late_lands_on_the_open_day_and_says_so() {
    let (desk, mut handset) = a_day();
    let closed = desk.json(&format!("close {DAY} --by Asha"), 1);
    assert_eq!(closed["closed"][0]["net_g"], 2 * 17_500);
    // It says what is still open, and closes all the same.
    assert_eq!(
        closed["officers_open"],
        json!([{"handset": "K1", "day": DAY}])
    );
    assert_eq!(closed["pails_on_the_way"].as_array().unwrap().len(), 2);
    let book = day_book(&desk, DAY);
    assert_eq!(book["closed"], true);
    // A receipt, a payment and a cancellation of the closed day come after all.
    handset.pay_latest();
    handset.deliver(&delivery("bought"), "M003", Some(0));
    handset.deliver(&delivery("bought"), "M003", Some(0));
    handset.cancel_latest();
    let imported = import(&desk, &handset);
    let found = imported[0]["findings"].as_array().unwrap();
    assert!(found.iter().any(|finding| finding["code"] == "booked-late"));
    assert_eq!(day_book(&desk, DAY)["total"], book["total"]);
    assert_eq!(
        day_book(&desk, DAY)["receipts"].as_array().unwrap().len(),
        2
    );
    assert!(unchanged(&desk));
    // They count today, which is open.
    let today = chrono::Local::now().date_naive().to_string();
    let open = day_book(&desk, &today);
    assert_eq!(open["total"]["receipts"], 2);
    assert_eq!(open["total"]["cancellations"], 1);
    assert_eq!(open["total"]["net_g"], 17_500);
    assert_eq!(open["receipts"][0]["late_from"], DAY);
    let statement = desk.json("member statement M003", 0);
    let lines = statement["lines"].as_array().unwrap();
    assert_eq!(lines[0]["late_from"], Value::Null);
    assert_eq!(
        (&lines[1]["day"], &lines[1]["late_from"]),
        (&json!(today), &json!(DAY))
    );
    // All days together are what the handset signed.
    let all = statement["total"]["net_g"].as_i64().unwrap();
    assert_eq!(all, 2 * 17_500);
    // The same bundle again changes nothing.
    import(&desk, &handset);
    assert_eq!(day_book(&desk, &today), open);
}

#[test]
fn days_are_closed_in_order_once_and_not_ahead() {
    let (desk, mut handset) = a_day();
    handset.sleep();
    handset.close();
    handset.open();
    handset.deliver(&delivery("bought"), "M003", None);
    import(&desk, &handset);
    let said = desk.printout("close 2099-01-01 --by Asha");
    assert!(
        said.starts_with("exit 2\n") && said.contains("is not over"),
        "{said}"
    );
    let closed = desk.json("close 2026-10-21 --by Asha", 1);
    assert_eq!(closed["closed"].as_array().unwrap().len(), 2);
    let again = desk.printout("close 2026-10-20 --by Asha");
    assert!(again.contains("closed up to 2026-10-21 already"), "{again}");
    assert!(unchanged(&desk));
}

/// The desk's own work counts on an open day too, when today is closed already.
#[test]
fn what_the_desk_does_after_closing_today_counts_tomorrow() {
    let (desk, _) = a_day();
    let today = chrono::Local::now().date_naive();
    desk.json(&format!("close {today} --by Asha"), 1);
    desk.done("pay propose --means cash --by Asha");
    desk.done("pay approve 1 --by Juma");
    let settled = desk.json("pay confirm 1 --by Juma", 0);
    let tomorrow = today.succ_opt().unwrap().to_string();
    assert_eq!(settled["payments"][0]["paid_day"], tomorrow);
    let reversed = desk.json("pay reverse 1 --reason sent-back --by Asha", 0);
    assert_eq!(reversed["payments"][0]["reversed_day"], tomorrow);
    let received = desk.json(
        "receive P-900 --gross 18.4 --no-seal --interval 10 --by Juma",
        1,
    );
    assert_eq!(received["day"], tomorrow);
    assert!(unchanged(&desk));
}

/// Source: the ledger itself, changed behind the program's back.
#[test]
fn a_closed_day_that_was_tampered_with_is_seen() {
    let (desk, _) = a_day();
    desk.json(&format!("close {DAY} --by Asha"), 1);
    let ledger = rusqlite::Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    ledger
        .execute("UPDATE closed_day SET net_g = net_g + 1", [])
        .unwrap();
    let days = desk.json("closed", 1);
    assert_eq!(days[0]["unchanged"], false);
    assert_eq!(desk.json("closed --entries", 1), days);
}

/// What was changed of the sums beside the entries is seen at once; of the entries, when they are
/// added up again. Source: the ledger itself, changed behind the program's back.
#[test]
fn entries_that_were_tampered_with_are_seen_when_they_are_added_up() {
    let (desk, _) = a_day();
    desk.json(&format!("close {DAY} --by Asha"), 1);
    assert_eq!(desk.json("closed --entries", 0)[0]["unchanged"], true);
    let said = desk.printout("closed --entries");
    assert!(said.contains("every signed entry added up again"), "{said}");
    let said = desk.printout("closed");
    assert!(said.contains("`combgate closed --entries`"), "{said}");
    let ledger = rusqlite::Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    let to = "UPDATE entry SET day = '2026-10-21' WHERE kind = 'receipt' AND seq = 3";
    assert_eq!(ledger.execute(to, []).unwrap(), 1);
    assert_eq!(desk.json("closed", 0)[0]["unchanged"], true);
    assert_eq!(desk.json("closed --entries", 1)[0]["unchanged"], false);
    let back = "UPDATE entry SET day = '2026-10-20' WHERE kind = 'receipt' AND seq = 3";
    ledger.execute(back, []).unwrap();
    let sums = "UPDATE day_total SET net_g = net_g - 1";
    assert_eq!(ledger.execute(sums, []).unwrap(), 1);
    assert_eq!(desk.json("closed", 1)[0]["unchanged"], false);
    assert_eq!(desk.json("closed --entries", 1)[0]["unchanged"], false);
}

/// By hand: 500,000.00 counted in, so much paid out as the two receipts say, 3,000.00 given later.
#[test]
fn an_officers_cash_and_pails() {
    let (desk, mut handset) = a_day();
    let paid: i64 = handset
        .receipts()
        .map(|receipt| receipt.settlement.paid_minor)
        .sum();
    let open = desk.json(&format!("reconcile --day {DAY}"), 0);
    assert_eq!(open[0]["cash"]["counted_minor"], Value::Null);
    assert_eq!(open[0]["findings"][0]["code"], "officer-day-open");
    handset.close();
    import(&desk, &handset);
    let even = desk.json(&format!("reconcile --day {DAY} --handset K1"), 0);
    assert_eq!(even[0]["officer"], "Neema Osale");
    assert_eq!(even[0]["cash"]["paid_minor"], paid);
    assert_eq!(even[0]["cash"]["expected_minor"], 50_000_000 - paid);
    assert_eq!(even[0]["cash"]["difference_minor"], 0);
    assert_eq!(even[0]["pails"]["on_the_way"], 2);
    assert_eq!(even[0]["findings"], json!([]));
    // Given and not counted: it is missing in the box.
    desk.done(&format!(
        "cash --handset K1 --day {DAY} --amount 3000 --by Asha"
    ));
    let short = desk.json(&format!("reconcile --day {DAY}"), 1);
    assert_eq!(short[0]["cash"]["difference_minor"], -300_000);
    assert_eq!(short[0]["findings"][0]["code"], "cash-short");
    assert!(
        short[0]["findings"][0]["sentence"]
            .as_str()
            .unwrap()
            .starts_with("KES 3000.00 are missing")
    );
    desk.done(&format!(
        "cash --handset K1 --day {DAY} --amount -4000.50 --by Asha"
    ));
    let over = desk.json(&format!("reconcile --day {DAY}"), 1);
    assert_eq!(over[0]["cash"]["difference_minor"], 100_050);
    assert_eq!(over[0]["findings"][0]["code"], "cash-over");
}

/// Once one pail of a day is in the store, those that did not come with it are asked for.
#[test]
fn a_pail_that_did_not_come_is_missing() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    let mut two = delivery("bought");
    two.pails.push(two.pails[0].clone());
    two.pails[1].number = common::handset::code("P-102");
    two.pails[1].seal = Some(common::handset::code("S-0102"));
    handset.deliver(&two, "M003", None);
    handset.close();
    import(&desk, &handset);
    desk.done(
        "receive P-101 --gross 18.4 --seal S-0101 --interval 10 --known 5 --shown 5 --by Juma",
    );
    let day = desk.json(&format!("reconcile --day {DAY}"), 1);
    assert_eq!(day[0]["pails"]["received"], 1);
    assert_eq!(day[0]["findings"][0]["code"], "pail-missing");
    let said = desk.printout(&format!("reconcile --day {DAY}"));
    assert!(
        said.contains("pail P-102 of K1-26-00001 did not come"),
        "{said}"
    );
    let nobody = desk.printout(&format!("reconcile --day {DAY} --handset K9"));
    assert!(nobody.starts_with("exit 2\n"), "{nobody}");
}

/// A pail that came to the store before its bundle is found by it, although the day of its paper was
/// closed meanwhile and the paper counts on a later day.
#[test]
fn a_pail_waits_for_a_paper_that_comes_late() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M003", None);
    let mut store = desk.store();
    let evening = |day| format!("2026-10-{day}T18:00:00+03:00").parse().unwrap();
    let receiving = Receiving {
        pail: delivery("bought").pails[0].number.clone(),
        which: Which::Expected,
        found: unsealed_pail("Juma Bakari"),
        again: None,
    };
    let waits = receive(&mut store, &receiving, evening(20)).unwrap();
    assert_eq!(waits.row.paper, None);
    let (day, act) = (
        DAY.parse().unwrap(),
        Act {
            by: label("Asha"),
            at: evening(21),
        },
    );
    close(&mut store, day, &act, "2026-10-21".parse().unwrap()).unwrap();
    let bundle = handset.bundle(1..=u64::MAX).into_bytes();
    let name = Path::new("bundle.json");
    import_bytes(&mut store, &DeskCheck, name, bundle, evening(22)).unwrap();
    assert_eq!(store.unmatched().unwrap(), []);
}
