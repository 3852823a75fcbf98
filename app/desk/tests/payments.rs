//! What is owed, from the gate to the provider of mobile money and back, by the desk's commands.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use combgate_desk::store::{Account, Clerks, Role};
use common::desk::TestDesk;
use common::handset::{TestHandset, code, delivery};
use serde_json::{Value, json};

/// Receipts of members M001 and M002 (with telephones) and M003 (without), all owed in part.
fn owing() -> (TestDesk, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let members = desk.read("fixtures/cooperative/members.csv");
    let members = members
        .replace(
            "M001,Asha Mrembwe,Kilindo,,",
            "M001,Asha Mrembwe,Kilindo,+254 700 000 001,",
        )
        .replace(
            "M002,Baraka Othuma,Kilindo,,",
            "M002,Baraka Othuma,Kilindo,0700-000 002,",
        );
    desk.write("fixtures/cooperative/members.csv", &members);
    desk.done("init desk --from fixtures/cooperative");
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    for member in ["M001", "M002", "M003"] {
        handset.deliver(&delivery("bought"), member, Some(100_000));
    }
    import(&desk, &handset);
    (desk, handset)
}

fn import(desk: &TestDesk, handset: &TestHandset) {
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    let output = desk.command("import bundle.json").output().unwrap();
    assert!(output.status.code().unwrap() < 2);
}

fn owed(desk: &TestDesk) -> i64 {
    let list = desk.json("pay list", 0);
    let receipts = list["receipts"].as_array().unwrap();
    receipts
        .iter()
        .map(|receipt| receipt["owed_minor"].as_i64().unwrap())
        .sum()
}

fn said(desk: &TestDesk, command: &str, exit: i32) -> String {
    let said = desk.printout(command);
    assert!(
        said.starts_with(&format!("exit {exit}\n")),
        "{command}: {said}"
    );
    said
}

/// A handset out of use may still hold good signatures: what it wrote afterwards is not paid before
/// somebody looked.
#[test]
fn what_a_lost_handset_wrote_later_is_not_paid() {
    let (desk, mut handset) = owing();
    let account = Account {
        name: code("asha"),
        role: Role::Approver,
        password: "no hash, so nobody signs in".to_owned(),
        made_at: handset.now(),
        removed_at: None,
    };
    assert!(desk.store().keep_account(&account).unwrap());
    let lost = (handset.now() + chrono::Duration::seconds(30)).to_rfc3339();
    desk.done(&format!(
        "revoke --handset K1 --from {lost} --cause lost --words bus --by asha"
    ));
    handset.deliver(&delivery("bought"), "M003", Some(0));
    import(&desk, &handset);
    let owing = desk.json("pay list", 0);
    let states: Vec<&Value> = owing["receipts"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|each| each["member"] == "M003")
        .map(|each| &each["state"])
        .collect();
    assert_eq!(states, ["to_pay", "questioned"]);
    let refused = said(
        &desk,
        "pay propose --means cash --receipt K1-26-00004 --by Asha",
        1,
    );
    assert!(refused.contains("out of use"), "{refused}");
}

/// The officer cannot know what the desk paid: giving back what was paid at the gate is right.
#[test]
fn a_receipt_cancelled_after_the_desk_paid_accuses_nobody() {
    let (desk, mut handset) = owing();
    desk.done("pay propose --means cash --by Asha");
    desk.done("pay approve 1 --by Juma");
    desk.done("pay confirm 1 --by Asha");
    handset.cancel_latest();
    import(&desk, &handset);
    let findings = desk.json("findings", 0);
    assert!(
        !findings.to_string().contains("cancellation-differs"),
        "{findings}"
    );
    let list = desk.json("pay list", 0);
    assert_eq!(list["get_back"][0]["receipt"], "K1-26-00003", "{list}");
}

