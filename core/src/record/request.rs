//! A request to the desk, signed by a handset: HTTP Message Signatures (RFC 9421) with
//! `ecdsa-p256-sha256` (its section 3.3.4).
//!
//! What is covered is fixed: method, authority, path, and with a body its `Content-Digest`
//! (RFC 9530, SHA-256). The parameters are `created`, and `keyid`, which is the key's thumbprint.
//! Every other form is refused: a request has one reading.
//!
//! ```text
//! Content-Digest: sha-256=:RK/0qy18MlBSVnWgjwz6lZEWjP/lF5HF9bvEF8FabDg=:
//! Signature-Input: handset=("@method" "@authority" "@path" "content-digest")
//!                  ;created=1791522600;keyid="…";alg="ecdsa-p256-sha256"
//! Signature: handset=:…:
//! ```

mod fields;

use super::digest::Digest;
use super::jws::{SignatureCheck, Signed};
use super::key::{KeyId, PublicKey};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::{DateTime, FixedOffset};
use fields::Input;

/// Where a handset fetches its newest brief.
pub const BRIEF_PATH: &str = "/v1/brief";
/// Where a handset fetches the acknowledgement of what it handed over.
pub const ACKNOWLEDGEMENT_PATH: &str = "/v1/acknowledgement";
/// Where bundles go; the digest of the file is the last part of the path.
pub const BUNDLES_PATH: &str = "/v1/bundles";
/// How far a request's `created` may lie from the desk's clock, seconds, either way: common
/// practice, long enough for a slow upload.
pub const CREATED_WITHIN_SECONDS: u64 = 300;

const ALGORITHM: &str = "ecdsa-p256-sha256";
const LABEL: &str = "handset";
const AUTHORITY_BYTES_AT_MOST: usize = 255;
const PATH_BYTES_AT_MOST: usize = 1_024;

/// A request that is refused, or cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RequestError {
    /// No name of a host.
    #[error("the desk's address is not a host with or without a port: ask the clerk for it again")]
    BadAuthority,
    /// No path.
    #[error("the path of the request is not plain ASCII that begins with '/': correct it")]
    BadPath,
    /// The header fields do not have the form they must have.
    #[error("the {field} field {reason}: update the page on the handset, then send again")]
    Malformed {
        /// Which field.
        field: &'static str,
        /// What is wrong.
        reason: &'static str,
    },
    /// Something must be signed and is not, or something else is.
    #[error(
        "the signature covers {found}, but {expected} is needed: update the page on the handset, then send again"
    )]
    OtherCoverage {
        /// What it covers.
        found: String,
        /// What it must cover.
        expected: String,
    },
    /// The body is not what the signed digest says.
    #[error("the content is not what its digest says: it was damaged on the way, send it again")]
    DigestDiffers,
    /// Signed by another key.
    #[error("the request is signed by key {found}, but {expected} was expected")]
    OtherKey {
        /// The key it names.
        found: KeyId,
        /// The key expected.
        expected: KeyId,
    },
    /// The signature does not fit.
    #[error(
        "the signature does not fit the request: it was changed on the way, or a proxy in front of the desk does not pass the Host field on"
    )]
    BadSignature,
    /// Made too long before or after the desk's time.
    #[error(
        "the request was signed at {created} by the handset's clock, the desk's clock shows {now}: sign again with the desk's time"
    )]
    ClockApart {
        /// When it says that it was signed, seconds since 1970.
        created: i64,
        /// The desk's time, seconds since 1970.
        now: i64,
    },
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Method {
    Get,
    Put,
}

impl Method {
    const fn name(self) -> &'static str {
        match self {
            Self::Get => "GET",
            Self::Put => "PUT",
        }
    }
}

/// A request to the desk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    method: Method,
    authority: String,
    path: String,
    content_digest: Option<String>,
}

impl Request {
    /// A request for a document.
    ///
    /// The authority is the host, with its port unless that is the scheme's own, as in
    /// `desk.example:8443`; a browser calls it `URL.host`.
    pub fn get(authority: &str, path: &str) -> Result<Self, RequestError> {
        Self::new(Method::Get, authority, path, None)
    }

    /// A request that brings content with this digest.
    pub fn put(authority: &str, path: &str, content: Digest) -> Result<Self, RequestError> {
        Self::new(Method::Put, authority, path, Some(content_digest(content)))
    }

    /// A bundle on its way to the desk, by the digest of its file. The desk knows who sends, and
    /// what, before it reads any of it; that the content is what the digest says is still to be
    /// looked at.
    pub fn bundle(authority: &str, file: Digest) -> Result<Self, RequestError> {
        Self::put(authority, &format!("{BUNDLES_PATH}/{file}"), file)
    }

    fn new(
        method: Method,
        authority: &str,
        path: &str,
        content_digest: Option<String>,
    ) -> Result<Self, RequestError> {
        let host = |byte: u8| byte.is_ascii_alphanumeric() || b".-:[]".contains(&byte);
        if authority.is_empty()
            || authority.len() > AUTHORITY_BYTES_AT_MOST
            || !authority.bytes().all(host)
        {
            return Err(RequestError::BadAuthority);
        }
        let plain = |byte: u8| byte.is_ascii_graphic() && !b"?#\"\\".contains(&byte);
        if !path.starts_with('/') || path.len() > PATH_BYTES_AT_MOST || !path.bytes().all(plain) {
            return Err(RequestError::BadPath);
        }
        Ok(Self {
            method,
            // RFC 9421, 2.2.3: the host is compared in small letters.
            authority: authority.to_ascii_lowercase(),
            path: path.to_owned(),
            content_digest,
        })
    }

