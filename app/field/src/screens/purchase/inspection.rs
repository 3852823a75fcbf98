//! Container, hygiene and senses.

use super::Bench;
use super::fields::choices;
use crate::speech::{fill, say};
use combgate_core::intake::{Answer, Fault, FaultRoom};
use combgate_ui::sentences;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

const ROOMS: [FaultRoom; 3] = [FaultRoom::Container, FaultRoom::Hygiene, FaultRoom::Senses];
const ANSWERS: [(Answer, Word); 2] = [
    (Answer::Found, Word::ActionYes),
    (Answer::Clear, Word::ActionNo),
];

/// The step.
#[component]
pub fn Inspection(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    ROOMS
        .map(|room| view! { <Room bench room/> })
        .into_iter()
        .collect_view()
}

#[component]
fn Room(bench: Bench, room: FaultRoom) -> impl IntoView {
    let draft = bench.draft;
    let name = say(sentences::room(room));
    // What was found stays found until its own question is answered anew.
    let all_clear = move |_| {
        draft.update(|draft| {
            for fault in faults(room) {
                draft.answers.entry(fault).or_insert(Answer::Clear);
            }
        });
    };
    let questions: Vec<_> = faults(room)
        .map(|fault| {
            choices(
                &format!("{fault:?}"),
                sentences::question(fault),
                &ANSWERS,
                move || draft.with(|draft| draft.answers.get(&fault).copied()),
                move |answer| {
                    draft.update(|draft| {
                        draft.answers.insert(fault, answer);
                    });
                },
            )
        })
        .collect();
    view! {
        <fieldset class="card">
            <legend>{name}</legend>
            <button type="button" on:click=all_clear>
                {move || fill(Phrase::PurchaseAllClear { room: name() })}
            </button>
            {questions}
        </fieldset>
    }
}

fn faults(room: FaultRoom) -> impl Iterator<Item = Fault> {
    Fault::ALL
        .into_iter()
        .filter(move |fault| fault.room() == room)
}
