//! Point counts of the comb.

use super::Bench;
use crate::draft::Tap;
use crate::speech::{fill, language, say};
use combgate_core::intake::COMBS_AT_MOST;
use combgate_ui::paper;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// The step.
#[component]
pub fn Comb(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    match untrack(|| bench.draft.with(|draft| draft.form)) {
        None => view! { <p class="notice">{say(Word::PurchaseProductFirst)}</p> }.into_any(),
        Some(form) if !form.has_comb_to_count() => {
            view! { <p class="notice">{say(Word::PurchaseNoComb)}</p> }.into_any()
        }
        Some(_) => view! { <Count bench/> }.into_any(),
    }
}

#[component]
fn Count(bench: Bench) -> impl IntoView {
    let draft = bench.draft;
    let combs = Memo::new(move |_| draft.with(crate::draft::Draft::combs));
    let tap = move |tap: Tap| draft.update(|draft| draft.taps.push(tap));
    let undo = move |_| {
        draft.update(|draft| {
            draft.taps.pop();
        });
    };
    let current = move || {
        let combs = combs.get();
        let [capped, open, other] = combs.last().copied().unwrap_or_default();
        let place = combs.len().to_string();
        view! {
            <h2>{fill(Phrase::PurchaseCombPlace { place: &place })}</h2>
            <p>
                {say(Word::PurchaseCappedPoint)} ": " {capped} ", "
                {say(Word::PurchaseOpenPoint)} ": " {open} ", "
                {say(Word::PurchaseOtherPoint)} ": " {other}
            </p>
        }
    };
    let points = move || {
        let honey: i64 = combs
            .get()
            .iter()
            .map(|[capped, open, _]| capped + open)
            .sum();
        let points = honey.to_string();
        fill(Phrase::PurchasePoints { points: &points })
    };
    // A comb without a point is none.
    let can_go_on = move || {
        let combs = combs.get();
        combs.len() < COMBS_AT_MOST
            && combs
                .last()
                .is_some_and(|last| last.iter().sum::<i64>() > 0)
    };
    let share = move || {
        let assessment = bench.assessed.get().ok()?;
        Some(paper::measured(language(), &assessment))
    };
    let button = move |kind: Tap, word: Word| {
        view! { <button type="button" on:click=move |_| tap(kind)>{say(word)}</button> }
    };
    view! {
        <p class="hint">{say(Word::PurchaseCombHint)}</p>
        {current}
        <div class="actions">
            {button(Tap::Capped, Word::PurchaseCappedPoint)}
            {button(Tap::Open, Word::PurchaseOpenPoint)}
            {button(Tap::Other, Word::PurchaseOtherPoint)}
        </div>
        <div class="actions">
            <button type="button" on:click=undo>{say(Word::ActionUndo)}</button>
            <button
                type="button"
                disabled=move || !can_go_on()
                on:click=move |_| tap(Tap::NextComb)
            >
                {say(Word::PurchaseNextComb)}
            </button>
        </div>
        <p>{points}</p>
        {share}
    }
}
