//! A clerk's work from bundle to acknowledgement.

use super::desk;
use super::{browser::Browser, bundle};
use axum::http::StatusCode;
use combgate_core::record::{Acknowledgement, KeyId, PublicKey, SoftwareCheck};
use combgate_desk::store::{Journals, Office};

async fn import(browser: &mut Browser, names: &[&str]) -> super::browser::Page {
    let token = browser.get("/import").await.token();
    let contents: Vec<String> = names.iter().map(|name| bundle(name)).collect();
    let files: Vec<_> = names
        .iter()
        .zip(&contents)
        .map(|(name, content)| ("bundles", *name, content.as_str()))
        .collect();
    browser
        .upload("/import", &[("token", &token)], &files)
        .await
}

#[tokio::test]
async fn bundles_go_in_together_and_each_says_what_became_of_it() {
    let (_desk, mut browser) = desk();
    browser.sign_in("baraka").await;
    let names = [
        "good/afternoon.json",
        "bad/truncated.json",
        "good/morning.json",
    ];
    let page = import(&mut browser, &names).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.says("Taken in, but not whole."), "{}", page.text);
    assert!(page.says("Nothing was taken in."), "{}", page.text);
    assert!(page.says("Whole and booked."), "{}", page.text);
    // Folders that a browser sends along are left out.
    assert!(page.says(">afternoon.json<"), "{}", page.text);
    assert_eq!(page.links("/acknowledgements/"), ["/acknowledgements/K7"]);
    let again = import(&mut browser, &["good/day.json"]).await;
    assert!(again.says("Nothing new."), "{}", again.text);
}

/// The whole way: bundle, finding with its evidence, accepted with a reason, acknowledgement that
/// the handset takes, day book.
#[tokio::test]
async fn a_finding_is_settled_and_the_handset_hears_of_the_others() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    import(&mut browser, &["bad/dishonest.json"]).await;
    let list = browser.get("/findings").await;
    assert!(list.says("Priced otherwise"), "{}", list.text);
    assert!(list.says("Written on a closed day"), "{}", list.text);
    let found = desk.json("findings", 1);
    let of = |code: &str| {
        let all = found.as_array().unwrap();
        let one = all.iter().find(|each| each["code"] == code).unwrap();
        one["id"].as_str().unwrap().to_owned()
    };
    let (priced, closed) = (of("price-differs"), of("day-closed"));
    let at = format!("/findings/{priced}");
    let page = browser.get(&at).await;
    // Signed 6,340.00 where 5,340.00 comes out: both stand there.
    assert!(page.says("KES 6,340.00"), "{}", page.text);
    assert!(page.says("KES 5,340.00"), "{}", page.text);
    let ask = [("step", "ask"), ("words", "Who told you this price?")];
    let page = browser.fill(&at, &at, &ask).await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    let closed_at = format!("/findings/{closed}");
    let accept = [("step", "accept"), ("words", "The lorry came late.")];
    browser.fill(&closed_at, &closed_at, &accept).await;
    let page = browser.get(&closed_at).await;
    assert!(page.says("The lorry came late."), "{}", page.text);
    assert!(page.says("Accepted by neema"), "{}", page.text);
    let list = browser.get("/findings").await;
    assert!(!list.says("Written on a closed day"), "{}", list.text);
    let all = browser.get("/findings?settled=too").await;
    assert!(all.says("Written on a closed day"), "{}", all.text);

    let file = browser.get("/acknowledgements/K7").await;
    let disposition = file.header("content-disposition");
    assert_eq!(
        disposition,
        "attachment; filename=\"acknowledgement-K7.jws\""
    );
    let store = desk.store();
    let desk_key: PublicKey = store.desk().unwrap().unwrap().public_key;
    let code = super::common::handset::code("K7");
    let handset = store.handset(&code).unwrap().unwrap();
    let key: KeyId = handset.key.id();
    let taken = Acknowledgement::take(&file.text, key, &desk_key, &SoftwareCheck).unwrap();
    let said = taken.payload();
    assert_eq!(said.booked_to, 6);
    let questions: Vec<_> = said
        .questions
        .iter()
        .map(|each| (each.finding.as_str(), each.sentence.as_str()))
        .collect();
    assert_eq!(questions, [("price-differs", "Who told you this price?")]);

    let day = browser.get("/days/2026-10-09").await;
    assert!(day.says("K7-26-00002"), "{}", day.text);
    assert!(day.says("Neema Osale"), "{}", day.text);
    let entry = browser.get("/entries/K7/4").await;
    assert!(entry.says("K7-26-00002"), "{}", entry.text);
    assert!(entry.says("Priced otherwise"), "{}", entry.text);
}

