//! The day so far.

use crate::speech::say;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// The screen.
#[component]
pub fn Today() -> impl IntoView {
    view! { <h1>{say(Word::TodayTitle)}</h1> }
}
