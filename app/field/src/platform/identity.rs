//! New identifiers.

use super::clock;
use uuid::{NoContext, Timestamp, Uuid};

/// A new identifier for a delivery, made when its draft begins and kept through every restart,
/// so that the delivery can get one receipt and no second. UUID version 7 (RFC 9562): time
/// first, so that lists sort by age, and the browser's secure randomness behind it.
///
/// `None` where [`clock::now`] has none.
pub fn new_delivery() -> Option<Uuid> {
    let unix_ms = u64::try_from(clock::now()?.unix_ms).ok()?;
    let nanoseconds = u32::try_from(unix_ms % 1000).ok()? * 1_000_000;
    Some(Uuid::new_v7(Timestamp::from_unix(
        NoContext,
        unix_ms / 1000,
        nanoseconds,
    )))
}

/// Two numbers drawn by the browser's secure randomness, as the start of a grid of points. `None`
/// where [`clock::now`] has none.
pub fn random_start() -> Option<[u16; 2]> {
    // The last four bytes of a UUID version 7 are all random (RFC 9562, 5.7).
    let [.., a, b, c, d] = *new_delivery()?.as_bytes();
    Some([u16::from_be_bytes([a, b]), u16::from_be_bytes([c, d])])
}
