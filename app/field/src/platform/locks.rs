//! One tab, one entry at a time, by the browser's Web Locks.
//!
//! A lock belongs to the tab that holds it and dies with that tab, so a crash never leaves one
//! behind.

use super::{member, thrown, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

/// Held by the one tab that works.
const TAB: &str = "combgate-tab";
/// Held while an entry is made and appended.
const ENTRY: &str = "combgate-entry";
/// How long to wait for another entry to be finished. Signing and storing take well under a
/// second even on slow phones (common practice: ten times that, then tell the person).
const ENTRY_PATIENCE_MS: u32 = 10_000;

/// Why a lock was not got.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LockError {
    /// The browser has no Web Locks: too old, or the page has no secure address.
    #[error("this browser has no locks")]
    Unsupported,
    /// Somebody else holds it.
    #[error("another tab holds the lock")]
    Busy,
}

/// A lock, held until this is dropped.
#[must_use = "the lock is given back as soon as this is dropped"]
#[derive(Debug)]
pub struct Held {
    give_back: js_sys::Function,
}

impl Drop for Held {
    fn drop(&mut self) {
        // Resolving a promise calls no code that could throw.
        let _ = self.give_back.call0(&JsValue::NULL);
    }
}

/// The right to be the one tab that opens the database and writes.
#[derive(Debug)]
pub struct Tab(#[expect(dead_code, reason = "held for its drop")] Held);

impl Tab {
    /// Takes the right if no other tab has it.
    ///
    /// # Errors
    /// [`LockError::Busy`] if another tab works already.
    pub async fn take() -> Result<Self, LockError> {
        acquire(TAB, Wait::Not).await.map(Self)
    }

    /// Waits until the other tab is closed, however long that takes.
    ///
    /// # Errors
    /// [`LockError::Unsupported`].
    pub async fn wait() -> Result<Self, LockError> {
        acquire(TAB, Wait::Forever).await.map(Self)
    }
}

/// The right to make and append the next entry.
pub(super) async fn entry() -> Result<Held, LockError> {
    acquire(ENTRY, Wait::Milliseconds(ENTRY_PATIENCE_MS)).await
}

enum Wait {
    Not,
    Milliseconds(u32),
    Forever,
}

async fn acquire(name: &str, wait: Wait) -> Result<Held, LockError> {
    // web-sys hides Web Locks behind a compiler flag, so they are looked up by name here.
    let navigator = window().map_err(|_| LockError::Unsupported)?.navigator();
    let locks = member(&navigator, "locks").ok_or(LockError::Unsupported)?;
    let request: js_sys::Function = member(&locks, "request")
        .and_then(|request| request.dyn_into().ok())
        .ok_or(LockError::Unsupported)?;

    let options = js_sys::Object::new();
    let option = match wait {
        Wait::Not => Some(("ifAvailable", JsValue::TRUE)),
        Wait::Milliseconds(most) => Some((
            "signal",
            web_sys::AbortSignal::timeout_with_u32(most).into(),
        )),
        Wait::Forever => None,
    };
    if let Some((key, value)) = option {
        js_sys::Reflect::set(&options, &key.into(), &value).map_err(|_| LockError::Unsupported)?;
    }

    // The browser holds the lock for as long as the promise that the callback returns is open.
    // So the callback reports that it was called, and returns a promise that `Held` closes.
    let (got, report) = open_promise();
    let (until_given_back, give_back) = open_promise();
    let refused = report.clone();
    let callback = Closure::once_into_js(move |lock: JsValue| -> JsValue {
        let held = !lock.is_null();
        let _ = report.call1(&JsValue::NULL, &JsValue::from_bool(held));
        if held {
            until_given_back.into()
        } else {
            JsValue::UNDEFINED
        }
    });
    let request = request
        .call3(&locks, &name.into(), &options, &callback)
        .map_err(|_| LockError::Unsupported)?;
    // The request fails only when its patience ran out before the callback was called; after
    // that, reporting again changes nothing.
    wasm_bindgen_futures::spawn_local(async move {
        if JsFuture::from(js_sys::Promise::from(request))
            .await
            .is_err()
        {
            let _ = refused.call1(&JsValue::NULL, &JsValue::FALSE);
        }
    });
    match JsFuture::from(got).await {
        Ok(held) if held.is_truthy() => Ok(Held { give_back }),
        Ok(_) => Err(LockError::Busy),
        Err(problem) => {
            web_sys::console::error_1(&thrown(&problem).into());
            Err(LockError::Unsupported)
        }
    }
}

/// A promise and the function that closes it.
fn open_promise() -> (js_sys::Promise, js_sys::Function) {
    let mut close = None;
    let promise = js_sys::Promise::new(&mut |resolve, _reject| close = Some(resolve));
    // A promise calls its executor before the constructor returns (ECMAScript, Promise).
    (promise, close.unwrap_or_default())
}
