//! The day so far: what is not handed over, sums, papers, and any older paper by search.

mod list;
mod sums;

use super::export::waiting;
use super::inputs::Task;
use crate::handset::{self, Papers, handset};
use crate::route::Route;
use crate::speech::say;
use combgate_core::record::ParsedEntry;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, RwSignal, untrack, view};
use std::sync::Arc;

/// The screen.
pub fn today() -> impl IntoNode {
    let handset = handset();
    let entries = RwSignal::new(None::<Arc<[ParsedEntry]>>);
    let task = Task::idle();
    let day =
        untrack(|| handset.standing().open.map(|open| open.day)).or_else(|| handset::today().ok());
    if let Some(day) = day {
        task.run(async move {
            entries.set(Some(handset.day(day).await?.into()));
            Ok(())
        });
    }
    let waiting = move || handset.brief().map(|_| view! { {waiting(handset, true)} });
    let more = move || {
        let way = Route::HandOver;
        let nothing_waits = handset.brief().is_none() || handset.waiting().count == 0;
        handset.kid().filter(|_| nothing_waits).map(|_| {
            view! {
                <div class="actions">
                    <a class="button" href=way.href()>{say(way.title())}</a>
                </div>
            }
        })
    };
    view! {
        <h1>{say(Word::TodayTitle)}</h1>
        {day.map(|day| view! { <p>{day.to_string()}</p> })}
        {waiting}
        {task.problem()}
        {move || {
            entries.get().zip(day).map(|(entries, day)| view! {
                {sums::sums(handset, &entries, day)}
                {list::list(handset, Papers::of(entries.iter()), day)}
            })
        }}
        {more}
    }
}
