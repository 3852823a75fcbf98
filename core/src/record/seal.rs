//! Sealed documents: compact JWE (RFC 7516), content encrypted with AES-256-GCM (RFC 7518, 5.3).
//!
//! Two ways: for the desk alone (`ECDH-ES`, RFC 7518, 4.6), which a locked handset uses to give out
//! its journal; and under a secret key that both sides have (`dir`, 4.5), which a handset uses for
//! what it keeps. Random bytes are given; each may be used once.

use super::json::{from_text, to_text};
use super::key::{JwkV1, PublicKey};
use aes_gcm::aead::{Aead, Payload};
use aes_gcm::{Aes256Gcm, KeyInit, Nonce};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as BASE64URL;
use p256::ecdh::diffie_hellman;
use p256::elliptic_curve::sec1::ToEncodedPoint;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

const ALGORITHM: &str = "ECDH-ES";
const ENCRYPTION: &str = "A256GCM";
const HEADER_BYTES_AT_MOST: usize = 1024;
const NONCE_BYTES: usize = 12;
const TAG_BYTES: usize = 16;

/// A sealed document that cannot be made or opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SealError {
    /// No JWE of the kind described here.
    #[error("this is no sealed document of this kind: ask for the file again")]
    Malformed,
    /// Another key, or a byte changed on the way.
    #[error(
        "it does not open with this key: it was sealed for another desk, or was damaged on the way"
    )]
    DoesNotOpen,
    /// The key it is sealed for is no point of the curve, or the random bytes are no key.
    #[error("the key is not usable: ask the desk for a new brief")]
    BadKey,
}

/// The protected header.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct HeaderV1 {
    alg: String,
    enc: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    epk: Option<JwkV1>,
}

/// Random bytes for one sealing; never used for another.
#[derive(Clone)]
pub struct Entropy {
    /// The key used this once.
    pub ephemeral: [u8; 32],
    /// The nonce.
    pub nonce: [u8; NONCE_BYTES],
}

/// The desk's secret key for what is sealed for it.
pub struct OpeningKey {
    secret: p256::SecretKey,
    public: PublicKey,
}

/// Never shows the secret.
impl std::fmt::Debug for OpeningKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("OpeningKey")
            .field(&self.public.id())
            .finish()
    }
}

impl OpeningKey {
    /// From 32 secret bytes.
    ///
    /// # Errors
    /// [`SealError::BadKey`] for nought and for the few that lie above the group's order.
    pub fn new(secret: &[u8; 32]) -> Result<Self, SealError> {
        let secret = p256::SecretKey::from_slice(secret).map_err(|_| SealError::BadKey)?;
        let public = public_of(&secret)?;
        Ok(Self { secret, public })
    }

    /// The half that handsets get.
    pub const fn public(&self) -> PublicKey {
        self.public
    }

    /// Opens what was sealed for this key.
    ///
    /// # Errors
    /// See [`SealError`].
    pub fn open(&self, compact: &str) -> Result<Vec<u8>, SealError> {
        let parts = Parts::of(compact)?;
        let header = parts.header()?;
        let (ALGORITHM, Some(ephemeral)) = (header.alg.as_str(), &header.epk) else {
            return Err(SealError::Malformed);
        };
        let ephemeral = PublicKey::try_from(ephemeral).map_err(|_| SealError::Malformed)?;
        let key = agreed(&self.secret, &ephemeral)?;
        parts.open(&key)
    }
}

/// Seals a text for the desk alone.
///
/// # Errors
/// [`SealError::BadKey`].
pub fn seal_for(desk: &PublicKey, text: &[u8], entropy: &Entropy) -> Result<String, SealError> {
    let ephemeral =
        p256::SecretKey::from_slice(&entropy.ephemeral).map_err(|_| SealError::BadKey)?;
    let key = agreed(&ephemeral, desk)?;
    let header = HeaderV1 {
        alg: ALGORITHM.to_owned(),
        enc: ENCRYPTION.to_owned(),
        epk: Some(public_of(&ephemeral)?.jwk()),
    };
    seal(&header, &key, text, &entropy.nonce)
}

/// A secret key that both sides have.
pub struct SharedKey([u8; 32]);

/// Never shows the secret.
impl std::fmt::Debug for SharedKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("SharedKey")
    }
}

impl SharedKey {
    /// From 32 secret bytes.
    pub const fn new(secret: [u8; 32]) -> Self {
        Self(secret)
    }

    /// Seals a text.
    ///
    /// # Errors
    /// [`SealError::BadKey`].
    pub fn seal(&self, text: &[u8], nonce: &[u8; NONCE_BYTES]) -> Result<String, SealError> {
        let header = HeaderV1 {
            alg: "dir".to_owned(),
            enc: ENCRYPTION.to_owned(),
            epk: None,
        };
        seal(&header, &self.0, text, nonce)
    }

