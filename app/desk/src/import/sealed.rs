//! A bundle that a locked handset sealed for this desk.

use super::ImportError;
use crate::keys::DeskKey;
use crate::store::Store;
use combgate_core::record::BUNDLE_BYTES_AT_MOST;
use combgate_core::record::seal::is_sealed;

/// Most bytes of a bundle, sealed or not. Base64url has four characters for three bytes; the rest is the header.
pub(crate) const BYTES_AT_MOST: usize = BUNDLE_BYTES_AT_MOST / 3 * 4 + 4096;

/// Whether a locked handset sealed these bytes.
pub(super) fn is_sealed_bundle(bytes: &[u8]) -> bool {
    str::from_utf8(bytes).is_ok_and(is_sealed)
}

/// The bundle itself; what is not sealed comes back as it is.
pub(super) fn opened<S: Store>(store: &S, bytes: Vec<u8>) -> Result<Vec<u8>, ImportError> {
    let Some(sealed) = str::from_utf8(&bytes).ok().filter(|text| is_sealed(text)) else {
        return Ok(bytes);
    };
    let Some(desk) = store.desk()? else {
        return Ok(bytes);
    };
    let key = DeskKey::read(&desk.private_key)?.opening()?;
    key.open(sealed).map_err(ImportError::Sealed)
}
