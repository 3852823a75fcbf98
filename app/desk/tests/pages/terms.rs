//! A price list and a policy made on a form: tried, sent back, and taken in by the approver.

use super::browser::{Browser, Page};
use super::desk;
use axum::http::StatusCode;

type Fields = Vec<(String, String)>;

fn set(fields: &mut Fields, name: &str, value: &str) {
    match fields.iter_mut().find(|(known, _)| known == name) {
        Some(field) => value.clone_into(&mut field.1),
        None => fields.push((name.to_owned(), value.to_owned())),
    }
}

async fn send(browser: &mut Browser, path: &str, fields: &Fields) -> Page {
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    browser.post(path, &fields).await
}

#[tokio::test]
async fn a_price_list_is_made_of_the_last_and_taken_in_by_the_approver() {
    let (desk, mut neema) = desk();
    neema.sign_in("neema").await;
    let path = "/terms/new/prices";
    let mut fields = neema.get(path).await.form(path);
    // Without a name of its own it is not tried.
    let page = send(&mut neema, path, &fields).await;
    assert!(page.says("Name of the document"), "{}", page.text);
    assert!(page.says("must be filled in"), "{}", page.text);
    set(&mut fields, "id", "PL-2026-3");
    let page = send(&mut neema, path, &fields).await;
    assert!(
        page.says("PL-2026-3 is the name of another document"),
        "{}",
        page.text
    );
    set(&mut fields, "id", "PL-2027-1");
    set(&mut fields, "prices-0-per_kg_minor", "dear");
    let page = send(&mut neema, path, &fields).await;
    assert!(
        page.says("Prices, row 1, A kg: write digits"),
        "{}",
        page.text
    );
    // What was typed is there still.
    assert!(page.text.contains(r#"value="dear""#), "{}", page.text);
    set(&mut fields, "prices-0-per_kg_minor", "430.50");
    set(&mut fields, "premiums-0-out", "yes");
    let tried = send(&mut neema, path, &fields).await;
    assert!(tried.says("What it would have done"), "{}", tried.text);
    assert!(tried.says("Who takes it in: Approver."), "{}", tried.text);
    let mut document = tried.form("/terms/decide");
    set(&mut document, "do", "take");
    let refused = send(&mut neema, "/terms/decide", &document).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    // Back to the form with all of it.
    set(&mut document, "do", "edit");
    let page = send(&mut neema, "/terms/decide", &document).await;
    assert!(page.text.contains(r#"value="430.50""#), "{}", page.text);

    let mut zawadi = neema.another();
    zawadi.sign_in("zawadi").await;
    let mut again = page.form(path);
    set(&mut again, "token", &zawadi.get("/terms").await.token());
    let mut document = send(&mut zawadi, path, &again).await.form("/terms/decide");
    set(&mut document, "do", "take");
    let taken = send(&mut zawadi, "/terms/decide", &document).await;
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    let page = zawadi.get(taken.header("location")).await;
    assert!(page.says("430.50") && page.says("zawadi"), "{}", page.text);
    let all = desk.json("terms list", 0);
    let made = all
        .as_array()
        .unwrap()
        .iter()
        .find(|each| each["id"] == "PL-2027-1")
        .unwrap();
    assert_eq!(made["taken_in_by"], "zawadi");
    // Only what was changed is otherwise: the fixture, with that price and without the premium.
    let path = format!("{}/file", taken.header("location"));
    let new: serde_json::Value = serde_json::from_str(&zawadi.get(&path).await.text).unwrap();
    let text = desk.read("fixtures/cooperative/prices.json");
    let mut old: serde_json::Value = serde_json::from_str(&text).unwrap();
    for key in ["id", "from", "until"] {
        old[key] = new[key].clone();
    }
    old["prices"][0]["per_kg_minor"] = 43_050.into();
    old["premiums"].as_array_mut().unwrap().remove(0);
    if new.get("until").is_none() {
        old.as_object_mut().unwrap().remove("until");
    }
    assert_eq!(new, old);
}

#[tokio::test]
async fn a_policy_is_read_as_rows_and_changed_by_them() {
    let (desk, mut zawadi) = desk();
    zawadi.sign_in("zawadi").await;
    let policy = zawadi
        .get("/terms")
        .await
        .links("/terms/")
        .into_iter()
        .find(|link| link.len() == "/terms/".len() + 43);
    assert!(policy.is_some());
    let path = "/terms/new/policy";
    let mut fields = zawadi.get(path).await.form(path);
    set(&mut fields, "id", "POL-2027-1");
    // A limit that no product has: core's own words say so, and nothing is kept.
    set(&mut fields, "products-0-moisture_at_most_hundredths", "300");
    let page = send(&mut zawadi, path, &fields).await;
    assert!(page.text.contains(r#"role="alert""#), "{}", page.text);
    set(
        &mut fields,
        "products-0-moisture_at_most_hundredths",
        "19.5",
    );
    let last = fields
        .iter()
        .filter(|(name, _)| name.ends_with("-place"))
        .count();
    set(&mut fields, "grades-0-place", &(last + 1).to_string());
    let mut document = send(&mut zawadi, path, &fields).await.form("/terms/decide");
    set(&mut document, "do", "take");
    let taken = send(&mut zawadi, "/terms/decide", &document).await;
    assert_eq!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    let page = zawadi.get(taken.header("location")).await;
    assert!(page.says("19.5"), "{}", page.text);
    let file = zawadi
        .get(&format!("{}/file", taken.header("location")))
        .await;
    let new: serde_json::Value = serde_json::from_str(&file.text).unwrap();
    let text = desk.read("fixtures/cooperative/policy.json");
    let old: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(new["products"][0]["moisture_at_most_hundredths"], 1_950);
    assert_eq!(
        new["grades"].as_array().unwrap().last(),
        old["grades"].get(0)
    );
    assert_eq!(new["faults"], old["faults"]);
    assert_eq!(new["measuring"], old["measuring"]);
}
