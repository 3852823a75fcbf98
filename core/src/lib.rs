//! The rules of buying honey at the farm gate, and the documents that carry them.
//!
//! - [`units`]: quantities that cannot be mixed up and cannot be impossible.
//! - [`honey`]: what honey is: the refractometer's tables and formulae.
//! - [`intake`]: what the officer judges: comb, container, senses, weight, decision, price.
//! - [`record`]: what is kept: signed entries, bundle, brief, acknowledgement.
//! - [`clerk`]: what the desk checks and sums.
//!
//! This crate reads no clock, file, network, locale or source of randomness. Phone and desk
//! call the same functions and get the same answer to the bit.

pub mod clerk;
pub mod honey;
pub mod intake;
pub mod record;
pub mod units;
