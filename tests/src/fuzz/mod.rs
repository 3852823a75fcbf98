//! Everything that reads what comes from outside, as functions of any bytes.
//!
//! A target must come to an answer on any input: no panic, no hang, no message that repeats a
//! hostile text at length. Where it reads something, more must hold; it says so itself.
//!
//! `tests/tests/fuzz.rs` drives the targets with mutated fixtures on every test run; a coverage
//! guided fuzzer can drive the same functions, from a crate of its own in `tests/fuzz`.

mod mutate;
mod network;
mod targets;

pub use mutate::mutate;
pub use targets::{Target, all};
