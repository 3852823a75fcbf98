//! Signs beside the figures, for those who read digits and not words. Drawn for this project.

use crate::prelude::*;

/// A pail on a scale's pan: weight.
pub(super) const WEIGHT: &str = "M8 4h8l-1 7H9zM4 14h16M12 11v3M5 20h14l-2-6H7zM12 16.5v1.5";
/// A tag on a string: price of one kilogram.
pub(super) const PRICE: &str = "M3 12l8-8h9v9l-8 8zM16.5 7.5h.01M9 12.5l3.5 3.5M11.5 10l3.5 3.5";
/// Coins in a pile and a note: the sum.
pub(super) const TOTAL: &str =
    "M3 5h18v7H3zM12 7v3M5 16c0-1 3-2 7-2s7 1 7 2-3 2-7 2-7-1-7-2zM5 16v3c0 1 3 2 7 2s7-1 7-2v-3";
/// A tick in a closed ring: paid.
pub(super) const PAID: &str = "M12 2a10 10 0 100 20 10 10 0 000-20zM7 12.5l3.5 3.5L17 8.5";
/// An hour glass: owed.
pub(super) const OWED: &str = "M6 2h12M6 22h12M7 2v4l5 6-5 6v4M17 2v4l-5 6 5 6v4";

/// A sign that says nothing to a screen reader: the words stand beside it.
pub(super) fn icon(path: &'static str) -> Node {
    view! {
        <svg class="icon" viewBox="0 0 24 24" aria-hidden="true"><path d=path></path></svg>
    }
    .into_node()
}
