//! Public keys: P-256 points as JWK (RFC 7517, RFC 7518 6.2), named by thumbprint (RFC 7638).

use super::digest::{Digest, decode_32};
use super::json::plain;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};

/// A key that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    /// Another kind of key.
    #[error("the key is {0} {1}, but EC P-256 is used here: make the enrolment card again")]
    OtherKind(String, String),
    /// A coordinate of the wrong length or alphabet.
    #[error("the key's {0} is not 32 bytes of base64url: make the enrolment card again")]
    BadCoordinate(&'static str),
}

/// A public JWK as it stands in documents: these four members and no others.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JwkV1 {
    /// `P-256`.
    pub crv: String,
    /// `EC`.
    pub kty: String,
    /// First coordinate, base64url.
    pub x: String,
    /// Second coordinate, base64url.
    pub y: String,
}

/// A public key on P-256. Whether the point lies on the curve is seen when a signature is checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PublicKey {
    x: [u8; 32],
    y: [u8; 32],
}

impl PublicKey {
    /// The uncompressed point: 0x04, x, y (SEC 1, 2.3.3).
    pub fn uncompressed(&self) -> [u8; 65] {
        let mut bytes = [4; 65];
        bytes[1..33].copy_from_slice(&self.x);
        bytes[33..].copy_from_slice(&self.y);
        bytes
    }

    /// From the uncompressed point; `None` if it is not one.
    pub fn from_uncompressed(bytes: &[u8]) -> Option<Self> {
        let (&[4], rest) = bytes.split_first_chunk::<1>()? else {
            return None;
        };
        let (x, y) = rest.split_first_chunk::<32>()?;
        Some(Self {
            x: *x,
            y: y.try_into().ok()?,
        })
    }

    /// As a JWK.
    pub fn jwk(&self) -> JwkV1 {
        JwkV1 {
            crv: "P-256".to_owned(),
            kty: "EC".to_owned(),
            x: URL_SAFE_NO_PAD.encode(self.x),
            y: URL_SAFE_NO_PAD.encode(self.y),
        }
    }

    /// Its name.
    pub fn id(&self) -> KeyId {
        let jwk = self.jwk();
        // RFC 7638, 3: the required members in lexicographic order, no white space.
        let canonical = format!(
            r#"{{"crv":"{}","kty":"{}","x":"{}","y":"{}"}}"#,
            jwk.crv, jwk.kty, jwk.x, jwk.y
        );
        KeyId(Digest::of(canonical))
    }
}

impl TryFrom<&JwkV1> for PublicKey {
    type Error = KeyError;
    fn try_from(jwk: &JwkV1) -> Result<Self, KeyError> {
        if jwk.kty != "EC" || jwk.crv != "P-256" {
            let short = |text: &str| plain(&text.chars().take(12).collect::<String>());
            return Err(KeyError::OtherKind(short(&jwk.kty), short(&jwk.crv)));
        }
        Ok(Self {
            x: decode_32(&jwk.x).ok_or(KeyError::BadCoordinate("x"))?,
            y: decode_32(&jwk.y).ok_or(KeyError::BadCoordinate("y"))?,
        })
    }
}

/// A key's RFC 7638 thumbprint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct KeyId(Digest);

impl KeyId {
    /// The first eight characters in two groups, for people to compare by eye.
    pub fn short(&self) -> String {
        let full = self.to_string();
        let (first, second) = (full.get(..4), full.get(4..8));
        format!(
            "{} {}",
            first.unwrap_or_default(),
            second.unwrap_or_default()
        )
    }
}

impl std::fmt::Display for KeyId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

impl TryFrom<String> for KeyId {
    type Error = super::DocumentError;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        Digest::try_from(text).map(Self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jwk(x: &str, y: &str) -> JwkV1 {
        JwkV1 {
            crv: "P-256".into(),
            kty: "EC".into(),
            x: x.into(),
            y: y.into(),
        }
    }

    /// Source: RFC 9449 (figures 2 and 9) prints this P-256 key and its thumbprint `jkt`; the
    /// example of RFC 7638 itself is an RSA key, which is not read here. The libraries jose and
    /// jwcrypto say the same of this project's keys in tests/tests/outside/thumbprints.rs.
    #[test]
    fn a_key_is_named_by_its_rfc_7638_thumbprint() {
        let key = PublicKey::try_from(&jwk(
            "l8tFrhx-34tV3hRICRDY9zCkDlpBhF42UQUfWVAWBFs",
            "9VE4jf_Ok_o64zbTTlcuNJajHmt6v9TDVrU0CdvGRDA",
        ))
        .unwrap();
        assert_eq!(
            key.id().to_string(),
            "0ZcOCORZNYy-DWpqq30jZyJGHTN0d2HglBV3uiguA4I"
        );
        assert_eq!(key.id().short(), "0ZcO CORZ");
    }

    #[test]
    fn jwk_and_point_are_the_same_key() {
        let wire = jwk(
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU",
            "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0",
        );
        let key = PublicKey::try_from(&wire).unwrap();
        assert_eq!(key.jwk(), wire);
        assert_eq!(PublicKey::from_uncompressed(&key.uncompressed()), Some(key));
        let mut compressed = key.uncompressed();
        compressed[0] = 2;
        assert_eq!(PublicKey::from_uncompressed(&compressed), None);
        assert_eq!(
            PublicKey::from_uncompressed(&key.uncompressed()[..64]),
            None
        );
        assert_eq!(PublicKey::from_uncompressed(&[]), None);
    }

    #[test]
    fn other_keys_and_lax_coordinates_are_refused() {
        let good = "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU";
        for bad in [
            "",
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVE",
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU=",
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEV",
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVE+",
            "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU ",
        ] {
            assert_eq!(
                PublicKey::try_from(&jwk(bad, good)),
                Err(KeyError::BadCoordinate("x")),
                "{bad}"
            );
            assert_eq!(
                PublicKey::try_from(&jwk(good, bad)),
                Err(KeyError::BadCoordinate("y")),
                "{bad}"
            );
        }
        for (kty, crv) in [
            ("EC", "P-384"),
            ("OKP", "P-256"),
            ("RSA", ""),
            ("ec", "p-256"),
        ] {
            let other = JwkV1 {
                kty: kty.into(),
                crv: crv.into(),
                ..jwk(good, good)
            };
            assert!(
                matches!(PublicKey::try_from(&other), Err(KeyError::OtherKind(..))),
                "{kty} {crv}"
            );
        }
    }
}
