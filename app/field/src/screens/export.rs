//! Handing over what is in the journal: what waits, and the bundle as a file.

use super::inputs::{Task, notice};
use crate::handset::Handset;
use crate::platform::files::{self, Shared};
use crate::speech::{fill, say};
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;

/// A browser passes on only a few kinds of file, and plain text is one of them (Web Share API,
/// 2.4; the desk reads a bundle by its content, not by its name).
const SHARED_AS: &str = "text/plain";

/// How many entries are in no bundle yet.
#[component]
pub fn Waiting(
    /// Whose journal.
    handset: Handset,
) -> impl IntoView {
    move || {
        let waiting = handset.waiting();
        if waiting == 0 {
            notice(Word::TodayAllInBundle)
        } else {
            let count = waiting.to_string();
            view! {
                <p class="notice care" role="status" data-figure="waiting">
                    <strong>{move || fill(Phrase::TodayNotHandedOver { count: &count })}</strong>
                </p>
            }
            .into_any()
        }
    }
}

/// The bundle: passed on to another program where the browser can, downloaded everywhere.
#[component]
pub fn Export(
    /// Whose journal.
    handset: Handset,
) -> impl IntoView {
    let task = Task::idle();
    let told = RwSignal::new(None::<Word>);
    let download = move || {
        task.run(async move {
            let bundle = handset.bundle().await?;
            match files::download(&bundle.name, "application/json", &bundle.text) {
                Ok(()) => told.set(Some(Word::TodayExported)),
                Err(_) => told.set(Some(Word::ErrorFileNotGiven)),
            }
            Ok(())
        });
    };
    let share = move |_| {
        task.run(async move {
            let bundle = handset.bundle().await?;
            let name = format!("{}.txt", bundle.name);
            told.set(match files::share(&name, SHARED_AS, &bundle.text).await {
                Ok(Shared::Passed) => Some(Word::TodayShared),
                Ok(Shared::Stopped) => Some(Word::TodayShareStopped),
                Err(_) => Some(Word::TodayShareFailed),
            });
            Ok(())
        });
    };
    let can_share = files::can_share("combgate.json.txt", SHARED_AS);
    view! {
        <Waiting handset/>
        {task.button(Word::TodayExport, download)}
        {can_share.then(|| view! {
            <div class="actions">
                <button type="button" on:click=share>{say(Word::TodayShare)}</button>
            </div>
        })}
        {task.problem()}
        {move || told.get().map(notice)}
    }
}
