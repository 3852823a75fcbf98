//! Decision with its grounds, the price, and the issue.

use super::Bench;
use super::payment::payment;
use crate::platform::address;
use crate::platform::drafts::{self, Kind};
use crate::route::Route;
use crate::screens::inputs::{choices, trouble};
use crate::speech::{language, say};
use crate::trouble::of_refused;
use combgate_core::intake::Decision as Outcome;
use combgate_core::record::Keeper;
use combgate_ui::paper;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, Memo, Node, RwSignal, effect, view, when};
use leptos::task::spawn_local;

/// The step.
pub fn decision(bench: Bench) -> impl IntoNode {
    let draft = bench.draft;
    let outcome = Memo::new(move || {
        let assessed = bench.assessed.get();
        assessed.ok().map(|assessment| assessment.decision)
    });
    let grounds = move || {
        let assessment = bench.assessed.get().ok()?;
        let language = language();
        let lines = assessment
            .currency
            .map(|currency| paper::lines(language, &assessment, currency));
        Some(view! {
            {paper::reasons(language, &assessment)}
            {paper::settles(language, &assessment)}
            {lines}
        })
    };
    let has_member = Memo::new(move || draft.with(|draft| draft.member.is_some()));
    let asked = move || match outcome.get() {
        None if !has_member.get() => {
            view! { <p class="notice">{say(Word::PurchaseMemberFirst)}</p> }.into_node()
        }
        None => ().into_node(),
        Some(Outcome::Buy) => view! {
            {payment(bench)}
            {issue(bench, Word::PurchaseIssueReceipt)}
        }
        .into_node(),
        Some(Outcome::Hold) => view! {
            {keeper(bench)}
            {issue(bench, Word::PurchaseIssueHold)}
        }
        .into_node(),
        Some(Outcome::Refuse) => view! {
            {keeper(bench)}
            {issue(bench, Word::PurchaseIssueRefuse)}
        }
        .into_node(),
    };
    view! { {grounds} {asked} }
}

fn keeper(bench: Bench) -> Node {
    let draft = bench.draft;
    choices(
        "keeper",
        Word::PurchaseKeeper,
        &[
            (Keeper::Member, Word::PurchaseKeeperMember),
            (Keeper::Cooperative, Word::PurchaseKeeperCooperative),
        ],
        move || Some(draft.with(|draft| draft.keeper)),
        move |keeper| draft.update(|draft| draft.keeper = keeper),
    )
}

/// The issue: once stored, the draft is given up and the paper shown in its place.
fn issue(bench: Bench, word: Word) -> Node {
    let busy = RwSignal::new(false);
    let problem = RwSignal::new(None::<Word>);
    // What was wrong may be right after the next change; the next tap says it again if not.
    effect(move |_| {
        bench.draft.track();
        problem.set(None);
    });
    let tapped = move |_| {
        if busy.get_untracked() {
            return;
        }
        let ready = bench.brief.with_value(|brief| {
            bench.open.with_value(|open| {
                let due = bench.due.get_untracked();
                bench
                    .draft
                    .with_untracked(|draft| draft.issue(brief, open, due.as_ref()))
            })
        });
        let issue = match ready {
            Ok(issue) => issue,
            Err(word) => {
                problem.set(Some(word));
                return;
            }
        };
        busy.set(true);
        problem.set(None);
        spawn_local(async move {
            match bench.handset.issue(issue).await {
                Ok(seq) => {
                    // If it stays behind, issuing it again gives this same paper.
                    let _ = drafts::discard(Kind::Delivery);
                    address::replace(&Route::Receipt(seq).hash());
                }
                Err(refused) => {
                    problem.set(Some(of_refused(&refused)));
                    busy.set(false);
                }
            }
        });
    };
    view! {
        {move || problem.get().map(|word| trouble(say(word)))}
        {when(move || busy.get(), move || view! { <p role="status">{say(Word::ReceiptIssuing)}</p> })}
        <div class="actions">
            <button type="button" class="primary" disabled=move || busy.get() on:click=tapped>
                {say(word)}
            </button>
        </div>
    }
    .into_node()
}
