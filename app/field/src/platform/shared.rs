//! What another program shared with the installed page (Web Share Target, level 2).
//!
//! The service worker receives it, bounds it and keeps it until somebody at the page decided on it
//! (see `static/service-worker.js`).

use super::files::{FileError, bytes};
use super::{member, release};
use wasm_bindgen::JsCast;
use web_sys::Blob;

/// What waits to be decided on: the one file or text that was shared, of at most `limit` bytes, or why
/// it is none. `None` where nothing was shared, or where no worker keeps anything.
pub async fn waiting(limit: u64) -> Option<Result<Blob, FileError>> {
    let answer = release::ask("shared").await.ok()?;
    let shared = member(&answer, "shared")?;
    let figure = |name| member(&shared, name).and_then(|value| value.as_f64());
    let size = bytes(figure("size")?);
    Some(match figure("count").map(bytes) {
        Some(0) => Err(FileError::Empty),
        Some(1) => member(&shared, "blob")
            .map(JsCast::unchecked_into)
            .ok_or(FileError::TooLarge { size, limit }),
        _ => Err(FileError::Several),
    })
}

/// Throws it away: it was decided on.
pub async fn forget() {
    let _ = release::ask("forget").await;
}
