//! A reversal that was decided on is carried out by another person, in the books and on the page.

use super::add_accounts;
use super::browser::Browser;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery};
use axum::http::StatusCode;
use serde_json::Value;

/// A desk where a receipt of an unknown member owes all of its value, and the finding on it.
fn questioned() -> (TestDesk, String, i64) {
    let (desk, id, owed, _) = questioned_by();
    (desk, id, owed)
}

/// The same, and the handset that issued it.
fn questioned_by() -> (TestDesk, String, i64, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let people = [
        ("neema", "bookkeeper"),
        ("imani", "bookkeeper"),
        ("zawadi", "approver"),
    ];
    add_accounts(&desk, &people);
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M404", Some(0));
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    assert!(desk.printout("import bundle.json").starts_with("exit 1"));
    let found = desk.json("findings", 1);
    let unknown = found
        .as_array()
        .unwrap()
        .iter()
        .find(|each| each["code"] == "member-unknown");
    let id = unknown.unwrap()["id"].as_str().unwrap().to_owned();
    let owed = desk.json("pay list", 0)["receipts"][0]["owed_minor"]
        .as_i64()
        .unwrap();
    assert!(owed > 0);
    (desk, id, owed, handset)
}

fn statement(desk: &TestDesk) -> Value {
    desk.json("member statement M404", 0)
}

fn lines(desk: &TestDesk) -> Vec<(String, i64)> {
    let statement = statement(desk);
    let lines = statement["lines"].as_array().unwrap().iter();
    let line = |line: &Value| {
        let kind = line["kind"].as_str().unwrap().to_owned();
        (
            kind,
            line["sums"]["payable_minor"]
                .as_i64()
                .unwrap_or_else(|| line["payable_minor"].as_i64().unwrap()),
        )
    };
    lines.map(line).collect()
}

#[tokio::test]
async fn a_debt_is_reversed_by_another_person_and_can_be_owed_again() {
    let (desk, id, owed) = questioned();
    let mut neema = Browser::at(desk.path("desk"), None);
    neema.sign_in("neema").await;
    let at = format!("/findings/{id}");
    let act = format!("{at}/reverse");
    let what = [
        ("debt", "yes"),
        ("payments", "yes"),
        ("reason", "Nobody of that number came."),
    ];
    // Nobody decided on it yet.
    let mut zawadi = neema.another();
    zawadi.sign_in("zawadi").await;
    let early = zawadi.fill(&at, &act, &what).await;
    assert_eq!(
        early.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        early.text
    );
    let decide = [("step", "reverse"), ("words", "The member does not exist.")];
    neema.fill(&at, &at, &decide).await;
    // Who decided does not carry it out, on the page or by command.
    let own = neema.fill(&at, &act, &what).await;
    assert_eq!(own.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        neema
            .get(&at)
            .await
            .says("and never neema, who decided on it")
    );
    assert_eq!(lines(&desk).len(), 1);
    let done = zawadi.fill(&at, &act, &what).await;
    assert_eq!(done.header("location"), at, "{}", done.text);
    let page = zawadi.get(&at).await;
    assert!(page.says("Debt reversed"), "{}", page.text);
    assert_eq!(
        lines(&desk),
        [
            ("bought".to_owned(), owed),
            ("debt_reversed".to_owned(), -owed)
        ]
    );
    assert_eq!(statement(&desk)["owed_after_minor"], 0);
    assert_eq!(desk.json("pay list", 0)["receipts"], serde_json::json!([]));
    // It is settled, and linked both ways.
    let findings = desk.json("findings --all", 0);
    let found = findings
        .as_array()
        .unwrap()
        .iter()
        .find(|each| each["id"] == id.as_str());
    assert_eq!(found.unwrap()["settled"], true);
    assert_eq!(found.unwrap()["reversals"][0]["minor"], owed);
    let twice = zawadi.fill(&at, &act, &what).await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);

    // Undone by somebody else than who reversed; then it is owed, and questioned, as before.
    let undo = format!("{at}/undo");
    let why = [("reason", "He came with his card.")];
    let own = zawadi.fill(&at, &undo, &why).await;
    assert_eq!(own.status, StatusCode::UNPROCESSABLE_ENTITY);
    let done = neema.fill(&at, &undo, &why).await;
    assert_eq!(done.header("location"), at, "{}", done.text);
    assert_eq!(statement(&desk)["owed_after_minor"], owed);
    assert_eq!(
        desk.json("pay list", 0)["receipts"][0]["state"],
        "questioned"
    );
    assert_eq!(lines(&desk).len(), 3);
}

