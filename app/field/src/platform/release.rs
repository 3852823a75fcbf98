//! Which build of the program runs, and the change to a newer one.
//!
//! The service worker keeps each build whole and goes on serving the one it was told to (see
//! `static/service-worker.js`). It is told here, and only when nothing is in progress.

use super::{drafts, member, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{MessageChannel, MessageEvent, ServiceWorker, ServiceWorkerContainer};

const WORKER: &str = "service-worker.js";

/// The builds that the phone holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Builds {
    /// Version that pages get now.
    pub running: String,
    /// Newest version that is stored whole.
    pub newest: String,
}

impl Builds {
    /// Whether there is something to change to.
    pub fn has_newer(&self) -> bool {
        self.running != self.newest
    }
}

/// Why builds cannot be managed or changed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReleaseError {
    /// The browser has no service workers here: too old, or the page has no secure address. The
    /// page will not start without a network.
    #[error("this browser keeps no pages for use without a network")]
    Unsupported,
    /// The worker is not there yet or gave no answer that could be read.
    #[error("the service worker did not answer")]
    NoAnswer,
    /// Something is in progress.
    #[error("a draft is open")]
    DraftOpen,
}

/// Registers the service worker, and looks for a newer build where there is a network. Returns
/// once a build is stored and the worker serves this page.
///
/// # Errors
/// [`ReleaseError::Unsupported`], [`ReleaseError::NoAnswer`] where storing the build failed.
pub async fn register() -> Result<(), ReleaseError> {
    let container = container()?;
    JsFuture::from(container.register(WORKER))
        .await
        .map_err(|_| ReleaseError::NoAnswer)?;
    let ready = container.ready().map_err(|_| ReleaseError::NoAnswer)?;
    JsFuture::from(ready)
        .await
        .map_err(|_| ReleaseError::NoAnswer)?;
    Ok(())
}

/// The builds that the phone holds.
///
/// # Errors
/// [`ReleaseError::Unsupported`], [`ReleaseError::NoAnswer`].
pub async fn builds() -> Result<Builds, ReleaseError> {
    let answer = ask("builds").await?;
    let version = |name: &str| {
        member(&answer, name)
            .and_then(|value| value.as_string())
            .ok_or(ReleaseError::NoAnswer)
    };
    Ok(Builds {
        running: version("running")?,
        newest: version("newest")?,
    })
}

/// Changes to the newest build and loads the page anew.
///
/// # Errors
/// [`ReleaseError::DraftOpen`] while anything is in progress, or while that cannot be known.
pub async fn switch() -> Result<(), ReleaseError> {
    if drafts::any_open().unwrap_or(true) {
        return Err(ReleaseError::DraftOpen);
    }
    ask("switch").await?;
    let window = window().map_err(|_| ReleaseError::Unsupported)?;
    window
        .location()
        .reload()
        .map_err(|_| ReleaseError::NoAnswer)
}

/// Calls `changed` whenever a worker takes over, which it does once its build is stored whole.
pub fn on_change(changed: impl Fn() + 'static) {
    if let Ok(container) = container() {
        let listener = Closure::<dyn Fn()>::new(changed).into_js_value();
        let _ = container
            .add_event_listener_with_callback("controllerchange", listener.unchecked_ref());
    }
}

/// What the worker that serves this page answers.
pub(super) async fn ask(question: &str) -> Result<JsValue, ReleaseError> {
    let worker: ServiceWorker = container()?.controller().ok_or(ReleaseError::NoAnswer)?;
    let channel = MessageChannel::new().map_err(|_| ReleaseError::NoAnswer)?;
    let port = channel.port1();
    let answer = js_sys::Promise::new(&mut |resolve, _reject| {
        let listener = Closure::once_into_js(move |event: MessageEvent| {
            let _ = resolve.call1(&JsValue::NULL, &event.data());
        });
        port.set_onmessage(Some(listener.unchecked_ref()));
    });
    let message = js_sys::Object::new();
    js_sys::Reflect::set(&message, &"ask".into(), &question.into())
        .map_err(|_| ReleaseError::NoAnswer)?;
    worker
        .post_message_with_transferable(&message, &js_sys::Array::of1(&channel.port2()))
        .map_err(|_| ReleaseError::NoAnswer)?;
    JsFuture::from(answer)
        .await
        .map_err(|_| ReleaseError::NoAnswer)
}

fn container() -> Result<ServiceWorkerContainer, ReleaseError> {
    let window = window().map_err(|_| ReleaseError::Unsupported)?;
    member(&window.navigator(), "serviceWorker")
        .map(JsCast::unchecked_into)
        .ok_or(ReleaseError::Unsupported)
}
