//! A phone that was lost and one that was replaced: what each wrote before stands, what it wrote
//! later is questioned, and the phone that takes its place is believed from its first entry on.

use super::browser::Browser;
use super::common::desk::TestDesk;
use super::common::handset::{TestHandset, delivery};
use super::{add_accounts, browser::Page};
use axum::http::StatusCode;
use serde_json::{Value, json};

/// Two phones of one officer's work: K1 bought on 20 October and went on buying, K2 is new.
fn two_phones() -> (TestDesk, Browser, TestHandset, TestHandset) {
    let desk = TestDesk::with_open_prices();
    add_accounts(&desk, &[("neema", "bookkeeper"), ("zawadi", "approver")]);
    let mut old = TestHandset::enrol(&desk, "K1");
    old.open();
    old.deliver(&delivery("bought"), "M001", None);
    let new = TestHandset::enrol(&desk, "K2");
    let browser = Browser::at(desk.path("desk"), None);
    (desk, browser, old, new)
}

fn import(desk: &TestDesk, handset: &TestHandset, exit: i32) -> Value {
    desk.write("bundle.json", &handset.bundle(1..=u64::MAX));
    desk.json("import bundle.json", exit)
}

async fn take_out(browser: &mut Browser, fields: &[(&str, &str)]) -> Page {
    let at = "/handsets/K1";
    browser.fill(at, at, fields).await
}

/// The same of each finding, so that they can be counted.
fn codes(found: &Value) -> Vec<(&str, &str, u64)> {
    let found = found.as_array().unwrap().iter();
    let told = found.map(|each| {
        let text = |name: &str| each[name].as_str().unwrap();
        (text("handset"), text("code"), each["seq"].as_u64().unwrap())
    });
    told.collect()
}

#[tokio::test]
async fn a_replaced_phone_is_followed_by_the_one_that_took_its_place() {
    let (desk, mut browser, mut old, mut new) = two_phones();
    import(&desk, &old, 0);
    browser.sign_in("zawadi").await;
    // The moment after its last honest entry, by the clock of this machine as the page's field has it.
    let last = old.entries.last().unwrap().at() + chrono::TimeDelta::seconds(1);
    let moment = last.with_timezone(&chrono::Local);
    let from = moment.format("%Y-%m-%dT%H:%M:%S").to_string();
    let words = ("words", "The glass broke.");
    let (cause, from) = (("cause", "replaced"), ("from", from.as_str()));
    for (wrong, why) in [
        ("", "it is not said which handset takes its place"),
        ("K1", "cannot take its own place"),
        ("K9", "no handset"),
    ] {
        let page = take_out(&mut browser, &[cause, from, ("replacement", wrong), words]).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert!(page.says(why), "{wrong}: {}", page.text);
    }
    assert!(desk.json("handsets", 0)[0]["out_of_use"].is_null());
    let page = take_out(&mut browser, &[cause, from, ("replacement", "K2"), words]).await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    let page = browser.get("/handsets/K1").await;
    assert!(page.says("Out of use (replaced) from"), "{}", page.text);
    assert!(page.says("Handset K2 took its place"), "{}", page.text);
    assert_eq!(page.links("/handsets/K2").len(), 1);
    let told = desk.json("handsets", 0);
    assert_eq!(told[0]["out_of_use"], "replaced");
    assert_eq!(told[0]["replaced_by"], "K2");
    assert_eq!(told[1]["replaced_by"], Value::Null);
    let said = desk.done("handsets");
    assert!(said.contains("replaced by K2"), "{said}");
    // What it wrote before stands.
    assert_eq!(desk.json("findings", 0), json!([]));
    // The new phone begins its own series with nothing to question; the old one goes on in vain.
    new.open();
    new.deliver(&delivery("bought"), "M003", None);
    import(&desk, &new, 0);
    assert_eq!(desk.json("findings --handset K2", 0), json!([]));
    old.deliver(&delivery("bought"), "M005", None);
    let said = import(&desk, &old, 1);
    assert!(said.to_string().contains("after-revocation"), "{said}");
    let of_old = desk.json("findings --handset K1", 1);
    let later = old.entries.last().unwrap().seq();
    assert!(
        codes(&of_old).contains(&("K1", "after-revocation", later)),
        "{of_old}"
    );
    assert!(
        codes(&of_old)
            .iter()
            .all(|(_, code, seq)| *code != "after-revocation" || *seq == later),
        "{of_old}"
    );
}

/// A lost phone needs no other in its place, and the command says the same as the page.
#[tokio::test]
async fn a_lost_phone_is_out_of_use_with_or_without_another() {
    let (desk, mut browser, old, _) = two_phones();
    import(&desk, &old, 0);
    browser.sign_in("neema").await;
    let refused = take_out(
        &mut browser,
        &[
            ("cause", "lost"),
            ("from", "2026-10-21T08:00"),
            ("words", ""),
        ],
    )
    .await;
    assert_eq!(
        refused.status,
        StatusCode::UNPROCESSABLE_ENTITY,
        "{}",
        refused.text
    );
    let early =
        "revoke --handset K1 --from 2026-10-19T08:00:00+03:00 --cause lost --words gone --by neema";
    let said = desk.printout(early);
    assert!(said.contains("was enrolled at"), "{said}");
    let lost =
        "revoke --handset K1 --from 2026-10-21T08:00:00+03:00 --cause lost --words gone --by neema";
    let told = desk.json(lost, 0);
    assert_eq!(
        told,
        json!({"handset": "K1", "from": "2026-10-21T08:00:00+03:00", "cause": "lost", "replacement": null})
    );
    let page = browser.get("/handsets/K1").await;
    assert!(
        page.says("Out of use (lost)") && !page.says("took its place"),
        "{}",
        page.text
    );
    // A brief for all leaves it out.
    std::fs::create_dir(desk.path("briefs")).unwrap();
    let briefs = desk.json("brief --all --out briefs --float 100", 0);
    assert_eq!(briefs.as_array().unwrap().len(), 1, "{briefs}");
    // Said anew, with the phone that came in its place.
    let anew = format!("{} --replacement K2", lost.replace("lost", "replaced"));
    assert_eq!(desk.json(&anew, 0)["replacement"], "K2");
}
