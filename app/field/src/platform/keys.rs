//! The handset's key: ECDSA P-256 made by the browser and never seen by the program.
//!
//! The private half cannot be exported, not even by us; it lives in the database as the
//! browser's own key object. A lost key is a new enrolment, never a copy.

use super::database::{Ask, Change, Database, KEYS, StoreError};
use super::{log, member, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{CryptoKey, SubtleCrypto};

const HANDSET: &str = "handset";

#[wasm_bindgen(module = "/src/platform/storage.js")]
extern "C" {
    #[wasm_bindgen(js_name = publicKey, catch)]
    async fn jwk_of(key: &CryptoKey) -> Result<JsValue, JsValue>;
}

/// Why there is no key or no signature.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    /// The browser offers no cryptography here: too old, or the page has no secure address.
    #[error("this browser offers no cryptography on this page")]
    Unsupported,
    /// The browser refused; its own words are on the console.
    #[error("the browser's cryptography failed")]
    Failed,
    /// The key could not be stored or read.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// The public half as a JSON Web Key (RFC 7517): `{"kty":"EC","crv":"P-256","x":…,"y":…}`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PublicJwk {
    /// X coordinate, 32 bytes, base64url without padding.
    pub x: String,
    /// Y coordinate, 32 bytes, base64url without padding.
    pub y: String,
}

/// The handset's key.
#[derive(Debug, Clone)]
pub struct HandsetKey {
    private: CryptoKey,
    verifying: CryptoKey,
    public: PublicJwk,
}

impl HandsetKey {
    /// The key of this handset, or none before enrolment.
    ///
    /// # Errors
    /// See [`KeyError`].
    pub async fn load(database: &Database) -> Result<Option<Self>, KeyError> {
        let pair = database.read(KEYS, [Ask::get(HANDSET)]).await?.get(0);
        if pair.is_undefined() {
            return Ok(None);
        }
        Self::of_pair(&pair).await.map(Some)
    }

    /// Makes and stores the key of this handset. If there is one already, that one is returned:
    /// a key that has signed entries is never replaced.
    ///
    /// # Errors
    /// See [`KeyError`]; then no key was stored.
    pub async fn create(database: &Database) -> Result<Self, KeyError> {
        if let Some(key) = Self::load(database).await? {
            return Ok(key);
        }
        let algorithm = ecdsa(&[("namedCurve", "P-256")])?;
        let usages = js_sys::Array::of2(&"sign".into(), &"verify".into());
        let extractable = false;
        let pair = subtle()?
            .generate_key_with_object(&algorithm, extractable, &usages)
            .map_err(failed)?;
        let pair = JsFuture::from(pair).await.map_err(failed)?;
        let key = Self::of_pair(&pair).await?;

        database.change([Change::add(KEYS, HANDSET, &pair)]).await?;
        Ok(key)
    }

    /// Signs bytes with ES256 (ECDSA P-256, SHA-256): r then s, 32 bytes each, which is what a
    /// JWS carries (RFC 7518, section 3.4).
    ///
    /// # Errors
    /// See [`KeyError`].
    pub async fn sign(&self, bytes: &[u8]) -> Result<[u8; 64], KeyError> {
        let algorithm = ecdsa(&[("hash", "SHA-256")])?;
        let signature = subtle()?
            .sign_with_object_and_js_u8_array(
                &algorithm,
                &self.private,
                &js_sys::Uint8Array::from(bytes),
            )
            .map_err(failed)?;
        let signature = JsFuture::from(signature).await.map_err(failed)?;
        let signature = js_sys::Uint8Array::new(&signature).to_vec();
        <[u8; 64]>::try_from(signature).map_err(|_| KeyError::Failed)
    }

    /// Whether a compact JWS carries this key's signature over its signing input, the text before
    /// its last full stop (RFC 7515, 5.2; RFC 7518, 3.4).
    ///
    /// # Errors
    /// [`KeyError::Failed`] if the browser could not look.
    pub async fn fits(&self, compact: &str) -> Result<bool, KeyError> {
        let Some((input, signature)) = compact.rsplit_once('.') else {
            return Ok(false);
        };
        let window = window().map_err(|_| KeyError::Unsupported)?;
        let Ok(signature) = window.atob(&signature.replace('-', "+").replace('_', "/")) else {
            return Ok(false);
        };
        // `atob` gives a character a byte, none above 255 (HTML, 8.3).
        let signature: Vec<u8> = signature
            .chars()
            .filter_map(|byte| u8::try_from(byte).ok())
            .collect();
        let fits = subtle()?
            .verify_with_object_and_js_u8_array_and_js_u8_array(
                &ecdsa(&[("hash", "SHA-256")])?,
                &self.verifying,
                &js_sys::Uint8Array::from(signature.as_slice()),
                &js_sys::Uint8Array::from(input.as_bytes()),
            )
            .map_err(failed)?;
        let fits = JsFuture::from(fits).await.map_err(failed)?;
        Ok(fits.is_truthy())
    }

    /// The public half.
    pub const fn public(&self) -> &PublicJwk {
        &self.public
    }

    async fn of_pair(pair: &JsValue) -> Result<Self, KeyError> {
        let half = |name: &str| -> Result<CryptoKey, KeyError> {
            member(pair, name)
                .and_then(|key| key.dyn_into().ok())
                .ok_or(KeyError::Failed)
        };
        let public_key = half("publicKey")?;
        subtle()?;
        let jwk = jwk_of(&public_key).await.map_err(failed)?;
        let coordinate = |name: &str| -> Result<String, KeyError> {
            member(&jwk, name)
                .and_then(|value| value.as_string())
                .ok_or(KeyError::Failed)
        };
        let public = PublicJwk {
            x: coordinate("x")?,
            y: coordinate("y")?,
        };
        Ok(Self {
            private: half("privateKey")?,
            verifying: public_key,
            public,
        })
    }
}

fn subtle() -> Result<SubtleCrypto, KeyError> {
    super::subtle().ok_or(KeyError::Unsupported)
}

fn ecdsa(parameters: &[(&str, &str)]) -> Result<js_sys::Object, KeyError> {
    let algorithm = js_sys::Object::new();
    for (name, value) in [("name", "ECDSA")].iter().chain(parameters) {
        js_sys::Reflect::set(&algorithm, &(*name).into(), &(*value).into()).map_err(failed)?;
    }
    Ok(algorithm)
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map_err")]
fn failed(problem: JsValue) -> KeyError {
    log(&problem);
    KeyError::Failed
}
