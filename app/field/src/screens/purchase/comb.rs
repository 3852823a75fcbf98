//! Point counts of the comb: a pad for a hand that looks elsewhere, and a photo to count on.

use super::Bench;
use super::photo::Photo;
use crate::draft::{Draft, Tap};
use crate::platform::touch;
use crate::speech::{fill, language, say};
use combgate_core::intake::COMBS_AT_MOST;
use combgate_ui::paper;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, untrack, view};

/// The zones from top to bottom, or from left to right, each with what it feels like: the hand
/// knows which one it hit.
const ZONES: [(Tap, Word, &str, &[u16]); 3] = [
    (Tap::Capped, Word::PurchaseCappedPoint, "capped", &[40]),
    (Tap::Open, Word::PurchaseOpenPoint, "open", &[40, 80, 40]),
    (Tap::Other, Word::PurchaseOtherPoint, "other", &[200]),
];
const FELT_UNDO: &[u16] = &[30, 60, 30, 60, 30];
const FELT_COMB: &[u16] = &[400];

/// The step.
pub fn comb(bench: Bench) -> impl IntoNode {
    match untrack(|| bench.draft.with(|draft| draft.form)) {
        None => view! { <p class="notice">{say(Word::PurchaseProductFirst)}</p> }.into_node(),
        Some(form) if !form.has_comb_to_count() => {
            view! { <p class="notice">{say(Word::PurchaseNoComb)}</p> }.into_node()
        }
        Some(_) => count(bench),
    }
}

fn count(bench: Bench) -> Node {
    let draft = bench.draft;
    let combs = Memo::new(move || draft.with(Draft::combs));
    let current = Memo::new(move || combs.with(|combs| combs.last().copied().unwrap_or_default()));
    let photo = Photo::none(bench);
    let tap = move |tap: Tap, felt: &'static [u16]| {
        // On a photo whose points are all judged there is nothing left to count.
        if tap != Tap::NextComb && !photo.judge() {
            return;
        }
        draft.update(|draft| draft.taps.push(tap));
        touch::vibrate(felt);
    };
    let undo = move |_| {
        draft.update(|draft| {
            draft.taps.pop();
        });
        photo.take_back();
        touch::vibrate(FELT_UNDO);
    };
    let next = move |_| {
        photo.remove();
        tap(Tap::NextComb, FELT_COMB);
    };
    // A comb without a point is none.
    let can_go_on =
        move || combs.with(Vec::len) < COMBS_AT_MOST && current.get().iter().sum::<i64>() > 0;
    let zones: Vec<_> = ZONES
        .into_iter()
        .enumerate()
        .map(|(place, (kind, word, class, felt))| {
            view! {
                <button type="button" class=class on:click=move |_| tap(kind, felt)>
                    <span>{say(word)}</span>
                    <span class="count" aria-hidden="true">{move || current.get()[place].to_string()}</span>
                </button>
            }
        })
        .collect();
    let share = move || {
        let assessment = bench.assessed.get().ok()?;
        Some(paper::measured(language(), &assessment))
    };
    view! {
        {photo.view()}
        <div class="pad">{zones}</div>
        <p class="hint">{say(Word::PurchaseCombHint)}</p>
        <p role="status">{move || combs.with(|combs| told(combs))}</p>
        <div class="actions">
            <button
                type="button"
                disabled=move || draft.with(|draft| draft.taps.is_empty())
                on:click=undo
            >
                {say(Word::PurchaseUndoPoint)}
            </button>
            <button type="button" disabled=move || !can_go_on() on:click=next>
                {say(Word::PurchaseNextComb)}
            </button>
        </div>
        {photo.chooser()}
        {share}
    }
    .into_node()
}

/// The running count, as it is read out.
fn told(combs: &[[i64; 3]]) -> String {
    let [capped, open, other] = combs.last().copied().unwrap_or_default();
    let honey: i64 = combs.iter().map(|[capped, open, _]| capped + open).sum();
    let figures = [capped, open, other, honey].map(|count| count.to_string());
    let [capped, open, other, honey] = figures.each_ref().map(String::as_str);
    let place = combs.len().to_string();
    let here = fill(Phrase::PurchaseCounted {
        place: &place,
        capped,
        open,
        other,
    });
    format!("{here} {}", fill(Phrase::PurchasePoints { points: honey }))
}
