//! What must be refused, and what every answer must say.

use super::browser::{Browser, HOST};
use super::{PASSWORD, bundle, desk};
use axum::body::Body;
use axum::http::{Request, StatusCode};
use rusqlite::Connection;

fn cookie(browser: &Browser) -> String {
    browser.cookies["combgate-desk-8710"].clone()
}

fn request(method: &str, host: &str, origin: Option<&str>) -> Request<Body> {
    let mut request = Request::builder()
        .method(method)
        .uri("/sign-in")
        .header("content-type", "application/x-www-form-urlencoded");
    if !host.is_empty() {
        request = request.header("host", host);
    }
    if let Some(origin) = origin {
        request = request.header("origin", origin);
    }
    let body = format!("name=neema&password={}", PASSWORD.replace(' ', "+"));
    request.body(Body::from(body)).unwrap()
}

/// A page elsewhere whose name was made to lead to this machine (DNS rebinding) comes with its own
/// name as the host.
#[tokio::test]
async fn only_this_machines_names_are_answered() {
    let (_desk, mut browser) = desk();
    for host in [
        "",
        "elsewhere.example",
        "elsewhere.example:8710",
        "127.0.0.1",
        "127.0.0.1:8700",
        "127.0.0.1:8710.elsewhere.example",
        "192.168.1.20:8710",
    ] {
        let page = browser.send(request("GET", host, None)).await;
        assert_eq!(page.status, StatusCode::FORBIDDEN, "{host}");
    }
    for host in [HOST, "localhost:8710", "[::1]:8710"] {
        let page = browser.send(request("GET", host, None)).await;
        assert_eq!(page.status, StatusCode::OK, "{host}");
    }
}