    /// Its path.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The components covered, in order, with their values.
    fn components(&self) -> Vec<(&'static str, &str)> {
        let mut components = vec![
            ("@method", self.method.name()),
            ("@authority", self.authority.as_str()),
            ("@path", self.path.as_str()),
        ];
        if let Some(digest) = &self.content_digest {
            components.push(("content-digest", digest.as_str()));
        }
        components
    }

    /// Prepares it for signing by a key at a time: the phone's clock, or the desk's if the desk
    /// said that they are apart.
    pub fn unsigned(self, key: KeyId, created: DateTime<FixedOffset>) -> UnsignedRequest {
        let components = self.components();
        let names: Vec<&str> = components.iter().map(|(name, _)| *name).collect();
        let parameters = format!(
            r#"{};created={};keyid="{key}";alg="{ALGORITHM}""#,
            fields::inner_list(&names),
            created.timestamp()
        );
        let base = signature_base(components, &parameters);
        UnsignedRequest {
            parameters,
            content_digest: self.content_digest,
            base,
        }
    }
}

/// `Content-Digest` (RFC 9530, 2).
fn content_digest(content: Digest) -> String {
    format!("sha-256=:{}:", STANDARD.encode(content.bytes()))
}

/// The text that is signed (RFC 9421, 2.5).
fn signature_base<'a>(
    components: impl IntoIterator<Item = (&'a str, &'a str)>,
    parameters: &str,
) -> String {
    let mut base = String::new();
    for (name, value) in components {
        base.push_str(&["\"", name, "\": ", value, "\n"].concat());
    }
    base + "\"@signature-params\": " + parameters
}

/// A request ready to be signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnsignedRequest {
    parameters: String,
    content_digest: Option<String>,
    base: String,
}

impl UnsignedRequest {
    /// The bytes to sign with ES256.
    pub fn bytes(&self) -> &[u8] {
        self.base.as_bytes()
    }

    /// The header fields to send along, with `R || S`.
    pub fn with_signature(self, signature: &[u8; 64]) -> SignedFields {
        SignedFields {
            content_digest: self.content_digest,
            signature_input: format!("{LABEL}={}", self.parameters),
            signature: format!("{LABEL}=:{}:", STANDARD.encode(signature)),
        }
    }
}

/// The header fields of a signed request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignedFields {
    /// `Content-Digest`, with content only.
    pub content_digest: Option<String>,
    /// `Signature-Input`.
    pub signature_input: String,
    /// `Signature`.
    pub signature: String,
}

/// A request's signature as received, unproven until it is checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestSignature {
    input: Input,
    key: KeyId,
    content_digest: Option<String>,
    signature: [u8; 64],
}

impl RequestSignature {
    /// Reads the header fields, strictly: one signature, by this algorithm, with the time and the
    /// key's name.
    pub fn parse(fields: &SignedFields) -> Result<Self, RequestError> {
        let input = Input::parse(&fields.signature_input)?;
        let key = KeyId::try_from(input.key.clone()).map_err(|_| RequestError::Malformed {
            field: "Signature-Input",
            reason: "names no key by its thumbprint",
        })?;
        if input.algorithm.as_deref().unwrap_or(ALGORITHM) != ALGORITHM {
            return Err(RequestError::Malformed {
                field: "Signature-Input",
                reason: "names another algorithm than ecdsa-p256-sha256",
            });
        }
        Ok(Self {
            signature: fields::signature(&fields.signature, &input.label)?,
            content_digest: fields.content_digest.clone(),
            input,
            key,
        })
    }

    /// The key it names.
    pub const fn key(&self) -> KeyId {
        self.key
    }

    /// Checks that this key signed exactly this request, and when.
    pub fn check(
        &self,
        request: &Request,
        key: &PublicKey,
        now: DateTime<FixedOffset>,
        check: &dyn SignatureCheck,
    ) -> Result<(), RequestError> {
        let expected = key.id();
        if self.key != expected {
            return Err(RequestError::OtherKey {
                found: self.key,
                expected,
            });
        }
        if self.content_digest != request.content_digest {
            return Err(RequestError::DigestDiffers);
        }
        let covered = request.components();
        // In any order, but each of them once and nothing else.
        let value = |name: &String| covered.iter().find(|(known, _)| known == name).copied();
        let signed: Option<Vec<_>> = self.input.components.iter().map(value).collect();
        let signed = signed
            .filter(|signed| signed.len() == covered.len())
            .ok_or_else(|| RequestError::OtherCoverage {
                found: fields::inner_list(&self.input.components),
                expected: fields::inner_list(
                    &covered.iter().map(|(name, _)| *name).collect::<Vec<_>>(),
                ),
            })?;
        let base = signature_base(signed, &self.input.parameters);
        let signed = Signed::new(base.as_bytes(), &self.signature);
        if !check.fits(key, signed) {
            return Err(RequestError::BadSignature);
        }
        let (created, now) = (self.input.created, now.timestamp());
        if created.abs_diff(now) > CREATED_WITHIN_SECONDS {
            return Err(RequestError::ClockApart { created, now });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
