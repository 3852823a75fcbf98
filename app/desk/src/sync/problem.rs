//! What is answered when a handset's wish is not done: a problem document (RFC 9457) that says
//! what to do, and the desk's time.

use crate::desk;
use crate::import::ImportError;
use crate::outcome::Advice;
use crate::store::StoreError;
use axum::http::header::{ALLOW, CACHE_CONTROL, CONTENT_TYPE, RETRY_AFTER, WWW_AUTHENTICATE};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use combgate_core::record::{ProblemKind, ProblemV1, RequestError};

/// Every kind, in the order in which the page of problems tells them.
pub(super) const KINDS: [ProblemKind; 13] = [
    ProblemKind::NotSigned,
    ProblemKind::BadSignature,
    ProblemKind::ClockApart,
    ProblemKind::NotEnrolled,
    ProblemKind::Revoked,
    ProblemKind::OtherAddress,
    ProblemKind::BundleRefused,
    ProblemKind::TooLarge,
    ProblemKind::TooMany,
    ProblemKind::TooSlow,
    ProblemKind::NothingThere,
    ProblemKind::OtherMethod,
    ProblemKind::DeskTrouble,
];

/// Status and title of a kind.
pub(super) const fn told(kind: ProblemKind) -> (StatusCode, &'static str) {
    match kind {
        ProblemKind::NotSigned => (
            StatusCode::UNAUTHORIZED,
            "The request is not signed as it must be",
        ),
        ProblemKind::BadSignature => (
            StatusCode::UNAUTHORIZED,
            "The signature does not fit the request",
        ),
        ProblemKind::ClockApart => (
            StatusCode::UNAUTHORIZED,
            "The handset's clock and the desk's are too far apart",
        ),
        ProblemKind::NotEnrolled => (StatusCode::FORBIDDEN, "The desk does not know this handset"),
        ProblemKind::Revoked => (StatusCode::FORBIDDEN, "The handset is out of use"),
        ProblemKind::OtherAddress => (
            StatusCode::MISDIRECTED_REQUEST,
            "The request is for another address",
        ),
        ProblemKind::BundleRefused => (
            StatusCode::UNPROCESSABLE_ENTITY,
            "The bundle cannot be used",
        ),
        ProblemKind::TooLarge => (StatusCode::PAYLOAD_TOO_LARGE, "The bundle is too large"),
        ProblemKind::TooMany => (StatusCode::TOO_MANY_REQUESTS, "Too many requests"),
        ProblemKind::TooSlow => (StatusCode::REQUEST_TIMEOUT, "It took too long"),
        ProblemKind::NothingThere => (StatusCode::NOT_FOUND, "There is no such document"),
        ProblemKind::OtherMethod => (StatusCode::METHOD_NOT_ALLOWED, "Another method is needed"),
        ProblemKind::DeskTrouble | ProblemKind::Other => {
            (StatusCode::SERVICE_UNAVAILABLE, "The desk cannot do it now")
        }
    }
}

/// A wish that is not done.
#[derive(Debug)]
pub(super) struct Problem {
    kind: ProblemKind,
    detail: String,
    hint: String,
    retry_after_seconds: Option<u64>,
    allow: Option<&'static str>,
}