/// An officer who does not know of it pays what the desk no longer owes: that is found, and the
/// overview owes nothing.
#[tokio::test]
async fn who_pays_a_reversed_debt_is_asked() {
    let (desk, id, owed, mut handset) = questioned_by();
    desk.done(&format!(
        "settle {id} --step reverse --words no-member --by neema"
    ));
    desk.done(&format!(
        "reverse {id} --what debt --reason no-member --by zawadi"
    ));
    let mut neema = Browser::at(desk.path("desk"), None);
    neema.sign_in("neema").await;
    let day = handset.now().date_naive();
    let overview = neema.get("/").await;
    assert!(
        overview.says(&day.to_string()) && overview.says(">0.00<"),
        "{}",
        overview.text
    );
    let book = desk.json(&format!("daybook --day {day}"), 0);
    assert_eq!(book["receipts"][0]["owed_minor"], 0);
    assert_eq!(book["receipts"][0]["payable_minor"], owed);

    handset.pay_latest();
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    assert!(desk.printout("import bundle.json").starts_with("exit 1"));
    let found = desk.json("findings", 1);
    let mut codes = found.as_array().unwrap().iter().map(|each| &each["code"]);
    assert!(codes.any(|code| code == "paid-too-much"), "{found}");
    assert_eq!(desk.json("pay list", 0)["receipts"], serde_json::json!([]));
}

/// By command: the desk paid despite the finding, and takes it back with the debt.
#[tokio::test]
async fn a_payment_of_the_desk_is_reversed_with_what_it_paid() {
    let (desk, id, owed) = questioned();
    let number = desk.json("pay list", 0)["receipts"][0]["receipt"]
        .as_str()
        .unwrap()
        .to_owned();
    desk.done(&format!(
        "pay propose --means cash --receipt {number} --despite urgent --by imani"
    ));
    desk.done("pay approve 1 --by zawadi");
    desk.done("pay confirm 1 --by imani");
    desk.done(&format!(
        "settle {id} --step reverse --words no-member --by neema"
    ));
    // The money is reversed by another person than who said that it went out.
    let own = desk.printout(&format!("reverse {id} --what all --reason x --by imani"));
    assert!(own.starts_with("exit 2"), "{own}");
    assert_eq!(desk.json("pay show 1", 0)["payments"][0]["state"], "paid");
    let told = desk.json(
        &format!("reverse {id} --what all --reason no-member --by zawadi"),
        0,
    );
    assert_eq!(told["reversals"].as_array().unwrap().len(), 2);
    assert_eq!(told["reversals"][0]["payment"], 1);
    assert_eq!(told["reversals"][1]["minor"], owed);
    assert_eq!(
        desk.json("pay show 1", 0)["payments"][0]["state"],
        "reversed"
    );
    let after = statement(&desk);
    assert_eq!(after["owed_after_minor"], 0);
    let kinds: Vec<String> = lines(&desk).into_iter().map(|(kind, _)| kind).collect();
    assert_eq!(
        kinds,
        ["bought", "paid_by_desk", "reversed", "debt_reversed"]
    );
}

#[tokio::test]
async fn what_is_on_no_receipt_is_left_to_the_officer() {
    let (desk, _, _) = questioned();
    let found = desk.json("findings --all", 1);
    let other = found
        .as_array()
        .unwrap()
        .iter()
        .find(|each| each["number"].is_null());
    if let Some(other) = other {
        let id = other["id"].as_str().unwrap();
        desk.done(&format!("settle {id} --step reverse --words x --by neema"));
        let said = desk.printout(&format!("reverse {id} --what debt --reason x --by zawadi"));
        assert!(said.contains("not on a receipt"), "{said}");
    }
    let nobody = desk.printout("reverse 0123456789abcdef --what debt --reason x --by zawadi");
    assert!(nobody.contains("there is no finding"), "{nobody}");
}
