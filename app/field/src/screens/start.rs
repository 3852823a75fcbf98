//! The start: this handset, how safely it keeps things, a delivery to go on with.

use crate::platform::space::{self, Space};
use crate::speech::{fill, say};
use crate::trouble::megabytes;
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// The screen.
#[component]
pub fn Start() -> impl IntoView {
    view! {
        <h1>{say(Word::StartTitle)}</h1>
        <p>{say(Word::AppPurpose)}</p>
        <Storage/>
    }
}

/// Whether the browser promised to keep what is stored, and how much room there is.
#[component]
fn Storage() -> impl IntoView {
    let space = RwSignal::new(None::<Space>);
    spawn_local(async move { space.set(Some(space::report().await)) });
    move || {
        space.get().map(|space| {
            let kept = if space.persistent {
                Word::StorageKept
            } else {
                Word::StorageNotKept
            };
            let room = space.used.zip(space.quota).map(|(used, quota)| {
                let (used, quota) = (megabytes(used), megabytes(quota));
                view! {
                    <p>{move || fill(Phrase::StorageUsed { used: &used, quota: &quota })}</p>
                }
            });
            view! {
                <div class="notice" class:care=!space.persistent>
                    <p>{say(kept)}</p>
                    {room}
                </div>
            }
        })
    }
}
