//! Installing the page as a program of the phone, where the browser offers it.
//!
//! The browser says so once, perhaps before the program stands, so `static/start.js` keeps what
//! it said (Web App Manifest, Incubations: `beforeinstallprompt`).

use super::{member, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

const KEPT: &str = "combgateInstall";

/// Whether the browser offers it now.
pub fn is_offered() -> bool {
    kept().is_some()
}

/// Lets the browser ask the person. An offer is good for one question.
pub async fn ask() {
    let Some(offer) = kept() else { return };
    if let Ok(window) = window() {
        let _ = js_sys::Reflect::delete_property(&window, &KEPT.into());
    }
    let prompt = member(&offer, "prompt").and_then(|prompt| prompt.dyn_into().ok());
    if let Some(answer) = prompt.and_then(|prompt: js_sys::Function| prompt.call0(&offer).ok()) {
        let _ = JsFuture::from(js_sys::Promise::resolve(&answer)).await;
    }
}

fn kept() -> Option<JsValue> {
    member(&window().ok()?.into(), KEPT)
}
