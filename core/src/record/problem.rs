//! What the desk answers when it does not do what a handset asked: a problem document (RFC 9457).

use super::json::{DocumentError, from_open_text};
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// Most bytes of a problem document.
const PROBLEM_BYTES_AT_MOST: usize = 16 * 1024;

/// What went wrong, as a program tells it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ProblemKind {
    /// The request is not signed, or not in the form it must have.
    #[serde(rename = "/v1/problems#not-signed")]
    NotSigned,
    /// The signature does not fit the request, or the content its digest.
    #[serde(rename = "/v1/problems#bad-signature")]
    BadSignature,
    /// The handset's clock and the desk's are too far apart: sign again with the time in `now`.
    #[serde(rename = "/v1/problems#clock-apart")]
    ClockApart,
    /// The desk does not know the key.
    #[serde(rename = "/v1/problems#not-enrolled")]
    NotEnrolled,
    /// The handset was taken off the list.
    #[serde(rename = "/v1/problems#revoked")]
    Revoked,
    /// It is for another address than this desk's: take in a new brief.
    #[serde(rename = "/v1/problems#other-address")]
    OtherAddress,
    /// The bundle cannot be used; nothing of it was booked.
    #[serde(rename = "/v1/problems#bundle-refused")]
    BundleRefused,
    /// Too large.
    #[serde(rename = "/v1/problems#too-large")]
    TooLarge,
    /// Too many requests: come back after the time in `Retry-After`.
    #[serde(rename = "/v1/problems#too-many")]
    TooMany,
    /// It took too long.
    #[serde(rename = "/v1/problems#too-slow")]
    TooSlow,
    /// There is no such document yet.
    #[serde(rename = "/v1/problems#nothing-there")]
    NothingThere,
    /// Another method is needed.
    #[serde(rename = "/v1/problems#other-method")]
    OtherMethod,
    /// The desk cannot do it now.
    #[serde(rename = "/v1/problems#desk-trouble")]
    DeskTrouble,
    /// A kind that this program does not know.
    #[serde(other, rename = "about:blank")]
    Other,
}

/// A problem document. What it holds more is left out (RFC 9457, 3.2).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProblemV1 {
    /// Which kind.
    #[serde(rename = "type")]
    pub kind: ProblemKind,
    /// The kind in words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What went wrong this time.
    pub detail: String,
    /// What to do.
    pub hint: String,
    /// The desk's time.
    #[serde(with = "super::time::instant")]
    pub now: DateTime<FixedOffset>,
}

impl ProblemV1 {
    /// The media type.
    pub const MEDIA_TYPE: &'static str = "application/problem+json";

    /// Reads one.
    pub fn read(text: &str) -> Result<Self, DocumentError> {
        from_open_text("answer of the desk", text, PROBLEM_BYTES_AT_MOST)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_more_or_new_is_read_all_the_same() {
        let text = r#"{"type":"/v1/problems#clock-apart","title":"t","status":401,"detail":"d","hint":"h",
            "now":"2026-10-09T18:10:00+03:00","more":[1]}"#;
        let problem = ProblemV1::read(text).unwrap();
        assert_eq!(problem.kind, ProblemKind::ClockApart);
        assert_eq!(problem.now.timestamp(), 1_791_558_600);
        let text = text.replace("clock-apart", "of-tomorrow");
        assert_eq!(ProblemV1::read(&text).unwrap().kind, ProblemKind::Other);
        assert!(ProblemV1::read(&text.replace("401", "4010000")).is_err());
        assert!(ProblemV1::read(&format!("{{{}", " ".repeat(PROBLEM_BYTES_AT_MOST))).is_err());
    }
}
