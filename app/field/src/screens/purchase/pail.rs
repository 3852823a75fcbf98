//! The containers: number, seal, tare.

use super::Bench;
use super::fields::{figure, line};
use crate::draft::{KILOGRAM_PLACES, TypedPail};
use crate::speech::{fill, say};
use combgate_core::intake::PAILS_AT_MOST;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// The step.
#[component]
pub fn Pail(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    let draft = bench.draft;
    let count = Memo::new(move |_| draft.with(|draft| draft.pails.len()));
    let pails = move || {
        (0..count.get())
            .map(|place| one(bench, place))
            .collect::<Vec<_>>()
    };
    let add = move |_| draft.update(|draft| draft.pails.push(TypedPail::default()));
    let remove = move |_| {
        draft.update(|draft| {
            draft.pails.pop();
        });
    };
    view! {
        {pails}
        <div class="actions">
            <Show when=move || count.get() < PAILS_AT_MOST>
                <button type="button" on:click=add>{say(Word::PurchaseAnotherPail)}</button>
            </Show>
            <Show when=move || { count.get() > 1 }>
                <button type="button" on:click=remove>{say(Word::PurchaseRemovePail)}</button>
            </Show>
        </div>
    }
}

fn one(bench: Bench, place: usize) -> AnyView {
    let shown = (place + 1).to_string();
    view! {
        <div class="card">
            {line(
                format!("pail-number-{place}"),
                "text",
                move || fill(Phrase::PurchasePailNumber { place: &shown }),
                move || of(bench, place, |pail| pail.number.clone()),
                move |typed| set(bench, place, |pail| pail.number = typed),
            )}
            {line(
                format!("pail-seal-{place}"),
                "text",
                move || say(Word::PurchaseSeal)().to_owned(),
                move || of(bench, place, |pail| pail.seal.clone()),
                move |typed| set(bench, place, |pail| pail.seal = typed),
            )}
            {figure(
                format!("pail-tare-{place}"),
                move || say(Word::PurchaseTare)().to_owned(),
                Some(Word::PurchaseUnitKg),
                KILOGRAM_PLACES,
                move || of(bench, place, |pail| pail.tare.clone()),
                move |typed| set(bench, place, |pail| pail.tare = typed),
            )}
        </div>
    }
    .into_any()
}

/// A field of a pail; empty once the pail is gone.
pub(super) fn of(bench: Bench, place: usize, field: impl Fn(&TypedPail) -> String) -> String {
    bench
        .draft
        .with(|draft| draft.pails.get(place).map(field).unwrap_or_default())
}

/// Changes a pail.
pub(super) fn set(bench: Bench, place: usize, change: impl FnOnce(&mut TypedPail)) {
    bench.draft.update(|draft| {
        if let Some(pail) = draft.pails.get_mut(place) {
            change(pail);
        }
    });
}
