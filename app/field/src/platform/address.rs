//! The part of the page's address behind `#`, which says which screen is shown. It works from
//! any folder and without a server, and the browser's own back button comes with it.

use super::window;
use wasm_bindgen::prelude::*;

/// What stands behind `#` now, without it.
pub fn hash() -> String {
    let hash = window()
        .ok()
        .and_then(|window| window.location().hash().ok())
        .unwrap_or_default();
    hash.strip_prefix('#').unwrap_or(&hash).to_owned()
}

/// Goes to another screen; the one before stays behind the back button.
pub fn go(hash: &str) {
    if let Ok(window) = window() {
        let _ = window.location().set_hash(hash);
    }
}

/// Goes to another screen in place of this one, for places that one must not come back to.
pub fn replace(hash: &str) {
    if let Ok(window) = window() {
        let _ = window.location().replace(&format!("#{hash}"));
    }
}

/// Calls `changed` with the new [`hash`] whenever it changes, for as long as the page is open.
pub fn on_change(changed: impl Fn(String) + 'static) {
    let listener = Closure::<dyn Fn()>::new(move || changed(hash())).into_js_value();
    if let Ok(window) = window() {
        let _ = window.add_event_listener_with_callback("hashchange", listener.unchecked_ref());
    }
}
