//! The style sheet and the small script, named by the program that holds them.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

/// Path of the style sheet.
pub(super) const STYLE: &str = concat!("/style-", env!("COMBGATE_ASSETS"), ".css");
/// Path of the script, which only makes better what works without it.
pub(super) const SCRIPT: &str = concat!("/script-", env!("COMBGATE_ASSETS"), ".js");
/// A name changes with what it names.
const KEEP_FOR_EVER: &str = "private, max-age=31536000, immutable";

pub(super) async fn style() -> Response {
    let kind = "text/css; charset=utf-8";
    kept(kind, include_str!(concat!(env!("OUT_DIR"), "/desk.css")))
}

pub(super) async fn script() -> Response {
    let kind = "text/javascript; charset=utf-8";
    kept(kind, include_str!("../../assets/desk.js"))
}

fn kept(kind: &'static str, text: &'static str) -> Response {
    ([(CONTENT_TYPE, kind), (CACHE_CONTROL, KEEP_FOR_EVER)], text).into_response()
}
