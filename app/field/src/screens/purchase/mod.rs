//! A delivery, step by step: who and what first, then what is found, then what follows from it.

pub mod comb;
pub mod decision;
pub mod inspection;
pub mod member;
pub mod moisture;
pub mod pail;
pub mod product;
pub mod weight;

use crate::route::{Route, Step};
use crate::speech::{fill, say};
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// The screen, at one step.
#[component]
pub fn Purchase(
    /// Which step.
    step: Step,
) -> impl IntoView {
    let place = Step::ALL
        .into_iter()
        .position(|each| each == step)
        .unwrap_or(0);
    let (number, count) = ((place + 1).to_string(), Step::ALL.len().to_string());
    let before = place
        .checked_sub(1)
        .and_then(|place| Step::ALL.get(place))
        .copied();
    let after = Step::ALL.get(place + 1).copied();
    let link = |step: Step, word: Word, class: &'static str| {
        let href = Route::Purchase(step).href();
        view! { <a class=class href=href>{say(word)}</a> }
    };
    let part = match step {
        Step::Member => member::Member().into_any(),
        Step::Product => product::Product().into_any(),
        Step::Pail => pail::Pail().into_any(),
        Step::Inspection => inspection::Inspection().into_any(),
        Step::Comb => comb::Comb().into_any(),
        Step::Moisture => moisture::Moisture().into_any(),
        Step::Weight => weight::Weight().into_any(),
        Step::Decision => decision::Decision().into_any(),
    };
    view! {
        <p>{move || fill(Phrase::PurchaseStep { number: &number, count: &count })}</p>
        <h1>{say(step.title())}</h1>
        {part}
        <div class="actions">
            {before.map(|step| link(step, Word::ActionBack, "button"))}
            {after.map(|step| link(step, Word::ActionNext, "button primary"))}
        </div>
    }
}
