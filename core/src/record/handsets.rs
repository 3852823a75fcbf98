//! The desk's list of its handsets and their keys, for everybody to have.
//!
//! A JWS, `typ` `combgate-handsets`, signed by the desk. With it and the desk's key anybody can
//! check a member's stub: the desk says which key is whose, the key says what the receipt was.
//! It holds no member and no sum. A handset taken out of use stays on it: what it signed while it
//! was in use counts.

use super::HANDSETS_BYTES_AT_MOST;
use super::json::{DocumentError, check_version, from_text, to_text};
use super::jws::{Jws, JwsError, SignatureCheck, Typ, Unsigned};
use super::key::{JwkV1, KeyError, KeyId, PublicKey};
use super::stub::{Stub, StubError};
use crate::units::{Code, Label};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-handsets/1";

/// The payload.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandsetsV1 {
    /// `combgate-handsets/1`.
    pub format: String,
    /// When the list was made.
    #[serde(with = "super::time::instant")]
    pub issued_at: DateTime<FixedOffset>,
    /// Whose handsets.
    pub cooperative: Label,
    /// The desk's public key, by which the list itself is signed.
    pub desk_jwk: JwkV1,
    /// One a handset.
    pub handsets: Vec<KeyOfV1>,
}

/// The key of one handset.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyOfV1 {
    /// Code that begins its receipt numbers.
    pub code: Code,
    /// Its public key.
    pub jwk: JwkV1,
}

/// A list that is refused, or that does not help with a stub.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum HandsetsError {
    /// Form or signature.
    #[error(transparent)]
    Jws(#[from] JwsError),
    /// The payload.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// A key in it.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// Signed by a desk that one does not trust.
    #[error(
        "the list of handsets is signed by the desk {found}, not by {expected}: ask the cooperative for its own list"
    )]
    OtherDesk {
        /// The desk's key that it names.
        found: KeyId,
        /// The key trusted.
        expected: KeyId,
    },
    /// A key that is not on it.
    #[error("no handset on the list has the key {0}: ask the cooperative for a newer list")]
    UnknownHandset(KeyId),
    /// A number of another handset than the key's.
    #[error("the number {number} does not begin with {code}, the code of the handset that signed")]
    OtherCode {
        /// The stub's number.
        number: String,
        /// Code of the handset whose key signed.
        code: Code,
    },
    /// The stub itself.
    #[error(transparent)]
    Stub(#[from] StubError),
}

impl HandsetsV1 {
    /// A list made at this moment.
    pub fn new(
        issued_at: DateTime<FixedOffset>,
        cooperative: Label,
        desk: &PublicKey,
        handsets: Vec<KeyOfV1>,
    ) -> Self {
        Self {
            format: FORMAT.to_owned(),
            issued_at,
            cooperative,
            desk_jwk: desk.jwk(),
            handsets,
        }
    }

    /// Prepares it for signing by the desk's key.
    pub fn unsigned(&self, desk: KeyId) -> Result<Unsigned, DocumentError> {
        Unsigned::new(Typ::Handsets, desk, &to_text("list of handsets", self)?)
    }
}

/// A list that its desk signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handsets(HandsetsV1);

impl Handsets {
    /// Reads a list and checks its signature; with `desk`, also that this desk signed it.
    pub fn read(
        compact: &str,
        desk: Option<KeyId>,
        check: &dyn SignatureCheck,
    ) -> Result<Self, HandsetsError> {
        let jws = Jws::parse(compact.trim(), Typ::Handsets, HANDSETS_BYTES_AT_MOST)?;
        let what = "list of handsets";
        let payload: HandsetsV1 = from_text(what, jws.payload(), HANDSETS_BYTES_AT_MOST)?;
        check_version(what, &payload.format, FORMAT)?;
        let signer = PublicKey::try_from(&payload.desk_jwk)?;
        if let Some(expected) = desk
            && expected != signer.id()
        {
            return Err(HandsetsError::OtherDesk {
                found: signer.id(),
                expected,
            });
        }
        jws.check(&signer, check)?;
        Ok(Self(payload))
    }

    /// What it says.
    pub const fn payload(&self) -> &HandsetsV1 {
        &self.0
    }

    /// Checks a stub: signed by a handset on the list, under that handset's own number. Gives
    /// the handset's code.
    pub fn verify(&self, stub: &Stub, check: &dyn SignatureCheck) -> Result<&Code, HandsetsError> {
        for handset in &self.0.handsets {
            let key = PublicKey::try_from(&handset.jwk)?;
            if key.id() != stub.kid() {
                continue;
            }
            stub.verify(&key, check)?;
            let number = &stub.says().number;
            if number.handset() != &handset.code {
                return Err(HandsetsError::OtherCode {
                    number: number.to_string(),
                    code: handset.code.clone(),
                });
            }
            return Ok(&handset.code);
        }
        Err(HandsetsError::UnknownHandset(stub.kid()))
    }
}
