//! Signed requests are what RFC 9421 and RFC 9530 say: a library of another maker checks ours, and
//! what it signs is taken here.
//!
//! Library: http-message-signatures (JavaScript), its version in tests/interop.
#![allow(
    clippy::unwrap_used,
    reason = "a check that cannot run must fail loudly"
)]

use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    BRIEF_PATH, Request, RequestError, RequestSignature, SignedFields, SoftwareCheck,
};
use combgate_tests::demo::{public, published_key};
use combgate_tests::node;
use serde::Deserialize;
use serde_json::{Value, json};

const AUTHORITY: &str = "desk.example:8443";
const CONTENT: &str = "{\"format\": \"combgate-bundle/1\"}\n";

fn now() -> DateTime<FixedOffset> {
    "2026-10-09T18:10:00+03:00".parse().unwrap()
}

#[derive(Debug, Deserialize, PartialEq, Eq)]
struct Checked {
    fits: bool,
    named: Vec<String>,
    digest_fits: bool,
}

fn put() -> Request {
    Request::bundle(AUTHORITY, CONTENT.as_bytes()).unwrap()
}

fn get() -> Request {
    Request::get(AUTHORITY, BRIEF_PATH).unwrap()
}

fn signed(request: Request) -> SignedFields {
    let key = published_key();
    let unsigned = request.unsigned(public(&key).id(), now());
    let signature = key.sign_request(&unsigned);
    unsigned.with_signature(&signature)
}

/// What the library says of a request sent with these fields.
fn checked(method: &str, url: &str, content: Option<&str>, fields: &SignedFields) -> Checked {
    let mut headers = json!({
        "Signature-Input": fields.signature_input,
        "Signature": fields.signature,
    });
    if let Some(digest) = &fields.content_digest {
        headers["Content-Digest"] = digest.as_str().into();
    }
    node::ask(
        "request.mjs",
        &json!({
            "do": "check",
            "request": { "method": method, "url": url, "headers": headers },
            "content": content,
            "jwk": public(&published_key()).jwk(),
            "now": now().timestamp(),
        }),
    )
}

fn url(path: &str) -> String {
    format!("https://{AUTHORITY}{path}")
}

#[test]
fn another_library_takes_our_requests_and_no_others() {
    let (to, fields) = (url(put().path()), signed(put()));
    let named = vec![public(&published_key()).id().to_string()];
    let good = Checked {
        fits: true,
        named,
        digest_fits: true,
    };
    assert_eq!(checked("PUT", &to, Some(CONTENT), &fields), good);
    assert_eq!(checked("GET", &url(BRIEF_PATH), None, &signed(get())), good);
    assert!(!checked("POST", &to, Some(CONTENT), &fields).fits);
    assert!(!checked("PUT", &url("/v1/bundles/other"), Some(CONTENT), &fields).fits);
    let elsewhere = to.replace("8443", "8444");
    assert!(!checked("PUT", &elsewhere, Some(CONTENT), &fields).fits);
    assert!(!checked("PUT", &to, Some("{}"), &fields).digest_fits);
}

#[test]
fn what_another_library_signs_is_taken() {
    let key = published_key();
    let mut jwk = serde_json::to_value(public(&key).jwk()).unwrap();
    // The private key that RFC 7515, A.3 publishes.
    jwk["d"] = "jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI".into();
    let whole = ["content-digest", "@path", "@method", "@authority"];
    let made: Vec<Value> = node::ask(
        "request.mjs",
        &json!({
            "do": "make",
            "jwk": jwk,
            "created": now().timestamp(),
            "requests": [
                { "method": "PUT", "url": url(put().path()), "content": CONTENT, "fields": whole },
                { "method": "GET", "url": url(BRIEF_PATH), "content": null, "fields": &whole[1..] },
                { "method": "PUT", "url": url(put().path()), "content": CONTENT, "fields": &whole[1..] },
            ],
        }),
    );
    let take = |headers: &Value, request: &Request| {
        let field = |name: &str| headers[name].as_str().map(str::to_owned);
        let fields = SignedFields {
            content_digest: field("Content-Digest"),
            signature_input: field("Signature-Input").unwrap(),
            signature: field("Signature").unwrap(),
        };
        RequestSignature::parse(&fields).unwrap().check(
            request,
            &public(&key),
            now(),
            &SoftwareCheck,
        )
    };
    assert_eq!(take(&made[0], &put()), Ok(()));
    assert_eq!(take(&made[1], &get()), Ok(()));
    assert!(matches!(
        take(&made[2], &put()),
        Err(RequestError::OtherCoverage { .. })
    ));
    assert_eq!(take(&made[0], &get()), Err(RequestError::DigestDiffers));
}
