//! The few things about the page itself that a program has to say for readers of all kinds.

use super::window;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;

#[wasm_bindgen(module = "/src/platform/storage.js")]
extern "C" {
    /// Does something once nothing more urgent waits.
    fn later(work: &js_sys::Function);
}

#[wasm_bindgen(module = "/src/platform/boot.js")]
extern "C" {
    #[wasm_bindgen(catch, js_name = takeBootAway)]
    fn boot_away() -> Result<(), JsValue>;
}

/// Lets the first screen take the place of what stood on the page before it, with what was typed there.
pub fn take_boot_away() {
    // Away it is in any case: the worst is that somebody types two letters again.
    let _ = boot_away();
}

/// Tells the browser, screen readers and the speech voice which language the page is in.
pub fn set_language(code: &str) {
    if let Some(root) = document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("lang", code);
    }
}

/// Names the page in the tab, in the history and to a screen reader.
pub fn set_title(title: &str) {
    if let Some(document) = document() {
        document.set_title(title);
    }
}

/// Brings reader and screen reader to the top of a new screen: its heading gets the focus.
pub fn focus_heading() {
    let heading = document().and_then(|document| document.query_selector("main h1").ok().flatten());
    if let Some(heading) =
        heading.and_then(|heading| heading.dyn_into::<web_sys::HtmlElement>().ok())
    {
        // A heading takes the focus only when it is told that it may.
        heading.set_tab_index(-1);
        let _ = heading.focus();
    }
    if let Ok(window) = window() {
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}

/// Brings reader and screen reader to the first input that says something is wrong with it.
pub fn focus_problem() {
    let input = document().and_then(|document| {
        document
            .query_selector("main [aria-invalid=true]")
            .ok()
            .flatten()
    });
    if let Some(input) = input.and_then(|input| input.dyn_into::<web_sys::HtmlElement>().ok()) {
        let _ = input.focus();
    }
}

/// Scrolls to an element, so that an answer to a tap is not missed below the window.
pub fn bring_into_view(id: &str) {
    if let Some(element) = document().and_then(|document| document.get_element_by_id(id)) {
        element.scroll_into_view();
    }
}

/// Begins anew, with nothing left in memory.
pub fn reload() {
    if let Ok(window) = window() {
        let _ = window.location().reload();
    }
}

/// Asks the browser to print the page. The style sheet looks at `paper` for the size of it.
pub fn print(paper: &str) {
    if let Some(root) = document().and_then(|document| document.document_element()) {
        let _ = root.set_attribute("data-print", paper);
    }
    if let Ok(window) = window() {
        // A browser that cannot print does nothing, and says so itself.
        let _ = window.print();
    }
}

/// Lets the page do whatever is more urgent, such as to answer taps and keys, before work goes on.
pub async fn rest() {
    let rested = js_sys::Promise::new(&mut |done, _| later(&done));
    // Nothing refuses it.
    let _ = JsFuture::from(rested).await;
}

fn document() -> Option<web_sys::Document> {
    window().ok()?.document()
}
