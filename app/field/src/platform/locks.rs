//! One tab, one entry at a time, by the browser's Web Locks.
//!
//! A lock belongs to the tab that holds it and dies with that tab, so a crash never leaves one
//! behind.

use super::log;
use wasm_bindgen::prelude::*;

#[wasm_bindgen(module = "/src/platform/storage.js")]
extern "C" {
    #[wasm_bindgen(catch)]
    async fn acquire(name: &str, options: &JsValue) -> Result<JsValue, JsValue>;
    /// The lock of the tab if it is free; the name of it stands in storage.js too.
    #[wasm_bindgen(js_name = acquireTab, catch)]
    async fn acquire_tab() -> Result<JsValue, JsValue>;
}

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
        held(acquire_tab().await).map(Self)
    }

    /// Waits until the other tab is closed, however long that takes.
    ///
    /// # Errors
    /// [`LockError::Unsupported`].
    pub async fn wait() -> Result<Self, LockError> {
        held(acquire(TAB, &js_sys::Object::new()).await).map(Self)
    }
}

/// The right to make and append the next entry.
pub(super) async fn entry() -> Result<Held, LockError> {
    let options = js_sys::Object::new();
    let patience = web_sys::AbortSignal::timeout_with_u32(ENTRY_PATIENCE_MS);
    js_sys::Reflect::set(&options, &"signal".into(), &patience)
        .map_err(|_| LockError::Unsupported)?;
    held(acquire(ENTRY, &options).await)
}

/// What came of asking: a function that gives the lock back, null where somebody else has it,
/// nothing in a browser without locks.
fn held(got: Result<JsValue, JsValue>) -> Result<Held, LockError> {
    match got {
        Ok(got) if got.is_null() => Err(LockError::Busy),
        Ok(got) => got
            .dyn_into()
            .map(|give_back| Held { give_back })
            .map_err(|_| LockError::Unsupported),
        Err(problem) => {
            log(&problem);
            Err(LockError::Unsupported)
        }
    }
}
