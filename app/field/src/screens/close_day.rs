//! Closing the day: counted cash and pails, the bundle.

use crate::speech::say;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// The screen.
#[component]
pub fn CloseDay() -> impl IntoView {
    view! { <h1>{say(Word::DayCloseTitle)}</h1> }
}
