//! Gross, tare, net.

use super::frame::unusable;
use super::{Bench, pail};
use crate::draft::TypedPail;
use crate::speech::{fill, language, say};
use combgate_core::record::GroundCode;
use combgate_ui::paper;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, untrack, view, when};

/// The step.
pub fn weight(bench: Bench) -> impl IntoNode {
    if bench.open.with_value(|open| open.scale.is_none()) {
        return view! { <p class="notice">{say(Word::PurchaseNoScale)}</p> }.into_node();
    }
    let pails = untrack(|| bench.draft.with(|draft| draft.pails.clone()));
    if pails.iter().all(TypedPail::is_blank) {
        return view! { <p class="notice">{say(Word::PurchasePailsFirst)}</p> }.into_node();
    }
    let weights: Vec<_> = pails
        .into_iter()
        .enumerate()
        .filter(|(_, pail)| !pail.is_blank())
        .map(|(place, typed)| {
            pail::kilograms(
                format!("gross-{place}"),
                move || {
                    fill(Phrase::PurchaseGross {
                        number: typed.number.trim(),
                    })
                },
                move || pail::of(bench, place, |pail| &pail.gross),
                move |typed| pail::set(bench, place, |pail| pail.gross = typed),
            )
        })
        .collect();
    // Made once: at every key only the figures change.
    let sum = Memo::new(move || {
        bench
            .assessed
            .with(|assessed| paper::weights(assessed.as_ref().ok()?))
    });
    let figure =
        move |place: usize| (move || sum.with(|sum| sum.as_ref()?.get(place).cloned())).into_node();
    let live = when(
        move || sum.with(Option::is_some),
        move || paper::sum(language(), [0, 1, 2].map(figure)),
    );
    view! {
        <p class="hint">{say(Word::PurchaseWeighHint)}</p>
        {weights}
        {unusable(bench, GroundCode::WeightUnusable)}
        {live}
    }
    .into_node()
}
