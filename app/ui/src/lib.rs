//! Views and words shared by the phone and the desk.

pub mod figures;
pub mod findings;
pub mod paper;
pub mod prelude;
pub mod qr;
pub mod sentences;

pub mod words;
