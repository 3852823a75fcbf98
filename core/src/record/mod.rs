//! What is kept.
