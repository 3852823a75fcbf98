//! How safely things are kept on this phone: promise, room, what waits, clock, version, and a look
//! at the whole journal.

use super::damaged;
use super::export::{moment, waiting};
use super::inputs::{Task, trouble};
use super::lock::lock_part;
use crate::handset::left::Left;
use crate::handset::{Handset, handset};
use crate::platform::clock::{self, Reading};
use crate::platform::space::{self, Space};
use crate::platform::{install, release};
use crate::speech::{fill, say, spoken};
use crate::trouble::megabytes;
use chrono::{DateTime, FixedOffset};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, RwSignal, view, when};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// A clock that moved less than this was only put right (common practice).
const MOVED_MINUTES: i64 = 2;

/// Both clocks when the page was opened.
#[derive(Clone, Copy)]
pub struct Opened(pub Option<Reading>);

/// The screen.
pub fn health() -> impl IntoNode {
    let handset = handset();
    view! {
        <h1>{say(Word::HealthTitle)}</h1>
        {room()}
        {waiting(handset, true)}
        {facts(handset)}
        {lock_part(handset)}
        {installing()}
        {check(handset)}
    }
}

/// Whether the browser promised to keep what is stored, and how much of its room is taken.
pub(super) fn promise(space: &Space) -> impl IntoNode + use<> {
    let kept = if space.persistent {
        Word::StorageKept
    } else {
        Word::StorageNotKept
    };
    let used = space.used.zip(space.quota).map(|(used, quota)| {
        let (used, quota) = (megabytes(used), megabytes(quota));
        view! { <p>{move || fill(Phrase::StorageUsed { used: &used, quota: &quota })}</p> }
    });
    view! { <p>{say(kept)}</p> {used} }
}

/// The promise, which can be asked for again, and the room that is left.
fn room() -> impl IntoNode {
    let space = RwSignal::new(None::<Space>);
    let look = move || {
        spawn_local(async move {
            space.set(Some(space::report().await));
        });
    };
    look();
    let ask = move |_| {
        spawn_local(async move {
            space::ask_to_persist().await;
            look();
        });
    };
    move || {
        space.get().map(|space| {
            let free = space.used.zip(space.quota).map(|(used, quota)| {
                let free = megabytes(quota.saturating_sub(used));
                view! { <p data-figure="free">{move || fill(Phrase::HealthFree { free: &free })}</p> }
            });
            view! {
                <div class="notice" class:care=!space.persistent data-figure="kept">
                    {promise(&space)}
                    {free}
                    {when(move || !space.persistent, move || view! { <button type="button" on:click=ask>{say(Word::HealthAsk)}</button> })}
                </div>
            }
        })
    }
}

/// Last export, clock, key and version.
fn facts(handset: Handset) -> impl IntoNode {
    let exported = RwSignal::new(None::<String>);
    let newest = RwSignal::new(None::<DateTime<FixedOffset>>);
    let version = RwSignal::new(None::<String>);
    let task = Task::idle();
    task.run(async move {
        exported.set(handset.last_export().await?.map(moment));
        newest.set(handset.newest_at().await?);
        Ok(())
    });
    spawn_local(async move {
        version.set(release::builds().await.ok().map(|builds| builds.running));
    });
    let opened = use_context::<Opened>();
    let clock = move || clock_says(opened.and_then(|opened| opened.0), newest.get());
    let last = move || match exported.get() {
        Some(when) => fill(Phrase::HealthExported { when: &when }),
        None => spoken(Word::HealthNotExported).to_owned(),
    };
    let key = move || {
        handset.kid().map(|kid| {
            view! {
                <dl class="figures">
                    <div>
                        <dt>{say(Word::StartCode)}</dt>
                        <dd data-figure="key">{kid.short()}</dd>
                    </div>
                </dl>
            }
        })
    };
    let running = move || {
        version.get().map(|version| {
            view! {
                <p data-figure="version">
                    {move || fill(Phrase::AppVersion { version: &version })}
                </p>
            }
        })
    };
    view! {
        <p data-figure="exported">{last}</p>
        {task.problem()}
        {clock}
        {key}
        {running}
    }
}

/// A clock that went back is certain; one that went ahead may only mean that the phone slept.
fn clock_says(opened: Option<Reading>, newest: Option<DateTime<FixedOffset>>) -> Node {
    let Some(now) = clock::now() else {
        return trouble(say(Word::ErrorClock));
    };
    let back = opened.map_or(0, |opened| -clock::moved_ms(opened, now)) / 60_000;
    if back >= MOVED_MINUTES {
        let minutes = back.to_string();
        return trouble(move || fill(Phrase::HealthClockBack { minutes: &minutes }));
    }
    match newest.filter(|at| (*at - now.at).num_minutes() >= MOVED_MINUTES) {
        Some(at) => {
            let when = moment(at);
            trouble(move || fill(Phrase::HealthClockBehind { when: &when }))
        }
        None => view! { <p>{say(Word::HealthClockGood)}</p> }.into_node(),
    }
}

/// The browser's offer to install the page.
fn installing() -> impl IntoNode {
    let offered = RwSignal::new(install::is_offered());
    let ask = move |_| {
        offered.set(false);
        spawn_local(install::ask());
    };
    view! {
        {when(move || offered.get(), move || view! { <div class="actions">
                <button type="button" on:click=ask>{say(Word::HealthInstall)}</button>
            </div> })}
    }
}

/// A look at the whole journal, when it is asked for.
fn check(handset: Handset) -> impl IntoNode {
    let found = RwSignal::new(None::<Left>);
    let task = Task::idle();
    let check = move || {
        found.set(None);
        task.run(async move {
            found.set(Some(handset.check_journal().await?));
            Ok(())
        });
    };
    let says = move || {
        found.get().map(|left| {
            if left.is_whole() {
                let count = left.entries.to_string();
                return view! {
                    <p class="notice good" role="status" data-figure="whole">
                        {move || fill(Phrase::HealthWhole { count: &count })}
                    </p>
                }
                .into_node();
            }
            view! { {trouble(say(Word::ErrorJournalBroken))} {damaged::shown(left)} }.into_node()
        })
    };
    view! {
        {task.button(Word::HealthCheck, check)}
        {when(move || task.is_busy(), move || view! { <p role="status">{say(Word::HealthChecking)}</p> })}
        {task.problem()}
        {says}
    }
}
