//! Desk and phone answer alike to the bit: the phone's half of the check, in a real browser. The
//! other half is `tests/tests/same_bits.rs`; both hold what they reckon to one file of marks.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    dead_code,
    unreachable_pub,
    reason = "a test that fails should stop at once; the desk's half uses what this one does not"
)]

#[path = "../../../tests/src/same_bits/mod.rs"]
mod same_bits;

use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn the_phone_answers_what_is_kept() {
    if let Err(differences) = same_bits::compare_all(same_bits::KEPT) {
        panic!("{differences}");
    }
}
