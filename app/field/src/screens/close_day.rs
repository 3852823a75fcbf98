//! Closing the day: counted cash and pails, the bundle.

use super::inputs::{Export, attempt, count, decimals, figure, line, money, notice, problem};
use crate::handset::{Handset, handset};
use crate::speech::{fill, say};
use combgate_core::record::{DayClosedV1, EntryBody, OpenDay};
use combgate_core::units::{Currency, Label};
use combgate_ui::sentences;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// The screen.
#[component]
pub fn CloseDay() -> impl IntoView {
    let handset = handset();
    let closed = RwSignal::new(false);
    let body = move || {
        let brief = handset.brief();
        match (handset.standing().open, brief) {
            (Some(open), Some(brief)) => {
                let currency = brief.terms().prices().parts().currency;
                view! { <Form handset open currency closed/> }.into_any()
            }
            (Some(_), None) => notice(Word::ErrorNoBrief),
            (None, _) if closed.get() => notice(Word::CloseDone),
            (None, _) => notice(Word::CloseNoneOpen),
        }
    };
    view! {
        <h1>{say(Word::DayCloseTitle)}</h1>
        {body}
        {move || handset.kid().map(|_| view! { <Export handset/> })}
    }
}

#[component]
fn Form(
    handset: Handset,
    open: OpenDay,
    currency: Currency,
    closed: RwSignal<bool>,
) -> impl IntoView {
    let empty = || RwSignal::new(String::new());
    let (cash, full, unused, why) = (empty(), empty(), empty(), empty());
    let said = RwSignal::new(None::<Word>);
    let (day, should_cash) = (open.day, open.cash_minor);
    let should_full = i64::try_from(open.full_pails).unwrap_or(i64::MAX);
    let cash_off = Memo::new(move |_| Some(money(&cash.get(), currency)? - should_cash));
    let full_off = Memo::new(move |_| Some(i64::from(count(&full.get())?) - should_full));
    let differs = Memo::new(move |_| {
        [cash_off.get(), full_off.get()]
            .into_iter()
            .flatten()
            .any(|off| off != 0)
    });
    let entry = move || {
        let typed = why.get_untracked();
        let explanation = match typed.trim() {
            "" if differs.get_untracked() => return Err(Word::CloseExplain),
            "" => None,
            typed => Some(Label::new(typed).map_err(|_| Word::DayFormWrong)?),
        };
        let closing = || {
            Some(DayClosedV1 {
                day,
                cash_minor: money(&cash.get_untracked(), currency)?,
                full_pails: count(&full.get_untracked())?,
                empty_pails: count(&unused.get_untracked())?,
                explanation,
            })
        };
        closing().ok_or(Word::DayFormWrong)
    };
    let close = move |_| match entry() {
        Err(word) => said.set(Some(word)),
        Ok(entry) => attempt(said, async move {
            handset.add(EntryBody::DayClosed(Box::new(entry))).await?;
            closed.set(true);
            Ok(())
        }),
    };
    let amount = move |minor: i64| sentences::money(minor, currency);
    view! {
        <p>{day.to_string()}</p>
        {figure("cash", Word::DayCountedCash, decimals(currency), cash)}
        {compared(amount(should_cash), move || cash_off.get().map(amount))}
        {figure("full-pails", Word::CloseFullPails, 0, full)}
        {compared(should_full.to_string(), move || full_off.get().map(|off| off.to_string()))}
        {figure("empty-pails", Word::CloseEmptyPails, 0, unused)}
        {move || differs.get().then(|| view! {
            <p class="notice care">{say(Word::CloseExplain)}</p>
        })}
        {line("explanation", Word::CloseExplanation, why)}
        {problem(said)}
        <div class="actions">
            <button type="button" class="primary" on:click=close>{say(Word::CloseCloseNow)}</button>
        </div>
    }
}

/// What should be there, and by how much the count is off.
fn compared(
    should: String,
    off: impl Fn() -> Option<String> + Send + Sync + 'static,
) -> impl IntoView {
    view! {
        <p class="hint">
            {move || fill(Phrase::CloseExpected { amount: &should })} " "
            {move || off().map(|off| fill(Phrase::CloseDifference { amount: &off }))}
        </p>
    }
}
