//! A bundle before the ledger sees it: taken apart, then its signatures checked.

use super::ImportError;
use crate::files::FileError;
use combgate_core::record::{
    Bundle, BundleError, Digest, KeyId, PublicKey, SignatureCheck, Unverified, Verified,
};
use std::path::Path;

/// A file that is a bundle, whoever signed it.
pub(super) struct Unproven {
    bytes: Vec<u8>,
    file: Digest,
    bundle: Bundle<Unverified>,
}

/// A bundle held against the key of the handset that it names.
pub(super) struct Proven {
    /// As it came.
    pub(super) bytes: Vec<u8>,
    /// Of the bytes.
    pub(super) file: Digest,
    /// Whose it says it is.
    pub(super) key: KeyId,
    /// What came of it.
    pub(super) bundle: Result<Bundle<Verified>, BundleError>,
}

impl Unproven {
    /// Takes the bytes of a file apart; `path` is the name that it is told by.
    pub(super) fn read(path: &Path, bytes: Vec<u8>) -> Result<Self, ImportError> {
        let text = str::from_utf8(&bytes).map_err(|_| FileError::NotText(path.to_owned()))?;
        let bundle = Bundle::parse(text).map_err(ImportError::Unusable)?;
        Ok(Self {
            file: Digest::of(&bytes),
            bytes,
            bundle,
        })
    }

    /// The key of the handset that it names.
    pub(super) fn key(&self) -> KeyId {
        self.bundle.kid()
    }

    /// As it came.
    pub(super) fn into_bytes(self) -> Vec<u8> {
        self.bytes
    }

    /// Checks every signature against that key.
    pub(super) fn prove(self, key: &PublicKey, check: &dyn SignatureCheck) -> Proven {
        Proven {
            bytes: self.bytes,
            file: self.file,
            key: self.bundle.kid(),
            bundle: self.bundle.verify(Some(key), check),
        }
    }
}