#[tokio::test]
async fn a_refused_entry_is_shown_with_what_came() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    import(
        &mut browser,
        &["bad/altered-byte.json", "bad/forged-manifest.json"],
    )
    .await;
    let found = desk.json("findings", 1);
    let codes: Vec<_> = found
        .as_array()
        .unwrap()
        .iter()
        .map(|each| each["code"].as_str().unwrap().to_owned())
        .collect();
    assert!(codes.contains(&"entry-refused".to_owned()), "{codes:?}");
    assert!(codes.contains(&"bundle-refused".to_owned()), "{codes:?}");
    for each in found.as_array().unwrap() {
        let at = format!("/findings/{}", each["id"].as_str().unwrap());
        let page = browser.get(&at).await;
        assert_eq!(page.status, StatusCode::OK, "{at}");
        if each["code"] == "entry-refused" {
            // The altered weight stands in what came.
            assert!(page.says("16210"), "{}", page.text);
        }
    }
}

#[tokio::test]
async fn a_revoked_handset_keeps_what_it_wrote_before() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    import(&mut browser, &["good/day.json"]).await;
    assert_eq!(desk.json("findings", 0), serde_json::json!([]));
    desk.done(
        "revoke --handset K7 --from 2026-10-09T12:00:00+03:00 --cause lost --words gone --by neema",
    );
    let found = desk.json("findings", 1);
    let seqs: Vec<u64> = found
        .as_array()
        .unwrap()
        .iter()
        .map(|each| {
            assert_eq!(each["code"], "after-revocation");
            each["seq"].as_u64().unwrap()
        })
        .collect();
    // The day's entries from 12:27 on: those of the afternoon.
    let first = *seqs.first().unwrap();
    let store = desk.store();
    let code = super::common::handset::code("K7");
    let entries = store.booked_among(&code, 1..=u64::MAX).unwrap();
    let noon: chrono::DateTime<chrono::FixedOffset> = "2026-10-09T12:00:00+03:00".parse().unwrap();
    let later = entries.iter().filter(|entry| entry.at() >= noon).count();
    assert_eq!(seqs.len(), later);
    assert!(
        entries
            .iter()
            .filter(|entry| entry.seq() < first)
            .all(|entry| entry.at() < noon)
    );
    let page = browser.get("/handsets/K7").await;
    assert!(
        page.says("Out of use (lost) from 2026-10-09 12:00"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_handset_is_enrolled_from_its_card() {
    let desk = super::TestDesk::bare();
    desk.done("init desk --from fixtures/cooperative");
    super::add_accounts(&desk, &[("neema", "bookkeeper")]);
    let mut browser = Browser::at(desk.path("desk"), None);
    browser.sign_in("neema").await;
    let token = browser.get("/handsets").await.token();
    let card = desk.read("fixtures/handset-k7/enrolment-card.jws");
    let page = browser
        .upload(
            "/handsets",
            &[("token", &token), ("code", "K7"), ("text", card.trim())],
            &[],
        )
        .await;
    assert_eq!(page.status, StatusCode::SEE_OTHER, "{}", page.text);
    assert_eq!(page.header("location"), "/handsets/K7");
    let page = browser.get("/handsets").await;
    assert!(page.says("Gate telephone (test key)"), "{}", page.text);
    let page = browser
        .upload("/handsets", &[("token", &token), ("text", "no card")], &[])
        .await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn text_of_strangers_is_never_markup() {
    let (_desk, mut browser) = desk();
    browser.sign_in("neema").await;
    let token = browser.get("/import").await.token();
    let name = "<img src=x onerror=alert(1)>.json";
    let files = [("bundles", name, "{\"format\":\"<script>\"}")];
    let page = browser
        .upload("/import", &[("token", &token)], &files)
        .await;
    assert!(!page.text.contains("<img"), "{}", page.text);
    assert!(page.says("&lt;img src=x"), "{}", page.text);
    let page = browser
        .get("/findings?handset=%3Cscript%3Ealert(1)%3C/script%3E")
        .await;
    assert!(!page.text.contains("<script>alert"), "{}", page.text);
}
