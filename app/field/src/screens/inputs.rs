//! Inputs of the day's screens: figures and lines as typed, and what was said last.

use crate::handset::{Handset, Refused};
use crate::platform::files;
use crate::speech::say;
use crate::trouble;
use combgate_core::units::{Currency, Money};
use combgate_ui::figures;
use combgate_ui::words::Word;
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A figure in units of `10^-places`; what is wrong with it stands under it.
pub fn figure(id: &'static str, label: Word, places: usize, typed: RwSignal<String>) -> AnyView {
    let problem_id = format!("{id}-problem");
    let problem = move || {
        let typed = typed.get();
        let error = figures::parse(&typed, places).err()?;
        (!typed.trim().is_empty()).then(|| trouble::of_figure(error, places))
    };
    view! {
        <div class="field">
            <label for=id>{say(label)}</label>
            <input
                id=id
                class="figure"
                type="text"
                inputmode="decimal"
                autocomplete="off"
                aria-describedby=problem_id.clone()
                prop:value=typed
                on:input=move |event| typed.set(event_target_value(&event))
            />
            <p class="problem" id=problem_id>{problem}</p>
        </div>
    }
    .into_any()
}

/// A line of text.
pub fn line(id: &'static str, label: Word, typed: RwSignal<String>) -> AnyView {
    view! {
        <div class="field">
            <label for=id>{say(label)}</label>
            <input
                id=id
                type="text"
                autocomplete="off"
                prop:value=typed
                on:input=move |event| typed.set(event_target_value(&event))
            />
        </div>
    }
    .into_any()
}

/// A yes or no.
pub fn tick(id: &'static str, label: Word, ticked: RwSignal<bool>) -> AnyView {
    view! {
        <div class="field">
            <label class="choice" for=id>
                <input
                    id=id
                    type="checkbox"
                    prop:checked=ticked
                    on:change=move |event| ticked.set(event_target_checked(&event))
                />
                <span>{say(label)}</span>
            </label>
        </div>
    }
    .into_any()
}

/// What went wrong, if something did.
pub fn problem(said: RwSignal<Option<Word>>) -> impl IntoView {
    move || {
        said.get().map(|word| {
            view! { <p class="notice trouble" role="alert">{say(word)}</p> }
        })
    }
}

/// A sentence that stands by itself.
pub fn notice(word: Word) -> AnyView {
    view! { <p class="notice" role="status">{say(word)}</p> }.into_any()
}

/// Runs what was asked for and says what went wrong.
pub fn attempt(
    said: RwSignal<Option<Word>>,
    work: impl Future<Output = Result<(), Refused>> + 'static,
) {
    spawn_local(async move {
        let outcome = work.await;
        // What was asked for may have taken the form away with what it would have said.
        let _ = said.try_set(outcome.err().map(|refused| trouble::of_refused(&refused)));
    });
}

/// Exports the whole journal as a bundle file.
#[component]
pub fn Export(
    /// Whose journal.
    handset: Handset,
) -> impl IntoView {
    let said = RwSignal::new(None::<Word>);
    let exported = RwSignal::new(false);
    let export = move |_| {
        attempt(said, async move {
            let bundle = handset.bundle().await?;
            match files::download(&bundle.name, "application/json", &bundle.text) {
                Ok(()) => exported.set(true),
                Err(_) => said.set(Some(Word::ErrorFileFailed)),
            }
            Ok(())
        });
    };
    view! {
        <div class="actions">
            <button type="button" class="primary" on:click=export>{say(Word::TodayExport)}</button>
        </div>
        {problem(said)}
        {move || exported.get().then(|| notice(Word::TodayExported))}
    }
}

/// Reads a count of things; nothing typed is no count.
pub fn count(typed: &str) -> Option<u32> {
    u32::try_from(figures::parse(typed, 0).ok()?).ok()
}

/// Reads a sum of money that was counted: never negative, in minor units.
pub fn money(typed: &str, currency: Currency) -> Option<i64> {
    let minor = figures::parse(typed, decimals(currency)).ok()?;
    let money = Money::new(minor, currency).ok()?.minor();
    (money >= 0).then_some(money)
}

/// How many decimals a currency has.
pub fn decimals(currency: Currency) -> usize {
    usize::try_from(currency.decimals()).unwrap_or(0)
}
