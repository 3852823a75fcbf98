//! Checks against sources outside the project, and across its parts.
//!
//! - [`demo`]: the invented cooperative of `demo-fixtures`, made anew.
//! - [`twin`]: the second signature that fits, which anybody can make.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

pub mod demo;
pub mod twin;
