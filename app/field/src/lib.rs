//! The officer's phone page.
//!
//! - [`draft`]: a delivery while it is being written down.
//! - [`handset`]: key, brief and journal, and the only way to add to it.
//! - [`platform`]: the browser, and the only modules that touch it.
//! - [`register`]: the members whose honey can be bought, and how to find one.
//! - [`route`]: which screen the address asks for.
//! - [`sending`]: handing over by network, tried until it is done.
//! - [`shell`]: the frame around every screen, and what must stand before the first one.
//! - [`screens`]: one module a screen. They call `combgate-core` and show what it says; no rule
//!   about honey or money lives here.
//! - [`speech`]: words in the language that is chosen.
//! - [`trouble`]: what went wrong below, as a sentence.

pub mod draft;
pub mod handset;
pub mod platform;
pub mod register;
pub mod route;
pub mod screens;
pub mod sending;
pub mod shell;
pub mod speech;
pub mod trouble;

/// Puts the program on the page.
pub fn run() {
    console_error_panic_hook::set_once();
    combgate_view::begin();
    platform::drafts::settle_at_leaving();
    wasm_bindgen_futures::spawn_local(shell::run());
}
