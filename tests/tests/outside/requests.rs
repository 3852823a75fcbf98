//! Signed requests are what RFC 9421 and RFC 9530 say: a library of another maker checks ours, and
//! what it signs is taken here.
//!
//! Library: http-message-signatures (JavaScript), its version in tests/interop.
use chrono::{DateTime, FixedOffset};
use combgate_core::record::{
    BRIEF_PATH, Digest, Request, RequestError, RequestSignature, SignedFields, SoftwareCheck,
};
use combgate_tests::demo::{public, published_key};
use combgate_tests::node;
use combgate_tests::outside::Outside;
use serde::Deserialize;
use serde_json::{Value, json};
use std::error::Error;

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
    Request::bundle(AUTHORITY, Digest::of(CONTENT)).unwrap()
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

pub(crate) fn ours_read_by_another() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "Our signed requests, and the same sent elsewhere or changed",
        "http-message-signatures (RFC 9421, RFC 9530)",
    );
    let (to, fields) = (url(put().path()), signed(put()));
    let named = vec![public(&published_key()).id().to_string()];
    let good = Checked {
        fits: true,
        named,
        digest_fits: true,
    };
    check.same(
        &good,
        &checked("PUT", &to, Some(CONTENT), &fields),
        "a bundle",
    );
    let brief = checked("GET", &url(BRIEF_PATH), None, &signed(get()));
    check.same(&good, &brief, "a brief");
    let elsewhere = to.replace("8443", "8444");
    for (method, url) in [
        ("POST", &to),
        ("PUT", &url("/v1/bundles/other")),
        ("PUT", &elsewhere),
    ] {
        let fits = checked(method, url, Some(CONTENT), &fields).fits;
        check.same(&false, &fits, (method, url));
    }
    let changed = checked("PUT", &to, Some("{}"), &fields).digest_fits;
    check.same(&false, &changed, "another content");
    Ok(check)
}

pub(crate) fn theirs_read_here() -> Result<Outside, Box<dyn Error>> {
    let mut outcome = Outside::exact(
        "Requests signed by another, taken or refused here",
        "http-message-signatures (RFC 9421, RFC 9530)",
    );
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
    outcome.same(&take(&made[0], &put()), &Ok(()), "a bundle");
    outcome.same(&take(&made[1], &get()), &Ok(()), "a brief");
    let uncovered = take(&made[2], &put());
    let refused = matches!(uncovered, Err(RequestError::OtherCoverage { .. }));
    outcome.same(&refused, &true, "a bundle whose digest is not signed");
    outcome.same(
        &take(&made[0], &get()),
        &Err(RequestError::DigestDiffers),
        "a content where there is none",
    );
    Ok(outcome)
}
