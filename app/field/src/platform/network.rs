//! Asking over the network: one request, one answer, both bounded in size and time.

use super::{clock, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{
    AbortController, Headers, ReferrerPolicy, RequestCache, RequestCredentials, RequestInit,
    RequestRedirect, Response,
};

/// What is asked, and where.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// `GET` or `PUT`.
    pub method: &'a str,
    /// Where.
    pub url: &'a str,
    /// Header fields.
    pub fields: &'a [(&'a str, &'a str)],
    /// What is brought along.
    pub content: Option<&'a str>,
    /// How long the answer may take, all of it.
    pub milliseconds: u32,
    /// Most bytes of the answer.
    pub bytes: u32,
}

/// What came back.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The HTTP status.
    pub status: u16,
    /// The content.
    pub text: String,
}

/// No answer: no network, nobody there, too late, too much, or a certificate that this browser does
/// not trust. A browser does not tell a page which.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("there is no answer")]
pub struct NoAnswer;

/// Whether the phone may have a network: `false` is certain, `true` only a hope.
pub fn may_be_there() -> bool {
    window().is_ok_and(|window| window.navigator().on_line())
}

/// Calls `back` whenever the phone finds a network, for as long as the page is open.
pub fn on_return(back: impl Fn() + 'static) {
    let listener = Closure::<dyn Fn()>::new(back).into_js_value();
    if let Ok(window) = window() {
        let _ = window.add_event_listener_with_callback("online", listener.unchecked_ref());
    }
}

/// Asks, and waits for all of the answer. No cookie goes along, nothing is kept by the browser, and
/// no other address is followed.
///
/// # Errors
/// [`NoAnswer`].
pub async fn ask(question: Question<'_>) -> Result<Answer, NoAnswer> {
    fetched(question).await.map_err(|_| NoAnswer)
}

async fn fetched(question: Question<'_>) -> Result<Answer, JsValue> {
    let fields = Headers::new()?;
    for (name, value) in question.fields {
        fields.set(name, value)?;
    }
    let stop = AbortController::new()?;
    let how = RequestInit::new();
    how.set_method(question.method);
    how.set_headers(&fields);
    how.set_cache(RequestCache::NoStore);
    how.set_credentials(RequestCredentials::Omit);
    how.set_redirect(RequestRedirect::Error);
    how.set_referrer_policy(ReferrerPolicy::NoReferrer);
    how.set_signal(Some(&stop.signal()));
    if let Some(content) = question.content {
        how.set_body(&JsValue::from_str(content));
    }
    let window = window().map_err(|_| JsValue::NULL)?;
    let answer = window.fetch_with_str_and_init(question.url, &how);
    // Stopped after its end, it stays as it is.
    spawn_local(async move {
        clock::pause(question.milliseconds).await;
        stop.abort();
    });
    let answer: Response = JsFuture::from(answer).await?.dyn_into()?;
    let content = JsFuture::from(answer.array_buffer()?).await?;
    let content = js_sys::Uint8Array::new(&content);
    if content.length() > question.bytes {
        return Err(JsValue::NULL);
    }
    let text = String::from_utf8(content.to_vec()).map_err(|_| JsValue::NULL)?;
    Ok(Answer {
        status: answer.status(),
        text,
    })
}
