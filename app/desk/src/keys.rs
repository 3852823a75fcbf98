//! ES256 at the desk: checking signatures on all cores, and the desk's own key.

mod multiples;
mod table;

pub use table::KeyTable;

use crate::outcome::Advice;
use combgate_core::record::seal::OpeningKey;
use combgate_core::record::{EntryFault, ParsedEntry, PublicKey, SignatureCheck, Signed, Unsigned};
use rayon::prelude::*;
use ring::hkdf::{HKDF_SHA256, Salt};
use ring::rand::SystemRandom;
use ring::signature::{
    ECDSA_P256_SHA256_FIXED, ECDSA_P256_SHA256_FIXED_SIGNING, EcdsaKeyPair, KeyPair,
    UnparsedPublicKey,
};

/// Fewer than this at a time are not worth handing to another core.
const SHARE_AT_LEAST: usize = 16;
/// So many signatures share the inverses of a [`KeyTable`].
const TOGETHER: usize = 64;

/// Checks single signatures with the `ring` library, and many by one key with a [`KeyTable`], on all
/// cores.
#[derive(Debug, Clone, Copy, Default)]
pub struct DeskCheck;

impl SignatureCheck for DeskCheck {
    fn fits(&self, key: &PublicKey, signed: Signed<'_>) -> bool {
        UnparsedPublicKey::new(&ECDSA_P256_SHA256_FIXED, key.uncompressed())
            .verify(signed.message, signed.signature)
            .is_ok()
    }

    fn fit_all(&self, key: &PublicKey, many: &[Signed<'_>]) -> Vec<bool> {
        if let Some(table) = KeyTable::for_many(key, many.len()) {
            return many
                .par_chunks(TOGETHER)
                .flat_map_iter(|some| table.fit(some))
                .collect();
        }
        many.par_iter()
            .with_min_len(SHARE_AT_LEAST)
            .map(|signed| self.fits(key, *signed))
            .collect()
    }

    fn parse_all(&self, many: &[String]) -> Vec<Result<ParsedEntry, EntryFault>> {
        many.par_iter()
            .with_min_len(SHARE_AT_LEAST)
            .map(|compact| {
                let entry = ParsedEntry::parse(compact)?;
                // Worked out here, on whichever core: whoever books it asks for it.
                entry.hash();
                Ok(entry)
            })
            .collect()
    }
}

/// A key of the desk that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum DeskKeyError {
    /// The operating system gave no randomness.
    #[error("no key could be made: the system gives no random numbers")]
    NoRandomness,
    /// What the ledger holds is no key.
    #[error("the desk's key in the ledger is damaged")]
    Damaged,
}

impl Advice for DeskKeyError {
    fn hint(&self) -> String {
        match self {
            Self::NoRandomness => "restart this machine, then give the command again".to_owned(),
            Self::Damaged => "restore the last backup of the desk's folder into another folder: a \
                              new key would be unknown to every handset"
                .to_owned(),
        }
    }
}

/// The desk's key, by which briefs and acknowledgements are signed.
pub struct DeskKey {
    pair: EcdsaKeyPair,
    public: PublicKey,
    random: SystemRandom,
    opening_secret: [u8; 32],
}

/// Never shows the private half.
impl std::fmt::Debug for DeskKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("DeskKey").field(&self.public.id()).finish()
    }
}

impl DeskKey {
    /// Makes a new key, as PKCS#8.
    pub fn make() -> Result<Vec<u8>, DeskKeyError> {
        EcdsaKeyPair::generate_pkcs8(&ECDSA_P256_SHA256_FIXED_SIGNING, &SystemRandom::new())
            .map(|document| document.as_ref().to_vec())
            .map_err(|_| DeskKeyError::NoRandomness)
    }

    /// Takes a key kept as PKCS#8.
    pub fn read(pkcs8: &[u8]) -> Result<Self, DeskKeyError> {
        let random = SystemRandom::new();
        let pair = EcdsaKeyPair::from_pkcs8(&ECDSA_P256_SHA256_FIXED_SIGNING, pkcs8, &random)
            .map_err(|_| DeskKeyError::Damaged)?;
        let public = PublicKey::from_uncompressed(pair.public_key().as_ref())
            .ok_or(DeskKeyError::Damaged)?;
        Ok(Self {
            pair,
            public,
            random,
            opening_secret: opening_secret(pkcs8)?,
        })
    }

    /// The key for what handsets seal for this desk: another one than that which signs, and made
    /// from the same secret, so that a backup has both.
    pub fn opening(&self) -> Result<OpeningKey, DeskKeyError> {
        OpeningKey::new(&self.opening_secret).map_err(|_| DeskKeyError::Damaged)
    }

    /// Its public half.
    pub const fn public(&self) -> PublicKey {
        self.public
    }

