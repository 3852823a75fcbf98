//! ES256 in portable Rust, for the phone's checks and for tests and fixtures.

use super::jws::{SignatureCheck, Signed, Unsigned};
use super::key::PublicKey;
use super::request::UnsignedRequest;
use p256::ecdsa::signature::{Signer, Verifier};
use p256::ecdsa::{Signature, SigningKey, VerifyingKey};

/// Checks signatures with the `p256` crate.
#[derive(Debug, Clone, Copy, Default)]
pub struct SoftwareCheck;

impl SignatureCheck for SoftwareCheck {
    fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool {
        let Ok(key) = VerifyingKey::from_sec1_bytes(&key.uncompressed()) else {
            return false;
        };
        let Ok(signature) = Signature::from_slice(signed.signature) else {
            return false;
        };
        key.verify(signed.message, &signature).is_ok()
    }
}

/// A private key in memory, for tests and fixtures: signatures are deterministic (RFC 6979), so
/// fixtures come out the same each time. A handset's own key never leaves its browser.
#[derive(Debug, Clone)]
pub struct SoftwareKey(SigningKey);

impl SoftwareKey {
    /// From the private scalar; `None` if it is zero or beyond the group's order.
    pub fn from_scalar(scalar: &[u8; 32]) -> Option<Self> {
        SigningKey::from_slice(scalar).ok().map(Self)
    }

    /// Its public half; `None` never happens for a valid key.
    pub fn public(&self) -> Option<PublicKey> {
        PublicKey::from_uncompressed(self.0.verifying_key().to_encoded_point(false).as_bytes())
    }

    /// Signs: `R || S`.
    pub fn sign(&self, text: &Unsigned) -> [u8; 64] {
        self.sign_bytes(text.bytes())
    }

    /// Signs a request: `R || S`.
    pub fn sign_request(&self, request: &UnsignedRequest) -> [u8; 64] {
        self.sign_bytes(request.bytes())
    }

    fn sign_bytes(&self, bytes: &[u8]) -> [u8; 64] {
        let signature: Signature = self.0.sign(bytes);
        signature.to_bytes().into()
    }
}
