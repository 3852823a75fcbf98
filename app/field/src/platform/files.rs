//! Files in and out: the road that works without any network.

use super::{log, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, BlobPropertyBag, File, FilePropertyBag, HtmlAnchorElement, HtmlInputElement, ShareData,
    Url,
};

/// How long the browser gets to take a download before its data is let go.
const DOWNLOAD_GRACE_MS: i32 = 60_000;

/// Why a file was not read or not given out.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// More than was asked for; it was not read.
    #[error("the file has {size} bytes, at most {limit} are read")]
    TooLarge {
        /// Size in bytes.
        size: u64,
        /// The most that is read, in bytes.
        limit: u64,
    },
    /// Its bytes are no UTF-8.
    #[error("the file is not UTF-8 text")]
    NotText,
    /// Nothing is in it.
    #[error("nothing was given")]
    Empty,
    /// More than one was given where one is read.
    #[error("more than one file was given")]
    Several,
    /// The browser refused; its own words are on the console.
    #[error("the browser could not handle the file")]
    Failed,
}

/// The file that somebody chose, from the `change` event of an `<input type="file">`. The input
/// is emptied, so that choosing the same file again is noticed too.
pub fn chosen(event: &web_sys::Event) -> Option<File> {
    let input: HtmlInputElement = event.target()?.dyn_into().ok()?;
    let file = input.files()?.get(0)?;
    input.set_value("");
    Some(file)
}

/// Reads a file of at most `limit` bytes as text. Its size is looked at before its content is.
///
/// # Errors
/// See [`FileError`].
pub async fn read_text(file: &Blob, limit: u64) -> Result<String, FileError> {
    let size = bytes(file.size());
    if size > limit {
        return Err(FileError::TooLarge { size, limit });
    }
    let buffer = JsFuture::from(file.array_buffer()).await.map_err(failed)?;
    String::from_utf8(js_sys::Uint8Array::new(&buffer).to_vec()).map_err(|_| FileError::NotText)
}

/// Hands content, text or a [`Blob`], to the browser as a download named `name`.
///
/// # Errors
/// [`FileError::Failed`]. The browser does not say whether the person kept the file.
pub fn download(
    name: &str,
    media_type: &str,
    content: impl Into<JsValue>,
) -> Result<(), FileError> {
    let no_window = |_| FileError::Failed;
    let window = window().map_err(no_window)?;
    let document = window.document().ok_or(FileError::Failed)?;
    let body = document.body().ok_or(FileError::Failed)?;

    let options = BlobPropertyBag::new();
    options.set_type(media_type);
    let blob =
        Blob::new_with_str_sequence_and_options(&js_sys::Array::of1(&content.into()), &options)
            .map_err(failed)?;
    let address = Url::create_object_url_with_blob(&blob).map_err(failed)?;

    let link: HtmlAnchorElement = document
        .create_element("a")
        .map_err(failed)?
        .dyn_into()
        .map_err(|_| FileError::Failed)?;
    link.set_href(&address);
    link.set_download(name);
    link.set_hidden(true);
    body.append_child(&link).map_err(failed)?;
    link.click();
    link.remove();

    let let_go = Closure::once_into_js(move || {
        let _ = Url::revoke_object_url(&address);
    });
    window
        .set_timeout_with_callback_and_timeout_and_arguments_0(
            let_go.unchecked_ref(),
            DOWNLOAD_GRACE_MS,
        )
        .map_err(failed)?;
    Ok(())
}

/// How passing a file on ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shared {
    /// Another program has it.
    Passed,
    /// The person thought better of it.
    Stopped,
}

/// Whether this browser passes such files on to other programs.
pub fn can_share(name: &str, media_type: &str) -> bool {
    window().is_ok_and(|window| {
        let navigator = window.navigator();
        // Asked of a browser that has no such function, the call itself would throw.
        super::member(&navigator, "canShare").is_some()
            && sharing(name, media_type, &"".into())
                .is_ok_and(|data| navigator.can_share_with_data(&data))
    })
}

/// Passes content, text or a [`Blob`], on as a file to a program that the person chooses.
///
/// # Errors
/// [`FileError::Failed`], as when the browser wants a fresher tap or refuses the kind of file.
pub async fn share(
    name: &str,
    media_type: &str,
    content: impl Into<JsValue>,
) -> Result<Shared, FileError> {
    pass_on(&sharing(name, media_type, &content.into())?).await
}

/// Passes text on as a message to a program that the person chooses.
///
/// # Errors
/// [`FileError::Failed`], as in a browser that passes nothing on.
pub async fn share_words(text: &str) -> Result<Shared, FileError> {
    let data = ShareData::new();
    data.set_text(text);
    pass_on(&data).await
}

async fn pass_on(data: &ShareData) -> Result<Shared, FileError> {
    let window = window().map_err(|_| FileError::Failed)?;
    let navigator = window.navigator();
    if super::member(&navigator, "share").is_none() {
        return Err(FileError::Failed);
    }
    match JsFuture::from(navigator.share_with_data(data)).await {
        Ok(_) => Ok(Shared::Passed),
        // Web Share API, 2.1.1: a person who chooses no target aborts.
        Err(error) if js_sys::Error::from(error.clone()).name() == "AbortError" => {
            Ok(Shared::Stopped)
        }
        Err(error) => Err(failed(error)),
    }
}

fn sharing(name: &str, media_type: &str, content: &JsValue) -> Result<ShareData, FileError> {
    let options = FilePropertyBag::new();
    options.set_type(media_type);
    let parts = js_sys::Array::of1(content);
    let file = File::new_with_str_sequence_and_options(&parts, name, &options).map_err(failed)?;
    let data = ShareData::new();
    data.set_files(&js_sys::Array::of1(&file));
    Ok(data)
}

/// A size as the browser gives it: a whole number, never negative (File API, `Blob.size`).
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole and positive"
)]
pub(super) fn bytes(size: f64) -> u64 {
    size as u64
}

#[expect(clippy::needless_pass_by_value, reason = "shaped for map_err")]
fn failed(problem: JsValue) -> FileError {
    log(&problem);
    FileError::Failed
}
