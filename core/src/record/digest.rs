//! SHA-256 digests, written in base64url without padding.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};
use sha2::Digest as _;

/// A SHA-256 digest.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Digest([u8; 32]);

impl Digest {
    /// What stands before the first entry of a journal.
    pub const NONE: Self = Self([0; 32]);

    /// Digest of bytes.
    pub fn of(bytes: impl AsRef<[u8]>) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// Digests of a text and of how it begins, which is gone through once.
    pub(super) fn of_both(whole: &[u8], beginning: &[u8]) -> (Self, Self) {
        let mut running = sha2::Sha256::new_with_prefix(beginning);
        let beginning_alone = running.clone().finalize();
        running.update(whole.get(beginning.len()..).unwrap_or_default());
        (
            Self(running.finalize().into()),
            Self(beginning_alone.into()),
        )
    }

    /// The bytes.
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl std::fmt::Display for Digest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&String::from(*self))
    }
}

impl std::fmt::Debug for Digest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{self}")
    }
}

impl TryFrom<String> for Digest {
    type Error = super::DocumentError;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        decode_32(&text)
            .map(Self)
            .ok_or_else(|| Self::Error::malformed("digest", "not 43 characters of base64url"))
    }
}

impl From<Digest> for String {
    fn from(digest: Digest) -> Self {
        URL_SAFE_NO_PAD.encode(digest.0)
    }
}

/// Strict base64url of exactly 32 bytes.
pub(super) fn decode_32(text: &str) -> Option<[u8; 32]> {
    let mut bytes = [0; 33];
    // 43 characters hold 32 bytes; what is longer than a digest does not fit, or fills one more.
    let length = URL_SAFE_NO_PAD.decode_slice(text, &mut bytes).ok()?;
    (length == 32).then(|| bytes.first_chunk().copied())?
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: FIPS 180-4's example message "abc" (digest from memory, recomputed with Python's
    /// hashlib), and SHA-256 of nothing (the same).
    #[test]
    fn digests_are_sha_256_in_base64url() {
        assert_eq!(
            Digest::of("abc").to_string(),
            "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0"
        );
        assert_eq!(
            Digest::of("").to_string(),
            "47DEQpj8HBSa-_TImW-5JCeuQeRkm5NMpJWZG3hSuFU"
        );
        assert_eq!(Digest::NONE.to_string(), "A".repeat(43));
    }

    #[test]
    fn a_text_and_its_beginning_are_digested_at_once() {
        let text = b"abc".repeat(50);
        for length in [0, 1, 63, 64, 65, 149, 150] {
            let beginning = &text[..length];
            let both = (Digest::of(&text), Digest::of(beginning));
            assert_eq!(Digest::of_both(&text, beginning), both, "{length}");
        }
    }

    #[test]
    fn a_digest_has_one_spelling() {
        let text = "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0";
        assert_eq!(Digest::try_from(text.to_owned()), Ok(Digest::of("abc")));
        for bad in [
            "",
            "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa",
            "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0=",
            "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0",
            "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa1",
            "ungWv48Bz-pBQUDeXa4iI7ADYaOWF3qctBD_YfIAFa0A",
        ] {
            assert!(Digest::try_from(bad.to_owned()).is_err(), "{bad}");
        }
    }
}