#[tokio::test]
async fn a_form_from_elsewhere_is_refused_even_with_the_right_password() {
    let (_desk, mut browser) = desk();
    for origin in [
        None,
        Some("null"),
        Some("http://elsewhere.example"),
        Some("http://127.0.0.1:8700"),
        Some("https://127.0.0.1:8710"),
        Some("http://localhost:8710"),
    ] {
        let page = browser.send(request("POST", HOST, origin)).await;
        assert_eq!(page.status, StatusCode::FORBIDDEN, "{origin:?}");
    }
    let mut cross = request("POST", HOST, Some("http://127.0.0.1:8710"));
    let site = "same-site".parse().unwrap();
    cross.headers_mut().insert("sec-fetch-site", site);
    assert_eq!(browser.send(cross).await.status, StatusCode::FORBIDDEN);
    let own = request("POST", HOST, Some("http://127.0.0.1:8710"));
    assert_eq!(browser.send(own).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn signing_in_takes_no_identity_that_somebody_brought_along() {
    let (_desk, mut browser) = desk();
    let planted = "a".repeat(43);
    let name = "combgate-desk-8710".to_owned();
    browser.cookies.insert(name, planted.clone());
    assert_eq!(browser.get("/").await.status, StatusCode::SEE_OTHER);
    browser.sign_in("neema").await;
    let first = cookie(&browser);
    assert_ne!(first, planted);
    browser.sign_in("neema").await;
    let second = cookie(&browser);
    assert_ne!(second, first);
    let mut thief = browser.another();
    thief
        .cookies
        .insert("combgate-desk-8710".to_owned(), planted);
    assert_eq!(thief.get("/").await.status, StatusCode::SEE_OTHER);
    // What was the identity before is nobody's any more.
    thief.cookies.insert("combgate-desk-8710".to_owned(), first);
    assert_eq!(thief.get("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn the_identity_is_for_this_site_and_no_script_and_the_ledger_does_not_hold_it() {
    let (desk, mut browser) = desk();
    let fields = [("name", "neema"), ("password", PASSWORD)];
    let page = browser.post("/sign-in", &fields).await;
    let set = page.header("set-cookie");
    for part in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age=43200"] {
        assert!(set.contains(part), "{set}");
    }
    let ledger = std::fs::read(desk.path("desk/ledger.sqlite")).unwrap();
    let log = std::fs::read(desk.path("desk/ledger.sqlite-wal")).unwrap_or_default();
    let identity = cookie(&browser);
    for bytes in [ledger, log] {
        let holds = |text: &str| {
            bytes
                .windows(text.len())
                .any(|part| part == text.as_bytes())
        };
        assert!(!holds(&identity), "the ledger holds the identity");
        assert!(!holds(PASSWORD), "the ledger holds the password");
    }
}

#[tokio::test]
async fn a_session_ends_by_signing_out_by_idling_and_after_a_day() {
    let (desk, mut browser) = desk();
    let mut age = async |column: &str, hours: i64, path: &str| {
        browser.sign_in("neema").await;
        assert_eq!(browser.get(path).await.status, StatusCode::OK);
        let past = chrono::Utc::now() - chrono::TimeDelta::minutes(hours * 60 + 1);
        let ledger = Connection::open(desk.path("desk/ledger.sqlite")).unwrap();
        ledger
            .execute(
                &format!("UPDATE session SET {column} = ?1"),
                [past.to_rfc3339()],
            )
            .unwrap();
        browser.get(path).await.status
    };
    assert_eq!(age("seen_at", 0, "/").await, StatusCode::OK);
    assert_eq!(age("seen_at", 1, "/").await, StatusCode::SEE_OTHER);
    assert_eq!(age("begun_at", 11, "/").await, StatusCode::OK);
    assert_eq!(age("begun_at", 12, "/").await, StatusCode::SEE_OTHER);
    browser.sign_in("neema").await;
    let kept = cookie(&browser);
    browser.fill("/", "/sign-out", &[]).await;
    let mut thief = browser.another();
    thief.cookies.insert("combgate-desk-8710".to_owned(), kept);
    assert_eq!(thief.get("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn an_account_taken_away_is_out_at_once() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    desk.done("account remove neema");
    assert_eq!(browser.get("/").await.status, StatusCode::SEE_OTHER);
    let fields = [("name", "neema"), ("password", PASSWORD)];
    let page = browser.post("/sign-in", &fields).await;
    assert_eq!(page.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn a_form_holds_the_token_of_its_own_session() {
    let (desk, mut browser) = desk();
    browser.sign_in("neema").await;
    let mut other = browser.another();
    other.sign_in("neema").await;
    let strange = other.get("/import").await.token();
    for fields in [
        vec![],
        vec![("token", strange.as_str())],
        vec![("token", "")],
    ] {
        let page = browser.post("/sign-out", &fields).await;
        assert_eq!(page.status, StatusCode::FORBIDDEN, "{fields:?}");
        let day = bundle("good/day.json");
        let files = [("bundles", "day.json", day.as_str())];
        let page = browser.upload("/import", &fields, &files).await;
        assert_eq!(page.status, StatusCode::FORBIDDEN, "{fields:?}");
        assert!(page.says("not of this session"), "{}", page.text);
    }
    let booked = desk.json("findings", 0);
    assert_eq!(booked, serde_json::json!([]));
}

#[tokio::test]
async fn guessing_a_password_is_soon_too_slow() {
    let (_desk, mut browser) = desk();
    for _ in 0..5 {
        let fields = [("name", "zawadi"), ("password", "is it this one perhaps")];
        let page = browser.post("/sign-in", &fields).await;
        assert_eq!(page.status, StatusCode::UNAUTHORIZED);
    }
    // The right one is not taken either, so that nothing is learnt.
    let fields = [("name", "ZAWADI"), ("password", PASSWORD)];
    let page = browser.post("/sign-in", &fields).await;
    assert_eq!(page.status, StatusCode::TOO_MANY_REQUESTS);
    browser.sign_in("neema").await;
}

#[tokio::test]
async fn another_role_is_told_who_can_and_nothing_changes() {
    let (desk, mut browser) = desk();
    browser.sign_in("zawadi").await;
    let day = bundle("good/day.json");
    let token = browser.get("/import").await.token();
    let files = [("bundles", "day.json", day.as_str())];
    let page = browser
        .upload("/import", &[("token", &token)], &files)
        .await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    assert!(page.says("Who can: Receiver, Bookkeeper."), "{}", page.text);
    desk.command("import fixtures/bundles/bad/dishonest.json")
        .assert()
        .code(1);
    let before = desk.json("findings", 1);
    let id = before[0]["id"].as_str().unwrap();
    for name in ["baraka", "zawadi"] {
        let mut other = browser.another();
        other.sign_in(name).await;
        let at = format!("/findings/{id}");
        let fields = [("step", "accept"), ("words", "it is right")];
        let page = other.fill(&at, &at, &fields).await;
        assert_eq!(page.status, StatusCode::FORBIDDEN);
        assert!(page.says("Who can: Bookkeeper."), "{}", page.text);
    }
    let mut receiver = browser.another();
    receiver.sign_in("baraka").await;
    let fields = [
        ("cause", "lost"),
        ("from", "2026-10-09T12:00"),
        ("words", "lost on the bus"),
    ];
    let page = receiver.fill("/", "/handsets/K7", &fields).await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
    assert_eq!(desk.json("findings", 1), before);
}

#[tokio::test]
async fn the_first_account_is_made_once_at_its_own_address() {
    let desk = super::TestDesk::of_the_cooperative();
    let mut browser = Browser::at(desk.path("desk"), Some("a-secret-of-the-start"));
    let wrong = browser.get("/set-up/another-secret").await;
    assert_eq!(wrong.status, StatusCode::NOT_FOUND);
    let at = "/set-up/a-secret-of-the-start";
    assert_eq!(browser.get(at).await.status, StatusCode::OK);
    let short = [
        ("name", "neema"),
        ("password", "short"),
        ("role", "bookkeeper"),
    ];
    let page = browser.post(at, &short).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.says("15 are the least"), "{}", page.text);
    let good = [
        ("name", "neema"),
        ("password", PASSWORD),
        ("role", "bookkeeper"),
    ];
    assert_eq!(browser.post(at, &good).await.status, StatusCode::SEE_OTHER);
    assert_eq!(browser.get("/").await.status, StatusCode::OK);
    assert_eq!(browser.get(at).await.status, StatusCode::NOT_FOUND);
    let more = [
        ("name", "thief"),
        ("password", PASSWORD),
        ("role", "approver"),
    ];
    assert_eq!(browser.post(at, &more).await.status, StatusCode::NOT_FOUND);
}
