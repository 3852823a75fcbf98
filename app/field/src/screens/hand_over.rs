//! Handing over: the bundle out, the desk's acknowledgement in, and what the clerk asks.

use super::export::{export, moment, waiting};
use super::inputs::{Task, notice};
use super::send::send;
use super::take_in::{Asked, take_in};
use crate::handset::{Acknowledged, Handset, Refused, handset};
use crate::route::Route;
use crate::speech::{fill, say};
use crate::trouble::of_refused;
use combgate_core::record::{EntryBody, QuestionV1};
use combgate_ui::findings;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, RwSignal, effect, view};
use leptos::task::spawn_local;

/// Questions that are shown; an officer with more has another trouble.
const QUESTIONS_AT_MOST: usize = 200;

/// The screen.
pub fn hand_over() -> impl IntoNode {
    let handset = handset();
    let body = move || {
        if handset.kid().is_none() {
            return notice(Word::ErrorNoKey);
        }
        let answered = move || handset.brief().map(|_| view! { {answer(handset)} });
        view! {
            {waiting(handset, false)}
            {send(handset)}
            {export(handset)}
            {answered}
        }
        .into_node()
    };
    view! { <h1>{say(Word::HandoverTitle)}</h1> {body} }
}

/// What the desk said last, and the place to take in what it says next.
fn answer(handset: Handset) -> impl IntoNode {
    let questions = RwSignal::new(None::<Vec<Question>>);
    let task = Task::idle();
    effect(move |_| {
        let all = handset.acknowledged();
        spawn_local(async move {
            match read(handset, &all).await {
                Ok(read) => {
                    questions.set(Some(read));
                }
                Err(refused) => task.say(of_refused(&refused)),
            }
        });
    });
    let booked = move || {
        let all = handset.acknowledged();
        let Some(newest) = all.newest() else {
            return view! { <p>{say(Word::HandoverNone)}</p> }.into_node();
        };
        let (seq, when) = (newest.booked_to.to_string(), moment(newest.made_at));
        let booked = move || {
            fill(Phrase::HandoverBooked {
                seq: &seq,
                when: &when,
            })
        };
        view! {
            <p data-figure="booked">{booked}</p>
            {move || questions.get().map(asked)}
        }
        .into_node()
    };
    view! {
        <h2>{say(Word::HandoverAnswer)}</h2>
        {booked}
        {task.problem()}
        {take_in(handset, Asked::Acknowledgement)}
    }
}

/// A question with the paper that it is about.
#[derive(Clone)]
struct Question {
    asked: QuestionV1,
    when: Option<String>,
    paper: Option<(u32, String)>,
}

/// The questions of all acknowledgements, newest first, each once.
async fn read(handset: Handset, all: &Acknowledged) -> Result<Vec<Question>, Refused> {
    let mut questions: Vec<Question> = Vec::new();
    for asked in all.all().flat_map(|each| &each.questions) {
        let again =
            |known: &Question| known.asked.seq == asked.seq && known.asked.finding == asked.finding;
        if questions.len() == QUESTIONS_AT_MOST || questions.iter().any(again) {
            continue;
        }
        let seq = u32::try_from(asked.seq).unwrap_or(0);
        let entry = handset.entry(seq).await?;
        let number = entry.as_ref().and_then(|entry| match entry.body() {
            EntryBody::Receipt(receipt) => Some(receipt.number.to_string()),
            EntryBody::Slip(slip) => Some(slip.number.to_string()),
            _ => None,
        });
        questions.push(Question {
            asked: asked.clone(),
            when: entry.map(|entry| moment(entry.at())),
            paper: number.map(|number| (seq, number)),
        });
    }
    Ok(questions)
}

fn asked(questions: Vec<Question>) -> Node {
    if questions.is_empty() {
        return notice(Word::HandoverNoQuestions);
    }
    let items = questions.into_iter().map(question).collect::<Vec<_>>();
    view! {
        <h2>{say(Word::HandoverQuestions)}</h2>
        <ul class="rows" data-figure="questions">{items}</ul>
    }
    .into_node()
}

fn question(question: Question) -> impl IntoNode {
    let Question { asked, when, paper } = question;
    let which = if let Some((seq, number)) = paper {
        let href = Route::Receipt(seq).href();
        view! { <a class="button" href=href>{number}</a> }.into_node()
    } else {
        let seq = asked.seq.to_string();
        view! { <strong>{move || fill(Phrase::HandoverEntry { seq: &seq })}</strong> }.into_node()
    };
    let own = findings::question(asked.finding.as_str())
        .map(|word| view! { <p class="asked">{say(word)}</p> });
    let sentence = asked.sentence.to_string();
    let words = move || {
        fill(Phrase::HandoverDeskWords {
            sentence: &sentence,
        })
    };
    view! {
        <li>
            <p>{which} " " {when}</p>
            {own}
            <p class="hint">{words}</p>
        </li>
    }
}
