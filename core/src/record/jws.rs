//! Compact JWS (RFC 7515) with ES256 (RFC 7518, 3.4): `header.payload.signature`.
//!
//! Strict: exactly three parts of base64url without padding, the header exactly
//! `{"alg":"ES256","kid":…,"typ":…}` in any order, the signature 64 bytes `R || S`. A high `S` is
//! accepted, as the RFC's own example has one.

use super::digest::Digest;
use super::entry::{EntryFault, ParsedEntry};
use super::json::{DocumentError, from_text, to_text};
use super::key::{KeyId, PublicKey};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};

/// What a JWS holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Typ {
    /// One entry of a journal.
    #[serde(rename = "combgate-entry")]
    Entry,
    /// The manifest of a bundle.
    #[serde(rename = "combgate-manifest")]
    Manifest,
    /// A brief.
    #[serde(rename = "combgate-brief")]
    Brief,
    /// An acknowledgement.
    #[serde(rename = "combgate-acknowledgement")]
    Acknowledgement,
    /// The stub of a receipt or a slip.
    #[serde(rename = "combgate-stub")]
    Stub,
    /// The handsets of a desk and their keys.
    #[serde(rename = "combgate-handsets")]
    Handsets,
}

/// A JWS that is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum JwsError {
    /// Too large, or the header is not what it must be.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// Not three parts of base64url.
    #[error("the signed text is damaged: its {0} is not strict base64url; ask for the file again")]
    NotCompact(&'static str),
    /// Another kind of document.
    #[error("the signed text is a {found:?}, not a {expected:?}: choose the right file")]
    OtherTyp {
        /// What it says it is.
        found: Typ,
        /// What was asked for.
        expected: Typ,
    },
    /// Signed by another key.
    #[error(
        "the signed text names key {found}, but {expected} was expected: it is from somebody else"
    )]
    OtherKey {
        /// The key it names.
        found: KeyId,
        /// The key expected.
        expected: KeyId,
    },
    /// The signature does not fit.
    #[error(
        "the signature does not fit: the text was changed after signing or damaged on the way; ask for it again"
    )]
    BadSignature,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Header {
    alg: Alg,
    kid: KeyId,
    typ: Typ,
}

#[derive(Debug, Serialize, Deserialize)]
enum Alg {
    #[serde(rename = "ES256")]
    Es256,
}

/// One signature to check: over `message`, `R || S`.
#[derive(Debug, Clone, Copy)]
pub struct Signed<'a> {
    /// The bytes signed.
    pub message: &'a [u8],
    /// 64 bytes, `R || S`.
    pub signature: &'a [u8; 64],
    /// Of the message, where it was worked out on the way to another.
    digest: Option<Digest>,
}

impl<'a> Signed<'a> {
    /// A signature over a message.
    pub const fn new(message: &'a [u8], signature: &'a [u8; 64]) -> Self {
        Self {
            message,
            signature,
            digest: None,
        }
    }

    /// SHA-256 of the message, which is what is signed of it.
    pub fn digest(&self) -> Digest {
        self.digest.unwrap_or_else(|| Digest::of(self.message))
    }
}

/// A checker of ES256 signatures. The phone and the tests bring portable Rust, the desk a faster
/// one; both must accept a high `S`.
pub trait SignatureCheck {
    /// Whether the signature fits.
    fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool;

    /// Many by one key; a checker with several cores does better than this.
    fn fit_all(&self, key: &PublicKey, many: &[Signed<'_>]) -> Vec<bool> {
        many.iter().map(|signed| self.fits(key, *signed)).collect()
    }

    /// Takes many entries apart, each by [`ParsedEntry::parse`], in their order; a checker with
    /// several cores does better than this.
    fn parse_all(&self, many: &[String]) -> Vec<Result<ParsedEntry, EntryFault>> {
        many.iter()
            .map(|compact| ParsedEntry::parse(compact))
            .collect()
    }
}

/// A JWS whose form is right and whose signature is not yet checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Jws {
    compact: String,
    signed_length: usize,
    kid: KeyId,
    payload: String,
    signature: [u8; 64],
}