#[test]
fn from_owed_to_paid_with_two_people() {
    let (desk, _) = owing();
    let all = owed(&desk);
    let list = desk.json("pay list", 0);
    let states: Vec<&Value> = list["receipts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|each| &each["state"])
        .collect();
    assert_eq!(states, ["to_pay", "to_pay", "to_pay"]);
    let proposed = desk.json("pay propose --means mobile-money --by Asha", 0);
    assert_eq!(proposed["payments"].as_array().unwrap().len(), 2);
    assert!(proposed["approved_by"].is_null());
    // What stands on a list is not proposed again.
    said(&desk, "pay propose --means mobile-money --by Asha", 2);
    // Nothing goes out before another person approved.
    said(&desk, "pay export 1 --out pay.csv", 2);
    said(&desk, "pay confirm 1 --reference QX-1 --by Asha", 2);
    let refused = said(&desk, "pay approve 1 --by ASHA", 1);
    assert!(refused.contains("ASHA proposed this list"), "{refused}");
    desk.done("pay approve 1 --by Juma");
    let again = said(&desk, "pay approve 1 --by Baraka", 1);
    assert!(again.contains("was approved by Juma"), "{again}");
    let sum = proposed["minor"].as_i64().unwrap();
    let exported = desk.json("pay export 1 --out pay.csv", 0);
    assert_eq!(exported["minor"], sum);
    assert!(
        exported["holds"]
            .as_str()
            .unwrap()
            .contains("personal data")
    );
    assert_eq!(exported["holds"], desk.read("pay.csv.about.txt"));
    said(&desk, "pay confirm 1 --by Juma", 2);
    let settled = desk.json("pay confirm 1 --reference QX-1 --by Juma", 0);
    assert_eq!(settled["paid_minor"], sum);
    assert_eq!(owed(&desk), all - sum);
    said(&desk, "pay confirm 1 --reference QX-2 --by Juma", 2);
    // The day book owes less; the officer's own figures stay as they were.
    let book = desk.json("daybook --day 2026-10-20", 0);
    let left: i64 = book["receipts"]
        .as_array()
        .unwrap()
        .iter()
        .map(|receipt| receipt["owed_minor"].as_i64().unwrap())
        .sum();
    assert_eq!(left, all - sum);
    // A reversal by another person than who settled it; then it is owed and payable again.
    said(&desk, "pay reverse 1 --reason sent-back --by juma", 1);
    let reversed = desk.json("pay reverse 1 --reason sent-back --by Asha", 0);
    assert_eq!(reversed["payments"][0]["state"], "reversed");
    assert_eq!(reversed["payments"][0]["reference"], "QX-1");
    assert_eq!(owed(&desk), all);
    assert_eq!(
        desk.json("pay propose --means mobile-money --by Asha", 0)["list"],
        2
    );
}

/// Source: the export is read with the reader of the same format, and each cell compared.
#[test]
fn the_file_for_the_provider() {
    let (desk, _) = owing();
    desk.done("pay propose --means mobile-money --by Asha");
    desk.done("pay approve 1 --by Juma");
    desk.done("pay export 1 --out pay.csv");
    let text = desk.read("pay.csv");
    assert!(text.ends_with("\r\n"));
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    assert_eq!(
        headings,
        [
            "list",
            "payment",
            "receipt",
            "member",
            "name",
            "telephone",
            "amount",
            "currency"
        ]
    );
    let view = desk.json("pay show 1", 0);
    let payments = view["payments"].as_array().unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), payments.len());
    for (row, payment) in rows.iter().zip(payments) {
        assert_eq!(&row[2], payment["receipt"].as_str().unwrap());
        let minor = payment["minor"].as_i64().unwrap();
        assert_eq!(row[6], format!("{}.{:02}", minor / 100, minor % 100));
        assert_eq!(&row[7], "KES");
        assert!(
            row[5].bytes().all(|byte| byte.is_ascii_digit()),
            "{}",
            &row[5]
        );
        assert!(
            row.iter()
                .all(|cell| !cell.starts_with(['=', '+', '-', '@']))
        );
    }
}

/// Names and numbers come from people: one that a spreadsheet would run is made harmless.
#[test]
fn a_name_is_never_a_formula() {
    let desk = TestDesk::with_open_prices();
    let members = desk.read("fixtures/cooperative/members.csv");
    let mut lines: Vec<String> = members.lines().map(str::to_owned).collect();
    lines[1] = "M001,\"=HYPERLINK(\"\"x\"\",\"\"y\"\")\",,+254 700 000 001,,,,".to_owned();
    desk.write(
        "fixtures/cooperative/members.csv",
        &(lines.join("\n") + "\n"),
    );
    desk.done("init desk --from fixtures/cooperative");
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M001", Some(0));
    import(&desk, &handset);
    desk.done("pay propose --means mobile-money --by Asha");
    desk.done("pay approve 1 --by Juma");
    desk.done("pay export 1 --out pay.csv");
    let text = desk.read("pay.csv");
    assert!(
        text.contains(",\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\",254700000001,"),
        "{text}"
    );
}

/// An officer pays or cancels while a list waits: it is not approved with a receipt that changed.
#[test]
fn what_changed_since_is_not_approved() {
    let (desk, mut handset) = owing();
    desk.done("pay propose --means cash --receipt K1-26-00003 --receipt K1-26-00002 --by Asha");
    handset.pay_latest();
    import(&desk, &handset);
    let refused = said(&desk, "pay approve 1 --by Juma", 1);
    assert!(refused.contains("receipt K1-26-00003"), "{refused}");
    desk.done("pay reverse 1 --receipt K1-26-00003 --reason paid-by-officer --by Asha");
    desk.done("pay approve 1 --by Juma");
    desk.done("pay confirm 1 --by Juma");
    let list = desk.json("pay list", 0);
    assert_eq!(list["receipts"].as_array().unwrap().len(), 1);
}

