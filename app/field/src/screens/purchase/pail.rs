//! The containers: number, seal, tare.

use super::Bench;
use super::frame::at_second_tap;
use crate::draft::{KILOGRAM_PLACES, TypedPail};
use crate::screens::inputs::{Field, trouble};
use crate::speech::{fill, say, spoken};
use combgate_core::intake::PAILS_AT_MOST;
use combgate_core::units::Grams;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, view, when};

/// The step.
pub fn pail(bench: Bench) -> impl IntoNode {
    let draft = bench.draft;
    let count = Memo::new(move || draft.with(|draft| draft.pails.len()));
    let pails = move || {
        let count = count.get();
        (0..count)
            .map(|place| one(bench, place, count > 1))
            .collect::<Vec<_>>()
    };
    let add = move |_| draft.update(|draft| draft.pails.push(TypedPail::default()));
    view! {
        {pails}
        <div class="actions">
            {when(move || count.get() < PAILS_AT_MOST, move || view! { <button type="button" on:click=add>{say(Word::PurchaseAnotherPail)}</button> })}
        </div>
    }
}

fn one(bench: Bench, place: usize, removable: bool) -> Node {
    let draft = bench.draft;
    let shown = (place + 1).to_string();
    let named = shown.clone();
    let remove = removable.then(|| {
        at_second_tap(
            move || fill(Phrase::PurchaseRemovePail { place: &shown }),
            Word::PurchaseRemoveSure,
            move || {
                draft.with_untracked(|draft| {
                    let pail = draft.pails.get(place);
                    pail.is_some_and(|pail| !pail.is_blank())
                })
            },
            move || {
                draft.update(|draft| {
                    if place < draft.pails.len() {
                        draft.pails.remove(place);
                    }
                });
            },
        )
    });
    let number = Field::new(
        format!("pail-number-{place}"),
        move || fill(Phrase::PurchasePailNumber { place: &named }),
        move || of(bench, place, |pail| &pail.number),
        move |typed| set(bench, place, |pail| pail.number = typed),
    );
    let seal = Field::new(
        format!("pail-seal-{place}"),
        move || spoken(Word::PurchaseSeal).to_owned(),
        move || of(bench, place, |pail| &pail.seal),
        move |typed| set(bench, place, |pail| pail.seal = typed),
    );
    let on_another = Memo::new(move || {
        bench
            .open
            .with_value(|open| draft.with(|draft| draft.seal_stands_twice(open, place)))
    });
    let twice = Memo::new(move || draft.with(|draft| draft.stands_twice(place)));
    let on_receipt = Memo::new(move || {
        bench
            .open
            .with_value(|open| draft.with(|draft| draft.receipt_with_pail(open, place)))
    });
    let bought = move || {
        on_receipt.get().map(|receipt| {
            let receipt = receipt.to_string();
            trouble(move || fill(Phrase::PurchasePailBought { receipt: &receipt }))
        })
    };
    view! {
        <div class="card">
            {number
                .asked_if(move || {
                    draft.with(|draft| draft.pails.get(place).is_some_and(TypedPail::lacks_number))
                })
                .code()}
            {move || twice.get().then(|| trouble(say(Word::PurchasePailTwice)))}
            {bought}
            {kilograms(
                format!("pail-tare-{place}"),
                move || spoken(Word::PurchaseTare).to_owned(),
                move || of(bench, place, |pail| &pail.tare),
                move |typed| set(bench, place, |pail| pail.tare = typed),
            )}
            {seal.code()}
            {move || on_another.get().then(|| trouble(say(Word::PurchaseSealTwice)))}
            {remove}
        </div>
    }
    .into_node()
}

/// A mass in kilograms.
pub(super) fn kilograms(
    id: String,
    label: impl Fn() -> String + 'static,
    value: impl Fn() -> String + 'static,
    typed: impl Fn(String) + 'static,
) -> Node {
    Field::new(id, label, value, typed)
        .in_unit(Word::PurchaseUnitKg)
        .figure(KILOGRAM_PLACES, |grams| Grams::new(grams).is_ok())
}

/// What was typed of a pail; nothing once the pail is gone.
pub(super) fn of(bench: Bench, place: usize, field: fn(&TypedPail) -> &String) -> String {
    bench.draft.with(|draft| {
        draft
            .pails
            .get(place)
            .map_or_else(String::new, |pail| field(pail).clone())
    })
}

/// Changes a pail.
pub(super) fn set(bench: Bench, place: usize, change: impl FnOnce(&mut TypedPail)) {
    bench.draft.update(|draft| {
        if let Some(pail) = draft.pails.get_mut(place) {
            change(pail);
        }
    });
}
