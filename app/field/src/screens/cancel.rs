//! Cancelling a receipt: what goes back, why, and what became of a paper.

use super::inputs::{Form, Task, Typed, line, notice, tick, trouble};
use super::of_receipt::of_receipt;
use crate::handset::{Handset, Papers};
use crate::platform::drafts::{self, Kind};
use crate::route::{Route, Step};
use crate::speech::{fill, language, say};
use combgate_core::record::{Means, ReceiptNumber, ReceiptV1};
use combgate_core::units::Label;
use combgate_ui::words::{Phrase, Word, text};
use combgate_ui::{figures, sentences};
use combgate_view::{IntoNode, Memo, Node, RwSignal, untrack, view, when};

/// The reasons that are common; the last one asks for words.
const REASONS: [(&str, Word); 6] = [
    ("weight", Word::CancelWrongWeight),
    ("reading", Word::CancelWrongReading),
    ("member", Word::CancelWrongMember),
    ("payment", Word::CancelWrongPayment),
    ("not-sold", Word::CancelNotSold),
    (ANOTHER, Word::CancelAnother),
];
const ANOTHER: &str = "another";

/// The ways in which money comes back.
const MEANS: [(&str, Means, Word); 2] = [
    ("cash", Means::Cash, Word::PurchasePayCash),
    ("mobile", Means::MobileMoney, Word::PurchasePayMobile),
];

/// The screen.
pub fn cancel(seq: u32) -> impl IntoNode {
    of_receipt(seq, Word::CancelTitle, move |handset, receipt| {
        let number = receipt.number.clone();
        let receipt = receipt.clone();
        let papers = handset.papers();
        let undone = Memo::new(move || papers.with(|all| all.undone(&number).is_some()));
        (move || {
            if undone.get() {
                return replace(handset, receipt.clone()).into_node();
            }
            if handset.standing().open.is_none() {
                return notice(Word::DayNotOpen);
            }
            fields(handset, seq, &receipt)
        })
        .into_node()
    })
}

fn fields(handset: Handset, seq: u32, receipt: &ReceiptV1) -> Node {
    let reason = RwSignal::new(String::new());
    let words = Typed::empty("cancel-words", Word::CancelWords);
    let means = RwSignal::new(receipt.settlement.means.unwrap_or(Means::Cash));
    let back = RwSignal::new(false);
    let form = Form::begin();
    let task = Task::idle();
    let why = move || -> Option<Label> {
        let chosen = reason.get();
        let (name, word) = REASONS.into_iter().find(|(name, _)| *name == chosen)?;
        if name == ANOTHER {
            return Label::new(&words.get()).ok();
        }
        Label::new(text(language(), word)).ok()
    };
    let cancel = move || match untrack(why).filter(|_| back.get_untracked()) {
        None => form.point_out(),
        Some(why) => task.run(async move {
            handset
                .cancel(seq, why, means.get_untracked())
                .await
                .map(drop)
        }),
    };
    let asked = form.asked();
    let no_reason = move || asked.get() && reason.with(String::is_empty);
    let reasons = choices(
        "reason",
        REASONS.map(|(name, word)| (name, word)),
        move |name| reason.get() == name,
        move |name| reason.set(name.to_owned()),
    );
    let own_words = move || (reason.get() == ANOTHER).then(|| line(words, form.asked()));
    let later = handset
        .papers()
        .with_untracked(|papers| papers.paid_later(&receipt.number));
    let returned = receipt.settlement.paid_minor.saturating_add(later);
    let money = receipt
        .assessment
        .currency
        .filter(|_| returned != 0)
        .map(|currency| {
            let amount = sentences::money(returned, currency);
            let ways = choices(
                "means",
                MEANS.map(|(name, _, word)| (name, word)),
                move |name| {
                    MEANS
                        .iter()
                        .any(|way| way.0 == name && way.1 == means.get())
                },
                move |name| {
                    if let Some(way) = MEANS.iter().find(|way| way.0 == name) {
                        means.set(way.1);
                    }
                },
            );
            view! {
                <p class="to-do">{move || fill(Phrase::CancelTakeBack { amount: &amount })}</p>
                <fieldset>
                    <legend>{say(Word::CancelMeans)}</legend>
                    {ways}
                </fieldset>
            }
        });
    let pails: Vec<_> = receipt
        .delivery
        .pails
        .iter()
        .map(|pail| pail.number.to_string())
        .collect();
    let pails = pails.join(", ");
    let number = receipt.number.to_string();
    let names = handset.names_of(std::iter::once(&receipt.member));
    let whose = sentences::member(&receipt.member, names.of(&receipt.member));
    let net = receipt.assessment.net_g.map_or(0, i64::from);
    view! {
        <h2><span class="number-of-paper">{number}</span></h2>
        <p>{whose} ", " {figures::kilograms(net)} " " {say(Word::PurchaseUnitKg)}</p>
        <p class="to-do">{move || fill(Phrase::CancelGiveBack { pails: &pails })}</p>
        {money}
        <fieldset aria-describedby="reason-problem" aria-invalid=move || no_reason().then_some("true") tabindex="-1">
            <legend>{say(Word::CancelReason)}</legend>
            {reasons}
            <p class="problem" id="reason-problem">
                {move || no_reason().then(|| say(Word::CancelReasonNeeded))}
            </p>
        </fieldset>
        {own_words}
        {tick("cancel-back", Word::CancelBack, back)}
        <p class="problem below-choice" role="status">
            {move || (asked.get() && !back.get()).then(|| say(Word::CancelBackNeeded))}
        </p>
        <p class="notice care">{say(Word::CancelKeeps)}</p>
        {form.incomplete(move || why().is_some() && back.get())}
        {task.problem()}
        {task.button(Word::CancelNow, cancel)}
    }
}