    /// Opens what was sealed with this key.
    ///
    /// # Errors
    /// See [`SealError`].
    pub fn open(&self, compact: &str) -> Result<Vec<u8>, SealError> {
        let parts = Parts::of(compact)?;
        let header = parts.header()?;
        if header.alg != "dir" || header.epk.is_some() {
            return Err(SealError::Malformed);
        }
        parts.open(&self.0)
    }
}

/// Whether a text looks like a sealed document: five parts (RFC 7516, 7.1) on one line, where a signed
/// one has three and a bundle begins with a brace. Two signed ones, a line each, have five parts too.
pub fn is_sealed(text: &str) -> bool {
    let text = text.trim();
    text.starts_with("eyJ") && text.matches('.').count() == 4 && !text.contains('\n')
}

/// The five parts of the compact form (RFC 7516, 7.1).
struct Parts<'a> {
    protected: &'a str,
    nonce: &'a str,
    ciphertext: &'a str,
    tag: &'a str,
}

impl<'a> Parts<'a> {
    fn of(compact: &'a str) -> Result<Self, SealError> {
        let mut parts = compact.trim().split('.');
        let mut next = || parts.next().ok_or(SealError::Malformed);
        let (protected, key) = (next()?, next()?);
        let (nonce, ciphertext, tag) = (next()?, next()?, next()?);
        // Both ways have no encrypted key (RFC 7518, 4.5 and 4.6).
        if parts.next().is_some() || !key.is_empty() {
            return Err(SealError::Malformed);
        }
        Ok(Self {
            protected,
            nonce,
            ciphertext,
            tag,
        })
    }

    fn header(&self) -> Result<HeaderV1, SealError> {
        if self.protected.len() > HEADER_BYTES_AT_MOST {
            return Err(SealError::Malformed);
        }
        let text = String::from_utf8(decode(self.protected)?).map_err(|_| SealError::Malformed)?;
        let header: HeaderV1 =
            from_text("header", &text, HEADER_BYTES_AT_MOST).map_err(|_| SealError::Malformed)?;
        if header.enc != ENCRYPTION {
            return Err(SealError::Malformed);
        }
        Ok(header)
    }

    fn open(&self, key: &[u8; 32]) -> Result<Vec<u8>, SealError> {
        let nonce = decode(self.nonce)?;
        let nonce: [u8; NONCE_BYTES] = nonce.try_into().map_err(|_| SealError::Malformed)?;
        let tag = decode(self.tag)?;
        if tag.len() != TAG_BYTES {
            return Err(SealError::Malformed);
        }
        let mut sealed = decode(self.ciphertext)?;
        sealed.extend_from_slice(&tag);
        let payload = Payload {
            msg: &sealed,
            aad: self.protected.as_bytes(),
        };
        Aes256Gcm::new(key.into())
            .decrypt(&Nonce::from(nonce), payload)
            .map_err(|_| SealError::DoesNotOpen)
    }
}

fn seal(
    header: &HeaderV1,
    key: &[u8; 32],
    text: &[u8],
    nonce: &[u8; NONCE_BYTES],
) -> Result<String, SealError> {
    let header = to_text("header", header).map_err(|_| SealError::Malformed)?;
    let protected = BASE64URL.encode(header);
    let payload = Payload {
        msg: text,
        aad: protected.as_bytes(),
    };
    let sealed = Aes256Gcm::new(key.into())
        .encrypt(&Nonce::from(*nonce), payload)
        .map_err(|_| SealError::BadKey)?;
    // OK because this algorithm's output ends with its tag.
    let (ciphertext, tag) = sealed
        .split_at_checked(sealed.len().saturating_sub(TAG_BYTES))
        .ok_or(SealError::BadKey)?;
    let [nonce, ciphertext, tag] = [&nonce[..], ciphertext, tag].map(|part| BASE64URL.encode(part));
    Ok(format!("{protected}..{nonce}.{ciphertext}.{tag}"))
}

/// The content key of `ECDH-ES` for A256GCM: one round of the concatenation key derivation of NIST
/// SP 800-56A, 5.8.1, with nobody named on either side (RFC 7518, 4.6.2).
fn agreed(secret: &p256::SecretKey, public: &PublicKey) -> Result<[u8; 32], SealError> {
    let public =
        p256::PublicKey::from_sec1_bytes(&public.uncompressed()).map_err(|_| SealError::BadKey)?;
    let shared = diffie_hellman(secret.to_nonzero_scalar(), public.as_affine());
    Ok(derived(
        shared.raw_secret_bytes(),
        ENCRYPTION,
        &[],
        &[],
        256,
    ))
}

