//! Sending to the desk over the network, where the brief says how the desk is reached.

use super::inputs::{Task, notice, trouble};
use crate::handset::{Handset, Unsent};
use crate::sending::{Sending, State, sending};
use crate::speech::{fill, say, spoken};
use crate::trouble::of_document;
use combgate_core::record::ProblemKind;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, RwSignal, view};

/// The button and what came of it; nothing where the desk has no address.
pub fn send(handset: Handset) -> impl IntoNode {
    let has_address = Memo::new(move || handset.desk_address().is_some());
    move || has_address.get().then(|| parts(handset, sending()))
}

fn parts(handset: Handset, sending: Sending) -> impl IntoNode {
    let waits = Memo::new(move || handset.waiting().count > 0);
    let is_busy = move || matches!(sending.state(), State::Now);
    let label = move || {
        if waits.get() {
            spoken(Word::SendGo)
        } else {
            spoken(Word::SendAsk)
        }
    };
    view! {
        <div class="actions">
            <button
                type="button"
                class:primary=move || waits.get()
                aria-disabled=move || is_busy().then_some("true")
                on:click=move |_| sending.ask()
            >
                {label}
            </button>
        </div>
        <div data-figure="sending">
            {move || match sending.state() {
                State::Idle => ().into_node(),
                State::Now => notice(Word::SendNow),
                State::Done => notice(Word::SendDone),
                State::Not(why) => not_sent(&why, handset),
            }}
        </div>
        {newer(handset, sending)}
    }
}

/// Why it is not sent, what happens next, and what to do.
fn not_sent(why: &Unsent, handset: Handset) -> Node {
    let word = match why {
        Unsent::Offline => return notice(Word::SendOffline),
        Unsent::NoAnswer(_) | Unsent::Strange(_) => return notice(Word::SendNoAnswer),
        Unsent::Desk(problem) if why.may_pass() => return desk(Word::SendLater, &problem.detail),
        Unsent::Own(refused) => {
            let said = of_document(refused, handset);
            return trouble(said);
        }
        Unsent::Request(_) => Word::SendNotTaken,
        Unsent::NotBooked => Word::SendNotBooked,
        Unsent::Desk(problem) => {
            let word = match problem.kind {
                ProblemKind::NotEnrolled => Word::SendNotKnown,
                ProblemKind::Revoked => Word::SendRevoked,
                ProblemKind::BundleRefused => Word::SendBundleRefused,
                ProblemKind::OtherAddress => Word::SendOtherAddress,
                _ => Word::SendNotTaken,
            };
            return desk_trouble(word, &problem.detail);
        }
    };
    trouble(say(word))
}

fn desk(word: Word, detail: &str) -> Node {
    view! {
        <div class="notice" role="status">
            <p>{say(word)}</p>
            {desk_words(detail)}
        </div>
    }
    .into_node()
}

fn desk_trouble(word: Word, detail: &str) -> Node {
    view! {
        <div class="notice trouble" role="alert">
            <p>{say(word)}</p>
            {desk_words(detail)}
        </div>
    }
    .into_node()
}

/// In the desk's own words, for whoever is asked about it.
fn desk_words(detail: &str) -> impl IntoNode + use<> {
    let sentence = detail.to_owned();
    let words = move || {
        fill(Phrase::HandoverDeskWords {
            sentence: &sentence,
        })
    };
    view! { <p class="hint">{words}</p> }
}

/// A newer brief is offered; the officer says when it holds.
fn newer(handset: Handset, sending: Sending) -> impl IntoNode {
    let task = Task::idle();
    let taken = RwSignal::new(false);
    let take = move || {
        if let Some(text) = sending.take_newer() {
            task.run(async move {
                handset.take_brief(&text).await?;
                taken.set(true);
                Ok(())
            });
        }
    };
    move || {
        let offered = sending.has_newer().then(|| {
            view! {
                <div class="notice care" role="status" data-figure="newer">
                    <p>{say(Word::SendNewer)}</p>
                    {task.button(Word::SendTake, take)}
                </div>
            }
        });
        let said = taken.get().then(|| notice(Word::BriefTaken));
        view! { {offered} {said} {task.problem()} }
    }
}
