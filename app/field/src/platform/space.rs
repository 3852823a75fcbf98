//! How much room there is, and whether the browser promised to keep what is stored.

use super::{member, window};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{StorageEstimate, StorageManager};

/// Where the phone stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Space {
    /// The browser promised not to delete what is stored when room runs short.
    pub persistent: bool,
    /// Bytes in use, where the browser says.
    pub used: Option<u64>,
    /// Bytes that may be used in all, where the browser says.
    pub quota: Option<u64>,
}

/// Asks the browser to keep what is stored, and returns whether it promised.
pub async fn ask_to_persist() -> bool {
    let Some(manager) = manager() else {
        return false;
    };
    match manager.persist() {
        Ok(answer) => JsFuture::from(answer)
            .await
            .is_ok_and(|answer| answer.is_truthy()),
        Err(_) => false,
    }
}

/// Where the phone stands now. What the browser does not tell is left out.
pub async fn report() -> Space {
    let mut space = Space {
        persistent: false,
        used: None,
        quota: None,
    };
    let Some(manager) = manager() else {
        return space;
    };
    if let Ok(answer) = manager.persisted() {
        space.persistent = JsFuture::from(answer)
            .await
            .is_ok_and(|answer| answer.is_truthy());
    }
    if let Ok(answer) = manager.estimate()
        && let Ok(estimate) = JsFuture::from(answer).await
    {
        let estimate: StorageEstimate = estimate.unchecked_into();
        space.used = estimate.get_usage().map(bytes);
        space.quota = estimate.get_quota().map(bytes);
    }
    space
}

/// Missing where the address is not secure.
fn manager() -> Option<StorageManager> {
    member(&window().ok()?.navigator(), "storage").map(JsCast::unchecked_into)
}

/// Bytes as the browser gives them: whole, never negative (Storage Standard, `estimate()`).
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole and positive"
)]
fn bytes(size: f64) -> u64 {
    size as u64
}
