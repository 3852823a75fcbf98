//! Closing the day: counted cash and pails, then the bundle, which is sent where that can be done.

use super::export::{export, waiting};
use super::inputs::{Form, Task, Typed, amount, count, line, money, notice, whole};
use super::kept::{forget, keep};
use super::send::send;
use super::start::resume;
use crate::handset::{Handset, handset};
use crate::platform::drafts::Kind;
use crate::route::Route;
use crate::sending::sending;
use crate::speech::{fill, say};
use chrono::NaiveDate;
use combgate_core::record::{DayClosedV1, EntryBody, OpenDay};
use combgate_core::units::{Currency, Label};
use combgate_ui::sentences;
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, RwSignal, StoredValue, untrack, view};
use leptos::task::spawn_local;

/// The screen.
pub fn close_day() -> impl IntoNode {
    let handset = handset();
    let closed = RwSignal::new(false);
    // While the day is open, nothing else on the page asks to be tapped.
    let to_hand_over =
        Memo::new(move || handset.kid().is_some() && handset.standing().open.is_none());
    let body = move || {
        let brief = handset.brief();
        match (handset.standing().open, brief) {
            (Some(open), Some(brief)) => {
                let currency = brief.terms().prices().parts().currency;
                counting(handset, &open, currency, closed)
            }
            (Some(_), None) => notice(Word::ErrorNoBrief),
            (None, _) if closed.get() => notice(if handset.desk_address().is_some() {
                Word::SendClosed
            } else {
                Word::CloseDone
            }),
            (None, _) => notice(Word::CloseNoneOpen),
        }
    };
    // What the desk asks stands on the page for handing over.
    let has_questions = move || {
        handset
            .acknowledged()
            .newest()
            .is_some_and(|newest| !newest.questions.is_empty())
    };
    let asked = move || {
        has_questions().then(|| {
            let href = Route::HandOver.href();
            view! {
                <div class="actions">
                    <a class="button" href=href>{say(Word::HandoverQuestions)}</a>
                </div>
            }
        })
    };
    view! {
        <h1>{say(Word::DayCloseTitle)}</h1>
        {body}
        {move || to_hand_over.get().then(|| view! {
            {waiting(handset, false)}
            {send(handset)}
            {asked}
            {export(handset)}
        })}
    }
}

/// What was counted.
#[derive(Clone, Copy)]
struct Counted {
    cash: Typed,
    full: Typed,
    unused: Typed,
    why: Typed,
}

fn counting(handset: Handset, open: &OpenDay, currency: Currency, closed: RwSignal<bool>) -> Node {
    let (day, should_cash) = (open.day, open.cash_minor);
    let should_full = i64::try_from(open.full_pails).unwrap_or(i64::MAX);
    let counted = Counted {
        cash: Typed::empty("cash", Word::DayCountedCash),
        full: Typed::empty("full-pails", Word::CloseFullPails),
        unused: Typed::empty("empty-pails", Word::CloseEmptyPails),
        why: Typed::empty("explanation", Word::CloseExplanation),
    };
    let Counted {
        cash,
        full,
        unused,
        why,
    } = counted;
    let inputs = [cash, full, unused, why].map(Into::into).into();
    let unsaved = keep(Kind::DayClosing, day, inputs);
    let form = Form::begin();
    let task = Task::idle();
    let sending = sending();
    let cash_off = Memo::new(move || Some(money(&cash.get(), currency)? - should_cash));
    // A member may have taken home a pail of their own or one of the morning's.
    let (least, most) = open.empty_pails();
    let counts = StoredValue::new(open.clone());
    let unused_off = Memo::new(move || {
        let counted = u64::from(count(&unused.get())?);
        let right = counts.with_value(|open| open.nearest_empty_pails(counted));
        Some(counted.cast_signed() - right.cast_signed())
    });
    let full_off = Memo::new(move || Some(i64::from(count(&full.get())?) - should_full));
    let differs = Memo::new(move || {
        let off = |off: Option<i64>| off.is_some_and(|off| off != 0);
        off(cash_off.get()) || off(full_off.get()) || off(unused_off.get())
    });
    let entry = move || {
        let explanation = if why.is_blank() && !differs.get() {
            None
        } else {
            Some(Label::new(&why.get()).ok()?)
        };
        Some(DayClosedV1 {
            day,
            cash_minor: money(&cash.get(), currency)?,
            full_pails: count(&full.get())?,
            empty_pails: count(&unused.get())?,
            explanation,
        })
    };
    let close = move || match untrack(entry) {
        None => form.point_out(),
        Some(entry) => task.run(async move {
            handset.add(EntryBody::DayClosed(Box::new(entry))).await?;
            forget(Kind::DayClosing);
            closed.set(true);
            sending.ask();
            Ok(())
        }),
    };
    let should_be_unused = if least == most {
        most.to_string()
    } else {
        format!("{least}–{most}")
    };
    let shillings = move |minor: i64| sentences::money(minor, currency);
    view! {
        <p>{day.to_string()}</p>
        {resume()}
        {amount(cash, currency, form.asked())}
        {compared(shillings(should_cash), move || {
            cash_off.get().map(|off| (off, shillings(off.saturating_abs())))
        })}
        {whole(full, form.asked())}
        {compared(should_full.to_string(), move || {
            full_off.get().map(|off| (off, off.unsigned_abs().to_string()))
        })}
        {whole(unused, form.asked())}
        {compared(should_be_unused, move || {
            unused_off.get().map(|off| (off, off.unsigned_abs().to_string()))
        })}
        {taken(handset, day)}
        {move || differs.get().then(|| view! {
            <p class="notice care" role="status">{say(Word::CloseExplain)}</p>
        })}
        {line(why, form.asked_if(move || differs.get()))}
        {unsaved}
        {form.incomplete(move || entry().is_some())}
        {task.problem()}
        {task.button(Word::CloseCloseNow, close)}
    }
}

/// How many pails were taken in the morning, beside the count of those still empty.
fn taken(handset: Handset, day: NaiveDate) -> impl IntoNode {
    let taken = RwSignal::new(None::<u32>);
    spawn_local(async move {
        // Without it the count is only harder: the desk has the figure too.
        let entries = handset.day(day).await.unwrap_or_default();
        let of_morning = entries.iter().rev().find_map(|entry| match entry.body() {
            EntryBody::DayOpened(opened) if opened.day == day => Some(opened.pails),
            _ => None,
        });
        taken.set(of_morning);
    });
    move || {
        taken.get().map(|taken| {
            let taken = taken.to_string();
            view! {
                <p class="below">{move || fill(Phrase::ClosePailsTaken { count: &taken })}</p>
            }
        })
    }
}

/// What should be there, and how much the count lacks or has too much.
fn compared(should: String, off: impl Fn() -> Option<(i64, String)> + 'static) -> impl IntoNode {
    let told = move || {
        let (off, amount) = off()?;
        let amount = amount.as_str();
        match off {
            0 => None,
            1.. => Some(fill(Phrase::CloseTooMuch { amount })),
            _ => Some(fill(Phrase::CloseMissing { amount })),
        }
    };
    view! {
        <p class="below">
            {move || fill(Phrase::CloseExpected { amount: &should })} " "
            <strong class="difference" role="status">
                {told}
            </strong>
        </p>
    }
}