fn derived(shared: &[u8], algorithm: &str, ours: &[u8], theirs: &[u8], bits: u32) -> [u8; 32] {
    let mut hash = Sha256::new();
    hash.update(1_u32.to_be_bytes());
    hash.update(shared);
    for part in [algorithm.as_bytes(), ours, theirs] {
        // OK because all three are short names.
        hash.update(u32::try_from(part.len()).unwrap_or(u32::MAX).to_be_bytes());
        hash.update(part);
    }
    hash.update(bits.to_be_bytes());
    hash.finalize().into()
}

fn public_of(secret: &p256::SecretKey) -> Result<PublicKey, SealError> {
    let point = secret.public_key().to_encoded_point(false);
    PublicKey::from_uncompressed(point.as_bytes()).ok_or(SealError::BadKey)
}

fn decode(part: &str) -> Result<Vec<u8>, SealError> {
    BASE64URL.decode(part).map_err(|_| SealError::Malformed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SECRET: [u8; 32] = [7; 32];
    const ENTROPY: Entropy = Entropy {
        ephemeral: [9; 32],
        nonce: [3; NONCE_BYTES],
    };

    fn key(d: &str) -> p256::SecretKey {
        p256::SecretKey::from_slice(&decode(d).unwrap()).unwrap()
    }

    /// Source: RFC 7518, appendix C: Alice's ephemeral key and Bob's public key, both named, for
    /// A128GCM; the first 16 bytes are its key.
    #[test]
    fn the_agreement_is_that_of_the_published_example() {
        let alice = key("0_NxaRPUMQoAJt50Gz8YiTr8gRTwyEaCumd-MToTmIo");
        let bob = key("VEmDZpDXXK8p8N0Cndsxs924q6nS1RXFASRl6BfUqdw");
        let from_alice = diffie_hellman(alice.to_nonzero_scalar(), bob.public_key().as_affine());
        let from_bob = diffie_hellman(bob.to_nonzero_scalar(), alice.public_key().as_affine());
        assert_eq!(from_alice.raw_secret_bytes(), from_bob.raw_secret_bytes());
        let key = derived(
            from_alice.raw_secret_bytes(),
            "A128GCM",
            b"Alice",
            b"Bob",
            128,
        );
        assert_eq!(BASE64URL.encode(&key[..16]), "VqqN6vgjbSBcIijNcacQGg");
    }

    #[test]
    fn only_the_desk_opens_it() {
        let desk = OpeningKey::new(&SECRET).unwrap();
        let sealed = seal_for(&desk.public(), b"a journal", &ENTROPY).unwrap();
        assert!(is_sealed(&sealed));
        assert!(!is_sealed("eyJhbGciOiJFUzI1NiJ9.e30.c2ln"));
        assert!(!is_sealed(
            "eyJhbGciOiJFUzI1NiJ9.e30.c2ln\neyJhbGciOiJFUzI1NiJ9.e30.c2ln"
        ));
        assert_eq!(desk.open(&sealed).unwrap(), b"a journal");
        let other = OpeningKey::new(&[8; 32]).unwrap();
        assert_eq!(other.open(&sealed), Err(SealError::DoesNotOpen));
        assert_eq!(
            SharedKey::new(SECRET).open(&sealed),
            Err(SealError::Malformed)
        );
    }

    #[test]
    fn a_changed_character_opens_nothing() {
        let desk = OpeningKey::new(&SECRET).unwrap();
        let sealed = seal_for(&desk.public(), b"a journal", &ENTROPY).unwrap();
        for place in 0..sealed.len() {
            let mut changed = sealed.clone().into_bytes();
            changed[place] = if changed[place] == b'A' { b'B' } else { b'A' };
            let changed = String::from_utf8(changed).unwrap();
            assert!(desk.open(&changed).is_err(), "character {place}");
        }
    }

    #[test]
    fn keys_that_are_none_are_refused() {
        assert_eq!(
            OpeningKey::new(&[0; 32]).map(|_| ()),
            Err(SealError::BadKey)
        );
        let nowhere = PublicKey::from_uncompressed(&[4; 65]).unwrap();
        assert_eq!(seal_for(&nowhere, b"", &ENTROPY), Err(SealError::BadKey));
    }

    proptest! {
        #[test]
        fn what_is_sealed_opens_again(
            text in proptest::collection::vec(any::<u8>(), 0..300),
            nonce in any::<[u8; NONCE_BYTES]>(),
            secret in any::<[u8; 32]>(),
        ) {
            let shared = SharedKey::new(secret);
            prop_assert_eq!(&shared.open(&shared.seal(&text, &nonce).unwrap()).unwrap(), &text);
        }

        #[test]
        fn anything_at_all_is_read_or_refused(text in "[A-Za-z0-9._-]{0,200}|\\PC{0,60}") {
            let _ = SharedKey::new(SECRET).open(&text);
            let _ = OpeningKey::new(&SECRET).unwrap().open(&text);
        }
    }
}