impl Jws {
    /// Takes a compact JWS apart.
    pub fn parse(compact: &str, typ: Typ, limit: usize) -> Result<Self, JwsError> {
        if compact.len() > limit {
            return Err(DocumentError::TooLarge {
                what: "signed text",
                found: compact.len(),
                limit,
            }
            .into());
        }
        let mut parts = compact.split('.');
        let (Some(header), Some(payload), Some(signature), None) =
            (parts.next(), parts.next(), parts.next(), parts.next())
        else {
            return Err(JwsError::NotCompact("form"));
        };
        let header: Header = from_text(
            "header of the signed text",
            &decode_text(header, "header")?,
            limit,
        )?;
        if header.typ != typ {
            return Err(JwsError::OtherTyp {
                found: header.typ,
                expected: typ,
            });
        }
        let signed_length = compact.len() - signature.len() - 1;
        let signature = URL_SAFE_NO_PAD
            .decode(signature)
            .ok()
            .and_then(|bytes| bytes.try_into().ok())
            .ok_or(JwsError::NotCompact("signature"))?;
        Ok(Self {
            compact: compact.to_owned(),
            signed_length,
            kid: header.kid,
            payload: decode_text(payload, "payload")?,
            signature,
        })
    }

    /// Which key it names.
    pub const fn kid(&self) -> KeyId {
        self.kid
    }

    /// The text signed, unproven as long as the signature is unchecked.
    pub fn payload(&self) -> &str {
        &self.payload
    }

    /// The whole, as received.
    pub fn compact(&self) -> &str {
        &self.compact
    }

    /// What the signature is over.
    pub fn signed(&self) -> Signed<'_> {
        Signed::new(
            &self.compact.as_bytes()[..self.signed_length],
            &self.signature,
        )
    }

    /// The same with the digest of what it is over, from [`Self::digests`].
    pub(super) fn signed_with(&self, digest: Option<Digest>) -> Signed<'_> {
        Signed {
            digest,
            ..self.signed()
        }
    }

    /// Of the whole and of what the signature is over.
    pub(super) fn digests(&self) -> (Digest, Digest) {
        let text = self.compact.as_bytes();
        Digest::of_both(text, &text[..self.signed_length])
    }

    /// Checks that it names this key and that the signature fits.
    pub fn check(&self, key: &PublicKey, check: &dyn SignatureCheck) -> Result<(), JwsError> {
        let expected = key.id();
        if self.kid != expected {
            return Err(JwsError::OtherKey {
                found: self.kid,
                expected,
            });
        }
        if check.fits(key, self.signed()) {
            Ok(())
        } else {
            Err(JwsError::BadSignature)
        }
    }
}

fn decode_text(part: &str, name: &'static str) -> Result<String, JwsError> {
    URL_SAFE_NO_PAD
        .decode(part)
        .ok()
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .ok_or(JwsError::NotCompact(name))
}

/// A text ready to be signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsigned {
    input: String,
}

impl Unsigned {
    /// Prepares a payload for signing by a key.
    pub fn new(typ: Typ, kid: KeyId, payload: &str) -> Result<Self, DocumentError> {
        let header = to_text(
            "header of the signed text",
            &Header {
                alg: Alg::Es256,
                kid,
                typ,
            },
        )?;
        let (header, payload) = (
            URL_SAFE_NO_PAD.encode(header),
            URL_SAFE_NO_PAD.encode(payload),
        );
        Ok(Self {
            input: format!("{header}.{payload}"),
        })
    }

    /// The bytes to sign with ES256.
    pub fn bytes(&self) -> &[u8] {
        self.input.as_bytes()
    }

    /// Length of the compact form once signed.
    pub const fn compact_length(&self) -> usize {
        // A dot, and 64 bytes in 86 characters.
        self.input.len() + 87
    }

    /// The compact form, with `R || S`.
    pub fn with_signature(&self, signature: &[u8; 64]) -> String {
        format!("{}.{}", self.input, URL_SAFE_NO_PAD.encode(signature))
    }
}

#[cfg(test)]
mod tests;
