//! Checks against sources outside the project: published tables and other languages' libraries.
//!
//! - [`reference`]: the published tables in `tests/reference`, whose README says where each row
//!   was read.
//! - [`python`]: questions put to Python's libraries, with the scripts of `tests/interop`.
//! - [`node`]: the same for libraries of the npm registry.
//! - [`outside`]: what such a check came to.
//! - [`demo`]: the invented cooperative of `demo-fixtures`, made anew.
//! - [`fuzz`]: everything that reads from outside, as functions of any text.
//! - [`gate`]: the least policy and delivery that let a price be asked for.
//! - [`same_bits`]: questions that desk and phone must answer alike to the bit.
//! - [`twin`]: the second signature that fits, which anybody can make.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

pub mod demo;
pub mod fuzz;
pub mod gate;
pub mod node;
pub mod outside;
pub mod python;
pub mod reference;
pub mod same_bits;
pub mod twin;
