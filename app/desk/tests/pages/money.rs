//! From the pail at the store to the member's money, through the pages, by the people whose work it
//! is.

use super::add_accounts;
use super::browser::Browser;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery};
use axum::http::StatusCode;

/// A desk with three accounts, and a day of handset K1 on which two members are owed.
pub(crate) fn owing() -> (TestDesk, Browser) {
    let desk = TestDesk::with_open_prices();
    let members = desk.read("fixtures/cooperative/members.csv");
    let members = members.replace(
        "M001,Asha Mrembwe,Kilindo,,",
        "M001,Asha Mrembwe,Kilindo,+254 700 000 001,",
    );
    desk.write("fixtures/cooperative/members.csv", &members);
    desk.done("init desk --from fixtures/cooperative");
    let people = [
        ("neema", "bookkeeper"),
        ("baraka", "receiver"),
        ("zawadi", "approver"),
    ];
    add_accounts(&desk, &people);
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M001", Some(100_000));
    handset.deliver(&delivery("bought"), "M003", Some(100_000));
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    desk.done("import bundle.json");
    let browser = Browser::at(desk.path("desk"), None);
    (desk, browser)
}

/// Both of the day's pails bear one number, so the paper is named.
const PAIL: [(&str, &str); 7] = [
    ("pail", "P-101"),
    ("gross", "18.2"),
    ("seen", "whole"),
    ("seal", "S-0101"),
    ("interval", "10"),
    ("known", "5"),
    ("shown", "5"),
];