    /// The compact form of a text, signed.
    pub fn sign(&self, unsigned: &Unsigned) -> Result<String, DeskKeyError> {
        let signature = self
            .pair
            .sign(&self.random, unsigned.bytes())
            .map_err(|_| DeskKeyError::NoRandomness)?;
        // OK because this algorithm's signatures are R || S, 64 bytes.
        let signature = signature
            .as_ref()
            .try_into()
            .map_err(|_| DeskKeyError::Damaged)?;
        Ok(unsigned.with_signature(signature))
    }
}

/// HKDF (RFC 5869) with SHA-256 over the whole PKCS#8 text.
fn opening_secret(pkcs8: &[u8]) -> Result<[u8; 32], DeskKeyError> {
    let mut secret = [0; 32];
    Salt::new(HKDF_SHA256, &[])
        .extract(pkcs8)
        .expand(&[b"combgate: sealed for the desk"], HKDF_SHA256)
        .and_then(|bytes| bytes.fill(&mut secret))
        .map_err(|_| DeskKeyError::Damaged)?;
    Ok(secret)
}

#[cfg(test)]
mod tests {
    use super::*;
    use combgate_core::record::{JwkV1, Jws, SoftwareCheck, Typ};

    /// Source: RFC 7515, appendix A.3.1. Its `S` is above half the group's order.
    #[test]
    fn the_published_example_fits_and_a_changed_one_does_not() {
        let jwk = JwkV1 {
            crv: "P-256".to_owned(),
            kty: "EC".to_owned(),
            x: "f83OJ3D2xF1Bg8vub9tLe1gHMzV76e8Tus9uPHvRVEU".to_owned(),
            y: "x_FEzRu9m36HLN_tue659LNpXW6pCyStikYjKIWI5a0".to_owned(),
        };
        let key = PublicKey::try_from(&jwk).unwrap();
        let message = b"eyJhbGciOiJFUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
        let signature: [u8; 64] = [
            14, 209, 33, 83, 121, 99, 108, 72, 60, 47, 127, 21, 88, 7, 212, 2, 163, 178, 40, 3, 58,
            249, 124, 126, 23, 129, 154, 195, 22, 158, 166, 101, 197, 10, 7, 211, 140, 60, 112,
            229, 216, 241, 45, 175, 8, 74, 84, 128, 166, 101, 144, 197, 242, 147, 80, 154, 143, 63,
            127, 138, 131, 163, 84, 213,
        ];
        let fits = |message: &[u8], signature: &[u8; 64]| {
            DeskCheck.fits(&key, Signed::new(message, signature))
        };
        assert!(fits(message, &signature));
        let mut other = *message;
        other[40] ^= 1;
        assert!(!fits(&other, &signature));
        let mut other = signature;
        other[63] ^= 1;
        assert!(!fits(message, &other));
    }

    #[test]
    fn many_are_answered_one_by_one_in_order() {
        let key = DeskKey::read(&DeskKey::make().unwrap()).unwrap();
        let signed: Vec<Jws> = (0..500)
            .map(|number| {
                let text = format!(r#"{{"number":{number}}}"#);
                let unsigned = Unsigned::new(Typ::Entry, key.public().id(), &text).unwrap();
                Jws::parse(&key.sign(&unsigned).unwrap(), Typ::Entry, 1_000).unwrap()
            })
            .collect();
        let wrong = [0, 63, 64, 250, 499];
        let other = [9; 64];
        let many: Vec<Signed<'_>> = signed
            .iter()
            .enumerate()
            .map(|(place, jws)| {
                let signed = jws.signed();
                let wrong = wrong.contains(&place);
                Signed::new(
                    signed.message,
                    if wrong { &other } else { signed.signature },
                )
            })
            .collect();
        let expected: Vec<bool> = (0..500).map(|place| !wrong.contains(&place)).collect();
        assert_eq!(DeskCheck.fit_all(&key.public(), &many), expected);
        assert_eq!(DeskCheck.fit_all(&key.public(), &[]), Vec::<bool>::new());
    }

    #[test]
    fn what_the_desk_signs_is_accepted_by_the_phones_checker() {
        let key = DeskKey::read(&DeskKey::make().unwrap()).unwrap();
        let unsigned = Unsigned::new(Typ::Brief, key.public().id(), "{}").unwrap();
        let jws = Jws::parse(&key.sign(&unsigned).unwrap(), Typ::Brief, 1_000).unwrap();
        assert_eq!(jws.check(&key.public(), &SoftwareCheck), Ok(()));
        let another = DeskKey::read(&DeskKey::make().unwrap()).unwrap();
        assert!(jws.check(&another.public(), &SoftwareCheck).is_err());
        assert!(DeskKey::read(b"no key").is_err());
    }
}
