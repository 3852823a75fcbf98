//! Opening the day: float, pails, checks of scale and refractometer.

use crate::speech::say;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// The screen.
#[component]
pub fn OpenDay() -> impl IntoView {
    view! { <h1>{say(Word::DayOpenTitle)}</h1> }
}
