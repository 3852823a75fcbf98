//! Taking in the brief.

use crate::speech::say;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// The screen.
#[component]
pub fn Brief() -> impl IntoView {
    view! { <h1>{say(Word::BriefTitle)}</h1> }
}
