//! What a hand feels: the phone's vibration, where there is one.

use super::{member, window};
use wasm_bindgen::JsValue;

/// Vibrates in this pattern of milliseconds on, off, on; does nothing where the phone cannot.
pub fn vibrate(pattern: &[u16]) {
    let Ok(window) = window() else {
        return;
    };
    let navigator = window.navigator();
    // Asked of a browser that has no such function, the call itself would throw.
    if member(&navigator, "vibrate").is_some() {
        let pattern: js_sys::Array = pattern.iter().map(|part| JsValue::from(*part)).collect();
        let _ = navigator.vibrate_with_pattern(&pattern);
    }
}
