//! Container, hygiene and senses.

use super::Bench;
use super::pictures::picture;
use crate::screens::inputs::radio;
use crate::speech::{fill, say, spoken};
use combgate_core::intake::{Answer, Fault, FaultRoom};
use combgate_ui::sentences;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, Signal, view};

const ROOMS: [FaultRoom; 3] = [FaultRoom::Container, FaultRoom::Hygiene, FaultRoom::Senses];
const ANSWERS: [(Answer, Word); 2] = [
    (Answer::Found, Word::ActionYes),
    (Answer::Clear, Word::ActionNo),
];

/// The step.
pub fn inspection(bench: Bench) -> impl IntoNode {
    ROOMS
        .map(|room| of_room(bench, room))
        .into_iter()
        .collect::<Vec<_>>()
}

fn of_room(bench: Bench, room: FaultRoom) -> Node {
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
    let open = Memo::new(move || {
        draft.with(|draft| {
            faults(room)
                .filter(|fault| !draft.answers.contains_key(fault))
                .count()
        })
    });
    let left = move || {
        (open.get() > 0).then(|| {
            let count = open.get().to_string();
            view! { <p class="hint">{fill(Phrase::GroundUnanswered { count: &count })}</p> }
        })
    };
    let questions: Vec<_> = faults(room).map(|fault| question(bench, fault)).collect();
    view! {
        <section class="room" aria-label=name>
            <h2>{name}</h2>
            {questions}
            {left}
            <button type="button" on:click=all_clear>
                {move || fill(Phrase::PurchaseAllClear { room: spoken(sentences::room(room)) })}
            </button>
        </section>
    }
    .into_node()
}

fn question(bench: Bench, fault: Fault) -> Node {
    let draft = bench.draft;
    let answer = Memo::new(move || draft.with(|draft| draft.answers.get(&fault).copied()));
    let tiles: Vec<_> = ANSWERS
        .into_iter()
        .map(|(each, word)| {
            radio(
                format!("fault-{}", fault as u8),
                word,
                Signal::derive(move || answer.get() == Some(each)),
                Box::new(move || {
                    draft.update(|draft| {
                        draft.answers.insert(fault, each);
                    });
                }),
            )
        })
        .collect();
    view! {
        <fieldset class="card question" class:fault=move || answer.get() == Some(Answer::Found)>
            <legend>
                {picture(fault)} <span>{say(sentences::question(fault))}</span>
            </legend>
            <div class="choices">{tiles}</div>
        </fieldset>
    }
    .into_node()
}

fn faults(room: FaultRoom) -> impl Iterator<Item = Fault> {
    Fault::ALL
        .into_iter()
        .filter(move |fault| fault.room() == room)
}
