//! Work in progress, kept right after every key so that a phone that dies gives it back.
//!
//! Kept in the browser's local storage, one draft a kind. A draft is a convenience and no
//! record: it is given up when its receipt is stored.

use super::{vault, window};
use combgate_core::record::{from_open_text, to_text};
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::set_timeout;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::cell::RefCell;
use std::time::Duration;
use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;

/// What is being worked on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Opening the day.
    DayOpening,
    /// A delivery, from its member to its decision.
    Delivery,
    /// Closing the day.
    DayClosing,
}

impl Kind {
    const ALL: [Self; 3] = [Self::DayOpening, Self::Delivery, Self::DayClosing];

    const fn key(self) -> &'static str {
        match self {
            Self::DayOpening => "combgate-draft-day-opening",
            Self::Delivery => "combgate-draft-delivery",
            Self::DayClosing => "combgate-draft-day-closing",
        }
    }
}

/// Why a draft could not be kept or given back.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DraftError {
    /// The browser keeps no data for this page.
    #[error("this browser stores no data")]
    Unavailable,
    /// It was not kept, most likely for want of room.
    #[error("the draft was not kept")]
    NotKept,
    /// What is kept cannot be read, as after a change of its shape. It stays where it is until
    /// somebody gives it up.
    #[error("the draft cannot be read")]
    Unreadable,
}

/// A draft that is to be kept next.
struct Waiting {
    kind: Kind,
    keep: Box<dyn FnOnce()>,
}

thread_local! {
    static WAITING: RefCell<Option<Waiting>> = const { RefCell::new(None) };
}

/// Keeps a draft as the next thing, once what follows from a key is shown, and says then how that
/// went; unless a newer one comes in between. Whoever asks for a draft before that gets this one.
pub fn save_next<T: Serialize + 'static>(
    kind: Kind,
    draft: T,
    told: impl FnOnce(Result<(), DraftError>) + 'static,
) {
    let keep = Box::new(move || told(save(kind, &draft)));
    match WAITING.replace(Some(Waiting { kind, keep })) {
        // Its turn is still to come, and is this one's too.
        Some(before) if before.kind == kind => {}
        Some(before) => (before.keep)(),
        None => set_timeout(settle, Duration::ZERO),
    }
}

/// Keeps at once what waits for it.
pub fn settle() {
    if let Some(waiting) = WAITING.take() {
        (waiting.keep)();
    }
}

/// Keeps what waits when the page is left or covered: it may never be shown again.
pub fn settle_at_leaving() {
    let Ok(window) = window() else { return };
    let leaving = Closure::<dyn Fn()>::new(settle);
    for event in ["pagehide", "visibilitychange"] {
        let _ = window.add_event_listener_with_callback(event, leaving.as_ref().unchecked_ref());
    }
    // For as long as the page lives.
    leaving.forget();
}

/// Gives up what waits, where it is of a kind.
fn forget_waiting(kind: Kind) {
    WAITING.with_borrow_mut(|waiting| {
        waiting.take_if(|waiting| waiting.kind == kind);
    });
}

/// Keeps a draft over the one before it.
///
/// # Errors
/// [`DraftError::Unavailable`], [`DraftError::NotKept`]: tell the person, since what they typed
/// is now on the screen alone.
pub fn save(kind: Kind, draft: &impl Serialize) -> Result<(), DraftError> {
    let text = to_text("draft", draft).map_err(|_| DraftError::NotKept)?;
    keep(kind, &text)
}

fn keep(kind: Kind, text: &str) -> Result<(), DraftError> {
    forget_waiting(kind);
    let storage = available()?;
    let text = vault::sealed(text).map_err(|_| DraftError::NotKept)?;
    storage
        .set_item(kind.key(), &text)
        .map_err(|_| DraftError::NotKept)
}

/// As it lies there, sealed or not.
fn raw(kind: Kind) -> Result<Option<String>, DraftError> {
    settle();
    available()?
        .get_item(kind.key())
        .map_err(|_| DraftError::Unavailable)
}

fn kept(kind: Kind) -> Result<Option<String>, DraftError> {
    raw(kind)?
        .map(vault::opened)
        .transpose()
        .map_err(|_| DraftError::Unreadable)
}

/// Every draft there is, opened, to be kept again under another secret.
pub fn texts() -> Vec<(Kind, String)> {
    let text = |kind| Some((kind, kept(kind).ok().flatten()?));
    Kind::ALL.into_iter().filter_map(text).collect()
}

/// Keeps drafts again. One that cannot be kept stays as it was.
pub fn keep_texts(texts: &[(Kind, String)]) {
    for (kind, text) in texts {
        let _ = keep(*kind, text);
    }
}

/// Gives up every draft.
pub fn discard_all() {
    for kind in Kind::ALL {
        let _ = discard(kind);
    }
}

/// Gives back the draft, if there is one.
///
/// # Errors
/// [`DraftError::Unavailable`], [`DraftError::Unreadable`].
pub fn load<T: DeserializeOwned>(kind: Kind) -> Result<Option<T>, DraftError> {
    let Some(text) = kept(kind)? else {
        return Ok(None);
    };
    from_open_text("draft", &text, text.len())
        .map(Some)
        .map_err(|_| DraftError::Unreadable)
}

/// Gives a draft up.
///
/// # Errors
/// [`DraftError::Unavailable`].
pub fn discard(kind: Kind) -> Result<(), DraftError> {
    forget_waiting(kind);
    available()?
        .remove_item(kind.key())
        .map_err(|_| DraftError::Unavailable)
}

/// Whether there is a draft of this kind, readable or not.
///
/// # Errors
/// [`DraftError::Unavailable`].
pub fn is_open(kind: Kind) -> Result<bool, DraftError> {
    Ok(raw(kind)?.is_some())
}

/// Whether anything at all is in progress. Then the program must not be switched to a new build.
///
/// # Errors
/// [`DraftError::Unavailable`].
pub fn any_open() -> Result<bool, DraftError> {
    for kind in Kind::ALL {
        if is_open(kind)? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The browser's local storage, where it is not switched off.
///
/// The library panics where local storage is switched off, so that is asked first.
pub(super) fn available() -> Result<web_sys::Storage, DraftError> {
    window()
        .ok()
        .and_then(|window| window.local_storage().ok().flatten())
        .map(|_| LocalStorage::raw())
        .ok_or(DraftError::Unavailable)
}
