//! Inputs of a delivery: figures and words as typed, and one choice out of few.

use crate::speech::say;
use crate::trouble;
use combgate_ui::figures;
use combgate_ui::words::Word;
use leptos::prelude::*;

/// A figure with its unit; what is wrong with it stands under it.
pub fn figure(
    id: String,
    label: impl Fn() -> String + Send + Sync + 'static,
    unit: Option<Word>,
    places: usize,
    value: impl Fn() -> String + Copy + Send + Sync + 'static,
    typed: impl Fn(String) + 'static,
) -> AnyView {
    let problem_id = format!("{id}-problem");
    let problem = move || {
        let value = value();
        if value.trim().is_empty() {
            return None;
        }
        figures::parse(&value, places)
            .err()
            .map(|error| trouble::of_figure(error, places))
    };
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <div class="with-unit">
                <input
                    id=id
                    class="figure"
                    type="text"
                    inputmode="decimal"
                    autocomplete="off"
                    aria-describedby=problem_id.clone()
                    prop:value=value
                    on:input=move |event| typed(event_target_value(&event))
                />
                {unit.map(|word| view! { <span class="unit">{say(word)}</span> })}
            </div>
            <p class="problem" id=problem_id>{problem}</p>
        </div>
    }
    .into_any()
}

/// A line of text.
pub fn line(
    id: String,
    kind: &'static str,
    label: impl Fn() -> String + Send + Sync + 'static,
    value: impl Fn() -> String + Copy + Send + Sync + 'static,
    typed: impl Fn(String) + 'static,
) -> AnyView {
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <input
                id=id
                type=kind
                autocomplete="off"
                prop:value=value
                on:input=move |event| typed(event_target_value(&event))
            />
        </div>
    }
    .into_any()
}

/// One out of few, as tiles.
pub fn choices<T>(
    name: &str,
    legend: Word,
    all: &[(T, Word)],
    chosen: impl Fn() -> Option<T> + Copy + Send + Sync + 'static,
    choose: impl Fn(T) + Copy + 'static,
) -> AnyView
where
    T: Copy + PartialEq + Send + Sync + 'static,
{
    let tiles: Vec<_> = all
        .iter()
        .map(|(each, word)| {
            let each = *each;
            view! {
                <label class="choice">
                    <input
                        type="radio"
                        name=name.to_owned()
                        prop:checked=move || chosen() == Some(each)
                        on:change=move |_| choose(each)
                    />
                    <span>{say(*word)}</span>
                </label>
            }
        })
        .collect();
    view! {
        <fieldset>
            <legend>{say(legend)}</legend>
            <div class="choices">{tiles}</div>
        </fieldset>
    }
    .into_any()
}
