//! The description of the interface, and what browsers ask before a page may send.

use super::a_day;
use super::wire::{Running, Sent};
use combgate_core::record::{ACKNOWLEDGEMENT_PATH, BRIEF_PATH, BUNDLES_PATH, ProblemKind};
use combgate_desk::sync::{Limits, OPENAPI};
use serde_json::Value;

#[test]
fn the_description_names_what_is_there_and_nothing_else() {
    let (desk, _) = a_day();
    let running = Running::of(&desk, Limits::default());
    let answer = running.send(&Sent::plain("GET", "/openapi.json"));
    assert_eq!(answer.status, 200);
    assert_eq!(answer.text, OPENAPI);
    let document: Value = serde_json::from_str(&answer.text).unwrap();
    let mut named: Vec<&str> = document["paths"]
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    named.sort_unstable();
    let bundles = format!("{BUNDLES_PATH}/{{digest}}");
    assert_eq!(
        named,
        [
            "/openapi.json",
            ACKNOWLEDGEMENT_PATH,
            BRIEF_PATH,
            &bundles,
            "/v1/problems",
        ]
    );
    // One that nobody may ask so is told which method is meant.
    for path in named {
        let path = path.replace("{digest}", "A");
        let answer = running.send(&Sent::plain("DELETE", &path));
        assert_eq!(answer.kind(), ProblemKind::OtherMethod, "{path}");
        let allowed = answer.field("allow").unwrap().to_ascii_lowercase();
        let known = document["paths"]
            .as_object()
            .unwrap()
            .iter()
            .find(|(known, _)| known.replace("{digest}", "A") == path)
            .unwrap()
            .1;
        assert!(known.get(&allowed).is_some(), "{path}: {allowed}");
    }
}

#[test]
fn every_problem_is_told_where_its_name_leads() {
    let (desk, _) = a_day();
    let running = Running::of(&desk, Limits::default());
    let told = running.send(&Sent::plain("GET", "/v1/problems"));
    assert_eq!(told.status, 200);
    for (kind, status) in [
        ("/v1/problems#clock-apart", "401"),
        ("/v1/problems#revoked", "403"),
        ("/v1/problems#too-large", "413"),
        ("/v1/problems#other-address", "421"),
    ] {
        assert!(
            told.text.contains(&format!("{kind}\n    {status}: ")),
            "{kind}: {}",
            told.text
        );
    }
}

/// Source: the Fetch standard, 3.2 (CORS protocol): a page of another origin may send these headers
/// only when the answer to its question names them, and never with cookies.
#[test]
fn a_page_from_anywhere_may_send_and_brings_no_cookies() {
    let (desk, handset) = a_day();
    let running = Running::of(&desk, Limits::default());
    let question = Sent::plain("OPTIONS", "/v1/bundles/x")
        .with("Origin", "https://page.example")
        .with("Access-Control-Request-Method", "PUT")
        .with(
            "Access-Control-Request-Headers",
            "content-digest,content-type,signature,signature-input",
        );
    let answer = running.send(&question);
    assert_eq!(answer.status, 200);
    assert_eq!(answer.field("access-control-allow-origin"), Some("*"));
    assert_eq!(answer.field("access-control-allow-credentials"), None);
    let allowed = answer.field("access-control-allow-headers").unwrap();
    for name in [
        "content-digest",
        "content-type",
        "signature",
        "signature-input",
        "if-none-match",
    ] {
        assert!(
            allowed.split(',').any(|known| known == name),
            "{name}: {allowed}"
        );
    }
    assert!(
        answer
            .field("access-control-allow-methods")
            .unwrap()
            .contains("put")
    );
    let get = running
        .get(&handset, BRIEF_PATH)
        .with("Origin", "https://page.example");
    let answer = running.send(&get);
    assert_eq!(answer.status, 200);
    assert_eq!(answer.field("access-control-allow-origin"), Some("*"));
    let refused = Sent::plain("GET", BRIEF_PATH).with("Origin", "https://page.example");
    let answer = running.send(&refused);
    assert_eq!(answer.status, 401);
    assert_eq!(
        answer.field("access-control-allow-origin"),
        Some("*"),
        "a page reads why"
    );
}