impl Problem {
    pub(super) fn new(
        kind: ProblemKind,
        detail: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            kind,
            detail: detail.into(),
            hint: hint.into(),
            retry_after_seconds: None,
            allow: None,
        }
    }

    pub(super) fn too_many(seconds: u64) -> Self {
        let mut problem = Self::new(
            ProblemKind::TooMany,
            "more was asked than this desk answers at a time",
            format!("come back in {seconds} seconds; nothing is lost"),
        );
        problem.retry_after_seconds = Some(seconds);
        problem
    }

    pub(super) fn too_slow() -> Self {
        Self::new(
            ProblemKind::TooSlow,
            "the bundle did not come in time; nothing of it was booked",
            "send it again where the network is better, or hand it over as a file",
        )
    }

    pub(super) fn too_large(limit: usize) -> Self {
        Self::new(
            ProblemKind::TooLarge,
            format!("the content is larger than {limit} bytes; nothing of it was booked"),
            "send it in several bundles",
        )
    }

    pub(super) fn nothing_there() -> Self {
        Self::new(
            ProblemKind::NothingThere,
            "there is nothing at this path",
            "see /openapi.json for what is there",
        )
    }

    pub(super) fn no_brief() -> Self {
        Self::new(
            ProblemKind::NothingThere,
            "the desk has made no brief for this handset yet",
            "ask the desk for a brief",
        )
    }

    pub(super) fn other_method(allow: &'static str) -> Self {
        let mut problem = Self::new(
            ProblemKind::OtherMethod,
            format!("only {allow} is answered here"),
            "see /openapi.json for what is there",
        );
        problem.allow = Some(allow);
        problem
    }

    pub(super) fn other_address(expected: &str) -> Self {
        Self::new(
            ProblemKind::OtherAddress,
            format!("this desk is reached at {expected} alone"),
            "take in a new brief; a proxy in front of the desk must pass the Host field on",
        )
    }

    pub(super) fn broken() -> Self {
        Self::new(
            ProblemKind::DeskTrouble,
            "the work broke off; nothing was half done",
            "send it again later, or hand the bundle over as a file",
        )
    }

    /// What the clerk's ledger says is the clerk's to mend; a handset comes again.
    pub(super) fn of_desk(error: &impl Advice) -> Self {
        Self::new(
            ProblemKind::DeskTrouble,
            error.to_string(),
            "send it again later; the clerk sees the same at the desk",
        )
    }

    pub(super) fn of_import(error: &ImportError) -> Self {
        match error {
            ImportError::Store(error) => Self::of_store(error),
            ImportError::Key(error) => Self::of_desk(error),
            refused => Self::new(
                ProblemKind::BundleRefused,
                refused.to_string(),
                "nothing of it was booked: hand the bundle over as a file and talk to the desk",
            ),
        }
    }

    pub(super) fn of_store(error: &StoreError) -> Self {
        let mut problem = Self::of_desk(error);
        if matches!(error, StoreError::Busy) {
            problem.retry_after_seconds = Some(30);
        }
        problem
    }
}

impl From<RequestError> for Problem {
    fn from(error: RequestError) -> Self {
        let (kind, hint) = match error {
            RequestError::BadAuthority
            | RequestError::BadPath
            | RequestError::Malformed { .. }
            | RequestError::OtherCoverage { .. } => (
                ProblemKind::NotSigned,
                "only the officer's page sends to this address, signed as RFC 9421 says: \
                 see /openapi.json",
            ),
            RequestError::DigestDiffers
            | RequestError::OtherKey { .. }
            | RequestError::BadSignature => (
                ProblemKind::BadSignature,
                "send it again; if it is refused again, hand the bundle over as a file",
            ),
            RequestError::ClockApart { .. } => (
                ProblemKind::ClockApart,
                "sign again with the desk's time, which stands in `now`",
            ),
        };
        Self::new(kind, error.to_string(), hint)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let (status, title) = told(self.kind);
        let document = ProblemV1 {
            kind: self.kind,
            title: title.to_owned(),
            status: status.as_u16(),
            detail: self.detail,
            hint: self.hint,
            now: desk::now(),
        };
        // A document of texts and one time always becomes JSON; without it the status still tells.
        let text = serde_json::to_string(&document).unwrap_or_default();
        let mut response = (status, text).into_response();
        let headers = response.headers_mut();
        headers.insert(
            CONTENT_TYPE,
            HeaderValue::from_static(ProblemV1::MEDIA_TYPE),
        );
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
        if status == StatusCode::UNAUTHORIZED {
            // RFC 9110, 15.5.2 wants the first, RFC 9421, 5.1 has the second.
            headers.insert(WWW_AUTHENTICATE, HeaderValue::from_static("Signature"));
            headers.insert(
                HeaderName::from_static("accept-signature"),
                HeaderValue::from_static(
                    r#"handset=("@method" "@authority" "@path");created;keyid;alg="ecdsa-p256-sha256""#,
                ),
            );
        }
        if let Some(seconds) = self.retry_after_seconds {
            headers.insert(RETRY_AFTER, HeaderValue::from(seconds));
        }
        if let Some(allow) = self.allow {
            headers.insert(ALLOW, HeaderValue::from_static(allow));
        }
        response
    }
}
