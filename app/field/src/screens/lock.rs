//! Putting the lock on, locking at once, and taking it off.

use super::inputs::{Task, notice, trouble};
use crate::handset::lock::{Lock, Pin, PinFault};
use crate::handset::{Handset, Refused};
use crate::platform::{idle, page};
use crate::speech::{fill, say};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Node, RwSignal, view};
use leptos::prelude::*;

/// Minutes without a touch that can be chosen, the usual ones in the middle (common practice).
const MINUTES: [u32; 3] = [2, 5, 15];

/// The part of a screen that is about the lock.
pub fn lock_part(handset: Handset) -> impl IntoNode {
    // Not known until it was looked at.
    let lock = RwSignal::new(None::<Option<Lock>>);
    let task = Task::idle();
    let ask = move || async move {
        lock.set(Some(handset.lock().await?));
        Ok::<_, Refused>(())
    };
    task.run(ask());
    let changed = move |work: LocalWork| {
        task.run(async move {
            work.await?;
            ask().await?;
            watch(handset).await
        });
    };
    view! {
        <section data-figure="lock">
            <h2>{say(Word::LockTitle)}</h2>
            {move || {
                lock.get().map(|lock| match lock {
                    None => put_on(handset, task, changed),
                    Some(lock) => put_off(handset, &lock, task, changed),
                })
            }}
            {task.problem()}
        </section>
    }
}

type LocalWork = std::pin::Pin<Box<dyn Future<Output = Result<(), Refused>>>>;

/// Locks the page once nobody touched it for as long as was chosen.
///
/// # Errors
/// See [`Refused`].
pub async fn watch(handset: Handset) -> Result<(), Refused> {
    let minutes = handset.lock().await?.map(|lock| lock.minutes());
    idle::watch(minutes, page::reload);
    Ok(())
}

fn put_on(handset: Handset, task: Task, changed: impl Fn(LocalWork) + Copy + 'static) -> Node {
    if handset.brief().is_none() {
        return view! { <p>{say(Word::LockWhy)}</p> {notice(Word::ErrorNoBrief)} }.into_node();
    }
    let (pin, again) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let minutes = RwSignal::new(MINUTES[1]);
    let said = RwSignal::new(None::<Word>);
    let tapped = move || {
        let chosen = match pin.with_untracked(|pin| Pin::new(pin)) {
            Err(PinFault::NotDigits) => Err(Word::LockNotDigits),
            Err(PinFault::TooEasy) => Err(Word::LockTooEasy),
            Ok(_) if !pin.with_untracked(|pin| again.with_untracked(|again| pin == again)) => {
                Err(Word::LockDiffers)
            }
            Ok(chosen) => Ok(chosen),
        };
        said.set(chosen.as_ref().err().copied());
        if let Ok(chosen) = chosen {
            let minutes = minutes.get_untracked();
            changed(Box::pin(async move {
                handset.put_lock_on(&chosen, minutes).await
            }));
        }
    };
    let choices = MINUTES.map(|each| {
        let count = each.to_string();
        view! {
            <label class="choice">
                <input
                    type="radio"
                    name="lock-minutes"
                    prop:checked=move || minutes.get() == each
                    on:change=move |_| minutes.set(each)
                />
                <span>{move || fill(Phrase::LockMinutesAre { minutes: &count })}</span>
            </label>
        }
    });
    view! {
        <p>{say(Word::LockWhy)}</p>
        <p class="notice">{say(Word::LockLost)}</p>
        {digits("lock-pin", Word::LockPin, pin)}
        {digits("lock-again", Word::LockAgain, again)}
        <fieldset>
            <legend>{say(Word::LockMinutes)}</legend>
            <div class="choices one-column">{choices.into_iter().collect::<Vec<_>>()}</div>
        </fieldset>
        {move || said.get().map(|word| trouble(say(word)))}
        {task.button(Word::LockPutOn, tapped)}
    }
    .into_node()
}

fn put_off(
    handset: Handset,
    lock: &Lock,
    task: Task,
    changed: impl Fn(LocalWork) + Copy + 'static,
) -> Node {
    let minutes = lock.minutes().to_string();
    let pin = RwSignal::new(String::new());
    let tapped = move |_| match pin.with_untracked(|pin| Pin::new(pin)) {
        Ok(pin) => changed(Box::pin(async move { handset.take_lock_off(&pin).await })),
        Err(_) => task.say(Word::LockWrong),
    };
    view! {
        <p>{move || fill(Phrase::LockIsOn { minutes: &minutes })}</p>
        <div class="actions">
            <button type="button" class="primary" on:click=move |_| page::reload()>
                {say(Word::LockNow)}
            </button>
        </div>
        {digits("lock-pin", Word::LockPin, pin)}
        <div class="actions">
            <button
                type="button"
                aria-disabled=move || task.is_busy().then_some("true")
                on:click=tapped
            >
                {say(Word::LockTakeOff)}
            </button>
        </div>
    }
    .into_node()
}

/// An input for a PIN: the digits are not shown, and the keyboard has no letters.
pub fn digits(id: &'static str, label: Word, typed: RwSignal<String>) -> Node {
    view! {
        <div class="field">
            <label for=id>{say(label)}</label>
            <input
                id=id
                class="figure"
                type="password"
                inputmode="numeric"
                autocomplete="off"
                maxlength="12"
                prop:value=typed
                on:input=move |event| typed.set(event_target_value(&event))
            />
        </div>
    }
    .into_node()
}
