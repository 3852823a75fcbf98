//! Views and words shared by the phone and the desk.

pub mod figures;
pub mod words;