#[tokio::test]
async fn a_pail_is_received_by_the_receiver() {
    let (_desk, mut browser) = owing();
    browser.sign_in("neema").await;
    // Not a bookkeeper's work: the form is not there, and sending it changes nothing.
    let page = browser.get("/receiving").await;
    assert!(page.says("Who receives pails: Receiver."), "{}", page.text);
    let token = browser.get("/receiving").await.token();
    let mut fields = vec![("token", token.as_str())];
    fields.extend(PAIL);
    let refused = browser.post("/receiving", &fields).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN, "{}", refused.text);

    let mut browser = browser.another();
    browser.sign_in("baraka").await;
    let page = browser.get("/receiving").await;
    assert!(page.says("P-101"), "{}", page.text);
    let several = browser.fill("/receiving", "/receiving", &PAIL).await;
    assert_eq!(several.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        several.says("expected from several papers"),
        "{}",
        several.text
    );
    let mut named = PAIL.to_vec();
    named.push(("paper", "K1-26-00001"));
    let done = browser.fill("/receiving", "/receiving", &named).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let page = browser.get(done.header("location")).await;
    assert!(
        page.says("Lighter than scales and shrink explain"),
        "{}",
        page.text
    );
    assert!(page.says("Nothing is taken off"), "{}", page.text);
    browser.language = "sw";
    let page = browser.get("/receiving").await;
    assert!(page.says("Nyepesi kuliko mizani"), "{}", page.text);
    // What went wrong speaks the page's language, and advises what can be done on it.
    let mut wrong = PAIL.to_vec();
    wrong.retain(|(field, _)| *field != "gross");
    wrong.push(("gross", "18,4"));
    let refused = browser.fill("/receiving", "/receiving", &wrong).await;
    let told =
        refused.says("Ndoo iliyojaa, kg: ") && refused.says("18,4") && refused.says("si tarakimu");
    assert!(told, "{}", refused.text);
    assert!(refused.says("Andika tarakimu") && !refused.says("<p lang=\"en\""));
    assert_eq!(
        browser.get("/receiving/99").await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn two_people_pay_what_is_owed_and_one_takes_it_back() {
    let (_desk, mut neema) = owing();
    neema.sign_in("neema").await;
    let page = neema.get("/payments").await;
    assert!(page.says("Asha Mrembwe"), "{}", page.text);
    let made = neema
        .fill("/payments", "/payments", &[("means", "mobile")])
        .await;
    assert_eq!(made.header("location"), "/payments/1", "{}", made.text);
    // The file is not there before somebody else approved, nor may the proposer approve.
    assert_eq!(
        neema.get("/payments/1/file").await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let own = neema.fill("/payments/1", "/payments/1/approve", &[]).await;
    assert_eq!(own.status, StatusCode::FORBIDDEN, "{}", own.text);
    let mut zawadi = neema.another();
    zawadi.sign_in("zawadi").await;
    let done = zawadi.fill("/payments/1", "/payments/1/approve", &[]).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    // An approver does not pay.
    let paid = zawadi
        .fill(
            "/payments/1",
            "/payments/1/confirm",
            &[("reference", "QX-1")],
        )
        .await;
    assert_eq!(paid.status, StatusCode::FORBIDDEN, "{}", paid.text);
    let file = neema.get("/payments/1/file").await;
    assert_eq!(file.header("content-type"), "text/csv; charset=utf-8");
    assert!(file.text.contains(",254700000001,"), "{}", file.text);
    let without = neema.fill("/payments/1", "/payments/1/confirm", &[]).await;
    assert_eq!(without.status, StatusCode::UNPROCESSABLE_ENTITY);
    let paid = neema
        .fill(
            "/payments/1",
            "/payments/1/confirm",
            &[("reference", "QX-1")],
        )
        .await;
    assert_eq!(paid.status, StatusCode::SEE_OTHER, "{}", paid.text);
    let page = neema.get("/payments/1").await;
    assert!(page.says("QX-1") && page.says("paid"), "{}", page.text);
    // The one who said that it went out does not say that it did not.
    let back = [("reason", "The number was another's")];
    let own = neema
        .fill("/payments/1", "/payments/1/reverse", &back)
        .await;
    assert_eq!(own.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", own.text);
    let done = zawadi
        .fill("/payments/1", "/payments/1/reverse", &back)
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "{}", done.text);
    let page = neema.get("/members/M001").await;
    assert!(page.says("paid by the desk"), "{}", page.text);
    assert!(page.says("payment reversed"), "{}", page.text);
}

/// A finding that a bookkeeper accepted bars a payment no longer; one that is disputed does.
#[tokio::test]
async fn what_was_accepted_is_paid_and_what_is_disputed_is_not() {
    let desk = TestDesk::with_open_prices();
    add_accounts(&desk, &[("neema", "bookkeeper")]);
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M404", Some(0));
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    assert!(desk.printout("import bundle.json").starts_with("exit 1"));
    let state = || desk.json("pay list", 0)["receipts"][0]["state"].clone();
    assert_eq!(state(), "questioned");
    let mut browser = Browser::at(desk.path("desk"), None);
    browser.sign_in("neema").await;
    let found = desk.json("findings", 1);
    let at = format!("/findings/{}", found[0]["id"].as_str().unwrap());
    let accept = [
        ("step", "accept"),
        ("words", "It is M003, he showed his card."),
    ];
    browser.fill(&at, &at, &accept).await;
    assert_eq!(state(), "to_pay");
    let dispute = [("step", "dispute"), ("words", "The card was another's.")];
    browser.fill(&at, &at, &dispute).await;
    assert_eq!(state(), "questioned");
}

#[tokio::test]
async fn a_members_account_is_shown_over_any_days() {
    let (_desk, mut browser) = owing();
    browser.sign_in("baraka").await;
    let page = browser.get("/members").await;
    assert!(
        page.links("/members/")
            .contains(&"/members/M003".to_owned())
    );
    let page = browser.get("/members/M003").await;
    assert!(page.says("K1-26-00002"), "{}", page.text);
    assert!(page.says("Chausiku Nandere, Mtoni Juu"), "{}", page.text);
    let later = browser.get("/members/M003?from=2026-10-21&to=").await;
    assert!(!later.says("K1-26-00002"), "{}", later.text);
    assert_eq!(
        browser.get("/members/M404").await.status,
        StatusCode::NOT_FOUND
    );
    browser.language = "sw";
    let page = browser.get("/members/M003").await;
    assert!(page.says("imenunuliwa"), "{}", page.text);
}
