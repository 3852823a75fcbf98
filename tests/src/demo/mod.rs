//! The invented cooperative of `demo-fixtures/`: its desk, one handset, one day at the gate.
//!
//! Everything is made anew from `demo-fixtures/cooperative` and from test keys, and comes out the
//! same each time. [`files::all`] is what is kept in the repository; `cargo run -p combgate-tests
//! --bin demo-fixtures` writes it.
//!
//! **The keys are no secrets.** They are the published key of RFC 7515, A.3, and SHA-256 digests of
//! the sentences in [`test_key`]. Never enrol a handset with one of them.

pub mod bad;
pub mod cooperative;
pub mod day;
pub mod example;
pub mod file;
pub mod files;
pub mod fortnight;
pub mod handset;
pub mod honey;
pub mod ledger;

use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{Digest, PublicKey, SoftwareKey, Unsigned};
use combgate_core::units::{Code, Label};
use std::path::PathBuf;
use uuid::Uuid;

/// The day at the gate.
///
/// # Panics
/// Never: the day exists.
pub fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 9).unwrap()
}

/// A time of the day at the gate, `07:10`, three hours east of Greenwich.
///
/// # Panics
/// When it is no time.
pub fn at(clock: &str) -> DateTime<FixedOffset> {
    on("2026-10-09", clock)
}

/// A time of any day.
///
/// # Panics
/// When it is no time.
pub fn on(day: &str, clock: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(&format!("{day}T{clock}:00+03:00")).unwrap()
}

/// A code.
///
/// # Panics
/// When it is none.
pub fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

/// A line of text.
///
/// # Panics
/// When it is none.
pub fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

/// Identity of a delivery, told apart by a number.
pub fn delivery_id(number: u64) -> Uuid {
    Uuid::from_u64_pair(0x0199_c0de_0000_7000, 0x8000_0000_0000_0000 + number)
}

/// A test key, different for each name: `handset K7`, `desk`.
///
/// # Panics
/// Never in practice: all but some 2^-32 of the digests are keys.
pub fn test_key(name: &str) -> SoftwareKey {
    let scalar = Digest::of(format!("combgate test key, no secret: {name}"));
    SoftwareKey::from_scalar(scalar.bytes()).unwrap()
}

/// The key that RFC 7515, A.3 publishes, private half and all.
///
/// # Panics
/// Never: the scalar is that of a key.
pub fn published_key() -> SoftwareKey {
    // `jpsQnnGQmL-YBIffH1136cspYG6-0iY7X1fCE9-E9LI` in base64url.
    SoftwareKey::from_scalar(&[
        0x8e, 0x9b, 0x10, 0x9e, 0x71, 0x90, 0x98, 0xbf, 0x98, 0x04, 0x87, 0xdf, 0x1f, 0x5d, 0x77,
        0xe9, 0xcb, 0x29, 0x60, 0x6e, 0xbe, 0xd2, 0x26, 0x3b, 0x5f, 0x57, 0xc2, 0x13, 0xdf, 0x84,
        0xf4, 0xb2,
    ])
    .unwrap()
}

/// The public half.
///
/// # Panics
/// Never: every private key has one.
pub fn public(key: &SoftwareKey) -> PublicKey {
    key.public().unwrap()
}

/// The compact form of a text, signed.
pub fn sign(key: &SoftwareKey, unsigned: &Unsigned) -> String {
    unsigned.with_signature(&key.sign(unsigned))
}

/// `demo-fixtures`.
pub fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../demo-fixtures")
}

/// The text of a file of `demo-fixtures`.
///
/// # Panics
/// When it cannot be read.
pub fn read(path: &str) -> String {
    std::fs::read_to_string(folder().join(path))
        .unwrap_or_else(|error| panic!("demo-fixtures/{path} cannot be read: {error}"))
}
