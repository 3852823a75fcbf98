//! A locked page: the PIN, and for whoever forgot it the way to hand over and to a newer brief.

use super::inputs::{Task, notice, trouble};
use super::lock::digits;
use super::take_in::{Asked, take_in};
use crate::handset::lock::Pin;
use crate::handset::{Handset, Outgoing};
use crate::platform::{files, page};
use crate::speech::say;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, RwSignal, effect, view, when};
use leptos::prelude::*;

/// RFC 7515, 9.2.1.
const COMPACT: &str = "application/jose";

/// The screen.
pub fn locked(handset: Handset, open: Callback<()>) -> impl IntoNode {
    let pin = RwSignal::new(String::new());
    let task = Task::idle();
    let tapped = move || {
        let Ok(typed) = pin.with_untracked(|pin| Pin::new(pin)) else {
            task.say(Word::LockWrong);
            return;
        };
        task.run(async move {
            let opened = handset.open_lock(&typed).await;
            pin.set(String::new());
            opened?;
            open.run(());
            Ok(())
        });
    };
    let sent = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        tapped();
    };
    // A newer brief lifts the lock, and the page begins anew with it.
    effect(move |_| {
        if handset.brief().is_some() {
            page::reload();
        }
    });
    view! {
        <h1>{say(Word::LockLocked)}</h1>
        <form on:submit=sent>
            {digits("pin", Word::LockPin, pin)}
            <div class="actions">
                <button
                    type="submit"
                    class="primary"
                    aria-disabled=move || task.is_busy().then_some("true")
                >
                    {say(Word::LockOpen)}
                </button>
            </div>
        </form>
        {when(move || task.is_busy(), move || view! { <p role="status">{say(Word::LockOpening)}</p> })}
        {task.problem()}
        <details>
            <summary>{say(Word::LockForgotten)}</summary>
            {give_out(handset)}
            <p class="notice">{say(Word::LockLift)}</p>
            {take_in(handset, Asked::Brief)}
        </details>
    }
}

/// Everything that waits, sealed for the desk.
fn give_out(handset: Handset) -> impl IntoNode {
    let task = Task::idle();
    let told = RwSignal::new(None::<bool>);
    let give = move || {
        told.set(None);
        task.run(async move {
            let sealed = handset.sealed_bundle().await?;
            let given = sealed
                .iter()
                .all(|Outgoing { name, text }| files::download(name, COMPACT, text).is_ok());
            told.set(Some(given));
            Ok(())
        });
    };
    view! {
        <p>{say(Word::LockGiveOutWhy)}</p>
        {task.button(Word::LockGiveOut, give)}
        {task.problem()}
        {move || {
            told.get().map(|given| {
                if given {
                    notice(Word::TodayExported)
                } else {
                    trouble(say(Word::ErrorFileNotGiven))
                }
            })
        }}
    }
}
