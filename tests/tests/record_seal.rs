//! Documents sealed for the desk: jose (JavaScript) opens what we seal and seals what we open,
//! which checks RFC 7516 and RFC 7518, 4.5, 4.6 and 5.3.
#![allow(
    clippy::unwrap_used,
    reason = "a check that cannot run must fail loudly"
)]

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use combgate_core::record::seal::{Entropy, OpeningKey, SealError, SharedKey, seal_for};
use combgate_tests::demo::read;
use combgate_tests::node;
use serde::Deserialize;
use serde_json::{Value, json};

const SECRET: [u8; 32] = [7; 32];

#[derive(Deserialize)]
struct Opened {
    text: String,
    header: Value,
}

fn private_jwk(key: &OpeningKey) -> Value {
    let mut jwk = serde_json::to_value(key.public().jwk()).unwrap();
    jwk["d"] = URL_SAFE_NO_PAD.encode(SECRET).into();
    jwk
}

#[test]
fn jose_opens_a_bundle_that_a_locked_handset_seals() {
    let bundle = read("bundles/good/day.json");
    let key = OpeningKey::new(&SECRET).unwrap();
    let entropy = Entropy {
        ephemeral: [9; 32],
        nonce: [3; 12],
    };
    let sealed = seal_for(&key.public(), bundle.as_bytes(), &entropy).unwrap();
    let theirs: Opened = node::ask(
        "seal.mjs",
        &json!({ "do": "open", "sealed": sealed, "key": private_jwk(&key) }),
    );
    assert_eq!(theirs.text, bundle);
    assert_eq!(theirs.header["alg"], "ECDH-ES");
    assert_eq!(theirs.header["enc"], "A256GCM");
}

#[test]
fn what_jose_seals_for_the_desk_opens_and_for_another_does_not() {
    let bundle = read("bundles/good/day.json");
    let key = OpeningKey::new(&SECRET).unwrap();
    let sealed: String = node::ask(
        "seal.mjs",
        &json!({ "do": "seal", "text": bundle, "jwk": key.public().jwk() }),
    );
    assert_eq!(key.open(&sealed).unwrap(), bundle.as_bytes());
    let other = OpeningKey::new(&[8; 32]).unwrap();
    assert_eq!(other.open(&sealed), Err(SealError::DoesNotOpen));
}

#[test]
fn jose_opens_what_a_handset_keeps_when_it_has_the_key() {
    let sealed = SharedKey::new(SECRET)
        .seal(b"a register", &[5; 12])
        .unwrap();
    let theirs: Opened = node::ask(
        "seal.mjs",
        &json!({ "do": "open", "sealed": sealed, "key": URL_SAFE_NO_PAD.encode(SECRET) }),
    );
    assert_eq!(theirs.text, "a register");
    assert_eq!(theirs.header["alg"], "dir");
}
