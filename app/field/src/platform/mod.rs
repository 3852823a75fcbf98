//! The browser, and nothing but the browser.
//!
//! Only these modules touch the window, its storage, its clock and its keys. They know no rule
//! about honey and hold no sentence for a screen: what goes wrong comes back as an enum, which
//! the screens put into words.
//!
//! What keeps a receipt safe, in the order in which it happens:
//! 1. [`locks`]: one tab alone works ([`locks::Tab`]), and within it one entry at a time is made.
//! 2. [`journal::Journal::issue`]: under that lock it looks whether this delivery already has its
//!    receipt, reads the head of the chain, lets the caller build and sign the next entry, and
//!    appends it in one transaction with strict durability.
//! 3. Only when the browser reports that transaction complete does the call return; only then
//!    may a screen show the receipt and give up the [`drafts`] it came from.

pub mod address;
pub mod clock;
pub mod database;
pub mod drafts;
pub mod files;
pub mod identity;
pub mod idle;
pub mod install;
pub mod journal;
pub mod keys;
pub mod locks;
pub mod network;
pub mod page;
pub mod photo;
pub mod picture;
pub mod preferences;
pub mod release;
pub mod shared;
pub mod space;
pub mod state;
pub mod touch;
pub mod vault;
pub mod voice;

use wasm_bindgen::{JsCast, JsValue};

/// The window. There is always one where a page runs; a program without it has no business here.
///
/// # Errors
/// In a worker or outside a browser.
fn window() -> Result<web_sys::Window, NoWindow> {
    web_sys::window().ok_or(NoWindow)
}

/// The program does not run in a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("this needs the window of a browser")]
pub struct NoWindow;

/// Says on the console what a browser threw, for whoever looks into it; a screen has words of its own.
fn log(thrown: &JsValue) {
    web_sys::console::warn_1(thrown);
}

/// A member of a browser object, where the browser has it.
fn member(object: &JsValue, name: &str) -> Option<JsValue> {
    js_sys::Reflect::get(object, &JsValue::from_str(name))
        .ok()
        .filter(|value| !value.is_undefined() && !value.is_null())
}

/// The browser's cryptography. `crypto.subtle` is missing, not only useless, where the address is not
/// secure.
fn subtle() -> Option<web_sys::SubtleCrypto> {
    let window = window().ok()?;
    let crypto = member(&window, "crypto")?;
    member(&crypto, "subtle").map(JsCast::unchecked_into)
}
