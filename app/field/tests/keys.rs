//! The handset's key in a real browser, its signatures checked by two other programs: the
//! browser's own verifier and the `p256` crate.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that fails should stop at once"
)]

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use combgate_field::platform::database::Database;
use combgate_field::platform::keys::{HandsetKey, PublicJwk};
use p256::EncodedPoint;
use p256::ecdsa::signature::Verifier;
use p256::ecdsa::{Signature, VerifyingKey};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

const MESSAGE: &[u8] = b"eyJhbGciOiJFUzI1NiJ9.eyJzZXEiOjF9";

fn verifying_key(jwk: &PublicJwk) -> VerifyingKey {
    let coordinate = |text: &str| {
        let bytes = URL_SAFE_NO_PAD
            .decode(text)
            .expect("base64url without padding");
        <[u8; 32]>::try_from(bytes).expect("32 bytes")
    };
    let point = EncodedPoint::from_affine_coordinates(
        &coordinate(&jwk.x).into(),
        &coordinate(&jwk.y).into(),
        false,
    );
    VerifyingKey::from_encoded_point(&point).expect("a point on the curve")
}

#[wasm_bindgen_test]
async fn p256_accepts_the_signature_and_no_other_message() {
    let database = Database::open_as("keys-p256").await.expect("a database");
    let key = HandsetKey::create(&database).await.expect("a key");
    let signature = key.sign(MESSAGE).await.expect("a signature");
    let verifier = verifying_key(key.public());
    let signature = Signature::from_slice(&signature).expect("r and s, 32 bytes each");
    assert!(verifier.verify(MESSAGE, &signature).is_ok());
    assert!(verifier.verify(b"another message", &signature).is_err());
}

#[wasm_bindgen_test]
async fn webcrypto_accepts_the_signature_under_the_exported_jwk() {
    let database = Database::open_as("keys-webcrypto")
        .await
        .expect("a database");
    let key = HandsetKey::create(&database).await.expect("a key");
    let signature = key.sign(MESSAGE).await.expect("a signature");
    assert!(webcrypto_verifies(key.public(), &signature, MESSAGE).await);
    let mut flipped = signature;
    flipped[10] ^= 1;
    assert!(!webcrypto_verifies(key.public(), &flipped, MESSAGE).await);
}

#[wasm_bindgen_test]
async fn the_key_outlives_the_connection_and_is_never_replaced() {
    let name = "keys-kept";
    let database = Database::open_as(name).await.expect("a database");
    assert!(
        HandsetKey::load(&database)
            .await
            .expect("an answer")
            .is_none()
    );
    let made = HandsetKey::create(&database).await.expect("a key");
    drop(database);
    let database = Database::open_as(name).await.expect("the same database");
    let loaded = HandsetKey::load(&database)
        .await
        .expect("an answer")
        .expect("the key");
    assert_eq!(loaded.public(), made.public());
    let again = HandsetKey::create(&database).await.expect("the key");
    assert_eq!(again.public(), made.public());
    let signature = loaded.sign(MESSAGE).await.expect("a signature");
    let signature = Signature::from_slice(&signature).expect("r and s");
    assert!(
        verifying_key(made.public())
            .verify(MESSAGE, &signature)
            .is_ok()
    );
}

#[wasm_bindgen_test]
async fn the_private_half_cannot_be_exported() {
    use indexed_db_futures::prelude::*;
    let name = "keys-sealed";
    let database = Database::open_as(name).await.expect("a database");
    HandsetKey::create(&database).await.expect("a key");
    let raw = indexed_db_futures::database::Database::open(name)
        .await
        .expect("the database");
    let transaction = raw.transaction("keys").build().expect("a transaction");
    let store = transaction.object_store("keys").expect("the store");
    let pair: Option<JsValue> = store.get("handset").await.expect("an answer");
    let pair = pair.expect("the pair");
    let private: web_sys::CryptoKey = js_sys::Reflect::get(&pair, &"privateKey".into())
        .expect("a half")
        .unchecked_into();
    assert!(!private.extractable());
    for format in ["jwk", "pkcs8"] {
        let export = subtle().export_key(format, &private).expect("a promise");
        assert!(JsFuture::from(export).await.is_err(), "{format}");
    }
}

fn subtle() -> web_sys::SubtleCrypto {
    web_sys::window()
        .expect("a window")
        .crypto()
        .expect("cryptography")
        .subtle()
}

fn object(members: &[(&str, &str)]) -> js_sys::Object {
    let object = js_sys::Object::new();
    for (name, value) in members {
        js_sys::Reflect::set(&object, &(*name).into(), &(*value).into()).expect("a member");
    }
    object
}

async fn webcrypto_verifies(jwk: &PublicJwk, signature: &[u8], message: &[u8]) -> bool {
    let jwk = object(&[
        ("kty", "EC"),
        ("crv", "P-256"),
        ("x", &jwk.x),
        ("y", &jwk.y),
    ]);
    let key = subtle()
        .import_key_with_object(
            "jwk",
            &jwk,
            &object(&[("name", "ECDSA"), ("namedCurve", "P-256")]),
            true,
            &js_sys::Array::of1(&"verify".into()),
        )
        .expect("a promise");
    let key: web_sys::CryptoKey = JsFuture::from(key).await.expect("a key").unchecked_into();
    let answer = subtle()
        .verify_with_object_and_js_u8_array_and_js_u8_array(
            &object(&[("name", "ECDSA"), ("hash", "SHA-256")]),
            &key,
            &js_sys::Uint8Array::from(signature),
            &js_sys::Uint8Array::from(message),
        )
        .expect("a promise");
    JsFuture::from(answer).await.expect("an answer").is_truthy()
}
