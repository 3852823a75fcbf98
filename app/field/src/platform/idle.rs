//! Noticing that nobody touches the phone.

use super::{clock, window};
use std::cell::Cell;
use wasm_bindgen::prelude::*;

/// How often it is looked at.
const EVERY_MS: i32 = 5_000;

thread_local! {
    /// Milliseconds of rest that are allowed; `None` when nobody watches.
    static ALLOWED_MS: Cell<Option<i64>> = const { Cell::new(None) };
    static TOUCHED_MS: Cell<i64> = const { Cell::new(0) };
    static WATCHING: Cell<bool> = const { Cell::new(false) };
}

/// Calls `left` once nobody touched the page or typed for so many minutes, also when the page comes
/// back to the front after that long: one in the background is not woken by its timers alone. With
/// `None`, nobody watches any more.
pub fn watch(minutes: Option<u32>, left: fn()) {
    ALLOWED_MS.set(minutes.map(|minutes| i64::from(minutes) * 60_000));
    TOUCHED_MS.set(moment());
    if minutes.is_none() || WATCHING.replace(true) {
        return;
    }
    let Ok(window) = window() else { return };
    let look = move || {
        let allowed = ALLOWED_MS.get();
        let too_long = allowed.is_some_and(|allowed| moment() - TOUCHED_MS.get() >= allowed);
        if too_long {
            left();
        }
        too_long
    };
    // The touch that ends a long rest is no work done before it.
    let note = Closure::<dyn Fn()>::new(move || {
        if !look() {
            TOUCHED_MS.set(moment());
        }
    })
    .into_js_value();
    for event in ["pointerdown", "keydown"] {
        // Before any element hears of it, so that none can keep it from here.
        let _ = window.add_event_listener_with_callback_and_bool(event, note.unchecked_ref(), true);
    }
    let look = Closure::<dyn Fn()>::new(move || {
        look();
    })
    .into_js_value();
    if let Some(document) = window.document() {
        let _ = document.add_event_listener_with_callback("visibilitychange", look.unchecked_ref());
    }
    let _ = window
        .set_interval_with_callback_and_timeout_and_arguments_0(look.unchecked_ref(), EVERY_MS);
}

fn moment() -> i64 {
    clock::now().map_or(0, |now| now.unix_ms)
}
