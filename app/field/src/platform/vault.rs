//! What is kept under a PIN: the secret of this page, what it seals and opens, and how a PIN becomes
//! a key.
//!
//! The secret that seals is random. It is kept sealed itself, under a key that the browser derives
//! from the PIN (PBKDF2 of RFC 8018 with HMAC-SHA-256), and in the open in this page's memory alone.

use super::{log, subtle, window};
use combgate_core::record::seal::{Entropy, SealError, SharedKey, is_sealed};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::CryptoKey;

thread_local! {
    static SECRET: RefCell<Option<SharedKey>> = const { RefCell::new(None) };
}

/// Why something was not sealed or opened.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VaultError {
    /// The browser offers no cryptography or no random numbers here.
    #[error("this browser offers no cryptography on this page")]
    Unsupported,
    /// The browser refused; its own words are on the console.
    #[error("the browser's cryptography failed")]
    Failed,
    /// Sealed, and nobody gave the PIN yet.
    #[error("this is kept under the PIN")]
    Locked,
    /// Sealed under another secret, or damaged.
    #[error(transparent)]
    Seal(#[from] SealError),
}

/// From now on what is to be private is sealed; with `None`, nothing is. Gives what was used before.
pub fn use_secret(secret: Option<SharedKey>) -> Option<SharedKey> {
    SECRET.replace(secret)
}

/// Whether there is a secret to seal and open with.
pub fn is_open() -> bool {
    SECRET.with_borrow(Option::is_some)
}

/// Seals a text, if there is a secret; without one it comes back as it is.
///
/// # Errors
/// See [`VaultError`].
pub fn sealed(text: &str) -> Result<String, VaultError> {
    SECRET.with_borrow(|secret| match secret {
        None => Ok(text.to_owned()),
        Some(secret) => Ok(secret.seal(text.as_bytes(), &random()?)?),
    })
}

/// Opens a text; one that was never sealed comes back as it is.
///
/// # Errors
/// [`VaultError::Locked`] without a secret, [`VaultError::Seal`] with another.
pub fn opened(text: String) -> Result<String, VaultError> {
    if !is_sealed(&text) {
        return Ok(text);
    }
    SECRET.with_borrow(|secret| {
        let bytes = secret.as_ref().ok_or(VaultError::Locked)?.open(&text)?;
        String::from_utf8(bytes).map_err(|_| SealError::Malformed.into())
    })
}

/// The key of a PIN. Takes the browser a good second on a slow phone: so it does a thief's.
///
/// # Errors
/// See [`VaultError`].
pub async fn key_of(pin: &str, salt: &[u8; 16], rounds: u32) -> Result<SharedKey, VaultError> {
    let subtle = subtle().ok_or(VaultError::Unsupported)?;
    let usages = js_sys::Array::of1(&"deriveBits".into());
    let secret = js_sys::Uint8Array::from(pin.as_bytes());
    let base = subtle
        .import_key_with_str("raw", &secret, "PBKDF2", false, &usages)
        .map_err(failed)?;
    let base: CryptoKey = JsFuture::from(base)
        .await
        .map_err(failed)?
        .dyn_into()
        .map_err(failed)?;
    let how = js_sys::Object::new();
    let salt = js_sys::Uint8Array::from(salt.as_slice());
    for (name, value) in [
        ("name", JsValue::from("PBKDF2")),
        ("hash", JsValue::from("SHA-256")),
        ("salt", salt.into()),
        ("iterations", JsValue::from(rounds)),
    ] {
        js_sys::Reflect::set(&how, &name.into(), &value).map_err(failed)?;
    }
    let bits = subtle
        .derive_bits_with_object(&how, &base, 256)
        .map_err(failed)?;
    let bits = JsFuture::from(bits).await.map_err(failed)?;
    let bytes = js_sys::Uint8Array::new(&bits).to_vec();
    let bytes = <[u8; 32]>::try_from(bytes).map_err(|_| VaultError::Failed)?;
    Ok(SharedKey::new(bytes))
}

/// Bytes from the browser's secure randomness.
///
/// # Errors
/// [`VaultError::Unsupported`].
pub fn random<const N: usize>() -> Result<[u8; N], VaultError> {
    let mut bytes = [0; N];
    window()
        .ok()
        .and_then(|window| window.crypto().ok())
        .and_then(|crypto| crypto.get_random_values_with_u8_array(&mut bytes).ok())
        .ok_or(VaultError::Unsupported)?;
    Ok(bytes)
}

/// What one sealing for the desk takes of it.
///
/// # Errors
/// [`VaultError::Unsupported`].
pub fn entropy() -> Result<Entropy, VaultError> {
    Ok(Entropy {
        ephemeral: random()?,
        nonce: random()?,
    })
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map_err")]
fn failed(problem: JsValue) -> VaultError {
    log(&problem);
    VaultError::Failed
}