/// Money that went out before a cancellation came is written down all the same, and asked back.
#[test]
fn what_was_paid_and_then_cancelled_is_asked_back() {
    let (desk, mut handset) = owing();
    desk.done("pay propose --means cash --receipt K1-26-00003 --by Asha");
    desk.done("pay approve 1 --by Juma");
    handset.cancel_latest();
    import(&desk, &handset);
    desk.done("pay confirm 1 --by Juma");
    let list = desk.json("pay list", 0);
    assert_eq!(list["get_back"][0]["receipt"], "K1-26-00003");
    desk.done("pay reverse 1 --reason money-came-back --by Asha");
    assert_eq!(desk.json("pay list", 0)["get_back"], json!([]));
}

/// What is seriously questioned is not proposed; only with a reason, which stays on it.
#[test]
fn what_is_questioned_waits() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M404", Some(0));
    import(&desk, &handset);
    let list = desk.json("pay list", 0);
    assert_eq!(list["receipts"][0]["state"], "questioned");
    assert_eq!(list["receipts"][0]["serious"], json!(["member-unknown"]));
    said(&desk, "pay propose --means cash --by Asha", 2);
    let refused = said(
        &desk,
        "pay propose --means cash --receipt K1-26-00001 --by Asha",
        1,
    );
    assert!(refused.contains("is questioned: member M404"), "{refused}");
    let proposed = desk.json(
        "pay propose --means cash --receipt K1-26-00001 --despite identified --by Asha",
        0,
    );
    assert_eq!(proposed["payments"][0]["despite"], "identified");
    desk.done("pay approve 1 --by Juma");
}

#[test]
fn a_members_statement_adds_up() {
    let (desk, mut handset) = owing();
    handset.pay_latest();
    handset.sleep();
    handset.close();
    handset.open();
    handset.deliver(&delivery("bought"), "M003", Some(50_000));
    handset.cancel_latest();
    handset.deliver(&delivery("bought"), "M003", Some(50_000));
    import(&desk, &handset);
    desk.done("pay propose --means cash --receipt K1-26-00005 --by Asha");
    desk.done("pay approve 1 --by Juma");
    desk.done("pay confirm 1 --by Juma");
    let whole = desk.json("member statement M003", 0);
    let kinds: Vec<&str> = whole["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["kind"].as_str().unwrap())
        .collect();
    assert_eq!(
        kinds,
        [
            "bought",
            "paid_by_officer",
            "bought",
            "cancelled",
            "bought",
            "paid_by_desk"
        ]
    );
    assert_eq!(whole["total"]["net_g"], 2 * 17_500);
    assert_eq!(whole["owed_after_minor"], 0);
    assert_eq!(whole["grades"][0]["net_g"], 2 * 17_500);
    // Cut in two, the second begins with what the first left.
    let first = desk.json("member statement M003 --to 2026-10-20", 0);
    let rest = desk.json("member statement M003 --from 2026-10-21", 0);
    assert_eq!(first["owed_after_minor"], rest["owed_before_minor"]);
    let payable = |part: &Value| part["total"]["payable_minor"].as_i64().unwrap();
    assert_eq!(payable(&first) + payable(&rest), payable(&whole));
    let paper = desk.done("member statement M003");
    assert!(paper.contains("Statement of member M003, "), "{paper}");
    assert!(paper.contains("cancelled"), "{paper}");
    said(&desk, "member statement M404", 2);
    said(
        &desk,
        "member statement M003 --from 2026-10-21 --to 2026-10-20",
        2,
    );
}

/// Two desks at work on one ledger cannot pay one receipt twice.
#[test]
fn two_programs_at_once_pay_once() {
    let (desk, _) = owing();
    let mut running: Vec<std::process::Child> = (0..6)
        .map(|_| {
            std::process::Command::new(env!("CARGO_BIN_EXE_combgate"))
                .arg("--desk")
                .arg(desk.path("desk"))
                .args("pay propose --means cash --receipt K1-26-00002 --by Asha".split(' '))
                .stdout(std::process::Stdio::null())
                .stderr(std::process::Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    let done = running
        .iter_mut()
        .filter_map(|each| each.wait().unwrap().success().then_some(()))
        .count();
    assert_eq!(done, 1);
    assert_eq!(
        desk.json("pay show 1", 0)["payments"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
}

/// A ledger of the first program knows no officers' payments by receipt; they are read out of its
/// entries.
#[test]
fn an_older_ledger_learns_what_officers_paid() {
    let (desk, mut handset) = owing();
    handset.pay_latest();
    import(&desk, &handset);
    let before = desk.json("member statement M003", 0);
    assert_eq!(before["lines"][1]["kind"], "paid_by_officer");
    let ledger = rusqlite::Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
    common::desk::back_to_step_one(&ledger);
    drop(ledger);
    assert_eq!(desk.json("member statement M003", 0), before);
}
