//! A receipt or slip, for the farmer alone: nothing here leads to another member's data.

use crate::speech::say;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// The screen.
#[component]
pub fn Receipt(
    /// The entry's place in the journal.
    seq: u32,
) -> impl IntoView {
    let _ = seq;
    view! { <h1>{say(Word::ReceiptTitle)}</h1> }
}
