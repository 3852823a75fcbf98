//! What the phone's two clocks say.
//!
//! The wall clock can be set by hand and jumps; the monotonic one cannot be set, but starts anew
//! with every page and stands still on many phones while they sleep. So a wall clock that went
//! *back* against the monotonic one is certain, while one that went *forward* may only mean that
//! the phone slept.

use chrono::{DateTime, FixedOffset, Timelike};

/// Both clocks, read together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Wall clock to the whole second, with the offset from UTC that the phone is set to. In
    /// RFC 3339: `at.to_rfc3339()`.
    pub at: DateTime<FixedOffset>,
    /// Wall clock in milliseconds since 1970-01-01 UTC.
    pub unix_ms: i64,
    /// Milliseconds since this page was opened; never goes back.
    pub monotonic_ms: i64,
}

/// Reads both clocks. `None` if the wall clock shows a time that no calendar has.
pub fn now() -> Option<Reading> {
    let date = js_sys::Date::new_0();
    let unix_ms = whole(date.get_time());
    // The browser counts minutes to UTC, westward positive; RFC 3339 wants eastward positive.
    let east_seconds = i32::try_from(whole(-60.0 * date.get_timezone_offset())).ok()?;
    let offset = FixedOffset::east_opt(east_seconds)?;
    let at = DateTime::from_timestamp_millis(unix_ms)?
        .with_timezone(&offset)
        .with_nanosecond(0)?;
    let performance = super::window().ok()?.performance()?;
    Some(Reading {
        at,
        unix_ms,
        monotonic_ms: whole(performance.now()),
    })
}

/// Waits.
pub async fn pause(milliseconds: u32) {
    if milliseconds == 0 {
        return;
    }
    let wait = js_sys::Promise::new(&mut |resolve, _reject| {
        let milliseconds = i32::try_from(milliseconds).unwrap_or(i32::MAX);
        if let Ok(window) = super::window() {
            let _ = window
                .set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, milliseconds);
        }
    });
    // A promise that only a timer settles is never refused.
    let _ = wasm_bindgen_futures::JsFuture::from(wait).await;
}

/// By how many milliseconds the wall clock moved ahead of the monotonic one between two readings
/// of the same page; negative when it was set back.
pub const fn moved_ms(earlier: Reading, later: Reading) -> i64 {
    (later.unix_ms - earlier.unix_ms) - (later.monotonic_ms - earlier.monotonic_ms)
}

/// Milliseconds as the browser counts them, without their fraction. Times in a browser stay
/// within 8.64e15 (ECMAScript, time values), far below where an `f64` loses whole numbers.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the fraction is meant to go"
)]
pub(super) fn whole(milliseconds: f64) -> i64 {
    milliseconds as i64
}
