//! Decision with its grounds, the price, and the issue.

use super::Bench;
use super::fields::{choices, figure, line};
use crate::draft::money_places;
use crate::platform::address;
use crate::platform::drafts::{self, Kind};
use crate::route::Route;
use crate::speech::{fill, language, say};
use crate::trouble::of_refused;
use combgate_core::intake::Decision as Outcome;
use combgate_core::record::{Keeper, Means};
use combgate_core::units::Currency;
use combgate_ui::words::{Phrase, Word};
use combgate_ui::{figures, paper, sentences};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The step.
#[component]
pub fn Decision(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    let draft = bench.draft;
    let outcome = Memo::new(move |_| {
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
    let asked = move || match outcome.get() {
        None if draft.with(|draft| draft.member.is_none()) => {
            view! { <p class="notice">{say(Word::PurchaseMemberFirst)}</p> }.into_any()
        }
        None => ().into_any(),
        Some(Outcome::Buy) => view! {
            <Payment bench/>
            <Issue bench word=Word::PurchaseIssueReceipt/>
        }
        .into_any(),
        Some(Outcome::Hold) => view! {
            {keeper(bench)}
            <Issue bench word=Word::PurchaseIssueHold/>
        }
        .into_any(),
        Some(Outcome::Refuse) => view! {
            {keeper(bench)}
            <Issue bench word=Word::PurchaseIssueRefuse/>
        }
        .into_any(),
    };
    view! { {grounds} {asked} }
}

fn keeper(bench: Bench) -> AnyView {
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

fn currency(bench: Bench) -> Currency {
    bench
        .brief
        .with_value(|brief| brief.terms().prices().parts().currency)
}

#[component]
fn Payment(bench: Bench) -> impl IntoView {
    let draft = bench.draft;
    let places = bench.brief.with_value(|brief| money_places(brief));
    let payable = move || {
        let assessed = bench.assessed.get();
        assessed
            .ok()
            .and_then(|assessment| assessment.payable_minor)
    };
    let paid = move || {
        let all = figures::decimal(payable().unwrap_or(0), places, places);
        draft.with(|draft| draft.paid.clone()).unwrap_or(all)
    };
    let paid_now = move || {
        let payable = payable()?;
        draft.with(|draft| draft.paid_now(payable, places)).ok()
    };
    let with_mobile = move || draft.with(|draft| draft.means == Means::MobileMoney);
    let owes = move || {
        paid_now()
            .zip(payable())
            .is_some_and(|(paid, all)| paid < all)
    };
    let cash_left = bench.open.with_value(|open| open.cash_minor);
    let short = move || {
        let paid = paid_now()?;
        (!with_mobile() && paid > cash_left).then(|| {
            let amount = sentences::money(cash_left.max(0), currency(bench));
            let words = fill(Phrase::PurchaseCashShort { amount: &amount });
            view! { <p class="notice care" role="alert">{words}</p> }
        })
    };
    view! {
        {choices(
            "means",
            Word::PurchasePay,
            &[
                (Means::Cash, Word::PurchasePayCash),
                (Means::MobileMoney, Word::PurchasePayMobile),
            ],
            move || Some(draft.with(|draft| draft.means)),
            move |means| draft.update(|draft| draft.means = means),
        )}
        {figure(
            "paid-now".to_owned(),
            move || format!("{} ({})", say(Word::PurchasePaidNow)(), currency(bench)),
            None,
            places,
            paid,
            move |typed| draft.update(|draft| draft.paid = Some(typed)),
        )}
        {short}
        <Show when=with_mobile>
            {line(
                "reference".to_owned(),
                "text",
                move || say(Word::PurchaseReference)().to_owned(),
                move || draft.with(|draft| draft.reference.clone()),
                move |typed| draft.update(|draft| draft.reference = typed),
            )}
        </Show>
        <Show when=owes>
            {line(
                "due".to_owned(),
                "date",
                move || say(Word::PurchaseDue)().to_owned(),
                move || draft.with(|draft| draft.due.clone()),
                move |typed| draft.update(|draft| draft.due = typed),
            )}
        </Show>
    }
}

/// The issue: once stored, the draft is given up and the paper shown in its place.
#[component]
fn Issue(bench: Bench, word: Word) -> impl IntoView {
    let busy = RwSignal::new(false);
    let problem = RwSignal::new(None::<Word>);
    let issue = move |_| {
        if busy.get_untracked() {
            return;
        }
        let ready = bench.brief.with_value(|brief| {
            let draft = bench.draft;
            bench
                .open
                .with_value(|open| draft.with_untracked(|draft| draft.issue(brief, open)))
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
                    problem.try_set(Some(of_refused(&refused)));
                    busy.try_set(false);
                }
            }
        });
    };
    view! {
        {move || problem.get().map(|word| {
            view! { <p class="notice trouble" role="alert">{say(word)}</p> }
        })}
        <Show when=move || busy.get()>
            <p role="status">{say(Word::ReceiptIssuing)}</p>
        </Show>
        <div class="actions">
            <button type="button" class="primary" disabled=move || busy.get() on:click=issue>
                {say(word)}
            </button>
        </div>
    }
}