/// Large tiles of which one is chosen.
fn choices<const N: usize>(
    group: &'static str,
    options: [(&'static str, Word); N],
    chosen: impl Fn(&'static str) -> bool + Copy + 'static,
    choose: impl Fn(&'static str) + Copy + 'static,
) -> impl IntoNode {
    let tiles = options.map(|(name, word)| {
        view! {
            <label class="choice">
                <input
                    type="radio"
                    name=group
                    value=name
                    prop:checked=move || chosen(name)
                    on:change=move |_| choose(name)
                />
                <span>{say(word)}</span>
            </label>
        }
    });
    view! { <div class="choices one-column">{tiles.into_iter().collect::<Vec<_>>()}</div> }
}

/// After the cancellation: what it says, and the way to the replacement.
fn replace(handset: Handset, receipt: ReceiptV1) -> impl IntoNode {
    let problem = RwSignal::new(None::<Word>);
    let number = receipt.number.clone();
    let replace = move |_| {
        if drafts::is_open(Kind::Delivery).unwrap_or(true) {
            problem.set(Some(Word::CancelDraftOpen));
            return;
        }
        match crate::draft::replacing(&receipt, handset) {
            Some(draft) if drafts::save(Kind::Delivery, &draft).is_ok() => {
                crate::platform::address::go(&Route::Purchase(Step::Member).hash());
            }
            _ => problem.set(Some(Word::ErrorDraftUnsaved)),
        }
    };
    let papers = handset.papers();
    let fate = {
        let number = number.clone();
        move || papers.with(|papers| fate(papers, &number))
    };
    let replaced = move || papers.with(|papers| papers.replaced_by(&number).is_some());
    view! {
        {fate}
        {when(move || !replaced(), move || view! { <p>{say(Word::CancelReplaceHint)}</p>
            {move || problem.get().map(|word| trouble(say(word)))}
            <div class="actions">
                <button type="button" class="primary" on:click=replace.clone()>
                    {say(Word::CancelReplace)}
                </button>
            </div> })}
    }
}

fn fate(papers: &Papers, number: &ReceiptNumber) -> Node {
    let undone = papers.undone(number).map(|undone| {
        let (day, reason) = (undone.day.to_string(), undone.reason.to_string());
        let on = move || {
            fill(Phrase::CancelOn {
                day: &day,
                reason: &reason,
            })
        };
        let by = papers.replaced_by(number).map(|by| {
            let number = by.to_string();
            view! { <p>{move || fill(Phrase::CancelReplacedBy { number: &number })}</p> }
        });
        view! {
            <div class="notice undone" data-figure="undone">
                <p class="stamp">{say(Word::CancelStamp)}</p>
                <p>{on}</p>
                {by}
            </div>
        }
    });
    let place = papers.place_of(number).and_then(|seq| papers.at(seq));
    let replaces = place.and_then(|paper| paper.replaces.as_ref()).map(|old| {
        let number = old.to_string();
        view! { <p class="notice">{move || fill(Phrase::CancelReplaces { number: &number })}</p> }
    });
    view! { {undone} {replaces} }.into_node()
}

/// The way to cancel a receipt that stands, below its paper.
pub fn way_to_cancel(handset: Handset, seq: u32) -> impl IntoNode {
    let href = Route::Cancel(seq).href();
    let way = move |papers: &Papers| {
        let paper = papers.at(seq)?;
        paper.total?;
        if papers.undone(&paper.number).is_none() {
            Some(Word::CancelOpen)
        } else if papers.replaced_by(&paper.number).is_none() {
            Some(Word::CancelReplace)
        } else {
            None
        }
    };
    move || {
        let word = handset.papers().with(way)?;
        Some(view! { <a class="button" href=href.clone()>{say(word)}</a> })
    }
}
