//! A bundle file taken apart, so that it can be put together wrongly.

use serde::{Deserialize, Serialize};

/// The file, its texts untouched.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct BundleFile {
    /// Version of the format.
    pub format: String,
    /// Compact JWS.
    pub manifest: String,
    /// Compact JWS each.
    pub entries: Vec<String>,
}

impl BundleFile {
    /// Takes a bundle apart.
    ///
    /// # Panics
    /// When it is none.
    pub fn of(text: &str) -> Self {
        serde_json::from_str(text).unwrap()
    }

    /// Puts it together.
    ///
    /// # Panics
    /// Never: it holds nothing but text.
    pub fn text(&self) -> String {
        serde_json::to_string(self).unwrap()
    }

    /// Another file made of this one.
    pub fn with(&self, change: impl FnOnce(&mut Self)) -> String {
        let mut changed = self.clone();
        change(&mut changed);
        changed.text()
    }
}

/// A compact JWS with one thing in its payload replaced, the signature left as it was.
///
/// # Panics
/// When the payload does not hold it.
pub fn replace_in_payload(compact: &str, was: &str, now: &str) -> String {
    let parts: Vec<_> = compact.split('.').collect();
    let payload = payload(compact);
    let changed = payload.replacen(was, now, 1);
    assert_ne!(changed, payload, "the payload holds no {was}");
    format!("{}.{}.{}", parts[0], encode(&changed), parts[2])
}

/// The payload of a compact JWS, unverified.
///
/// # Panics
/// When it is none.
pub fn payload(compact: &str) -> String {
    use base64::Engine;
    let part = compact.split('.').nth(1).unwrap();
    let bytes = base64::engine::general_purpose::URL_SAFE_NO_PAD
        .decode(part)
        .unwrap();
    String::from_utf8(bytes).unwrap()
}

fn encode(text: &str) -> String {
    use base64::Engine;
    base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(text)
}
