//! What every request must be, and what every answer says: this machine's own name, its own
//! forms, and nothing from anywhere else.
//!
//! A page of another program on this machine is of the same site to a browser, whatever its port,
//! so cookies alone do not keep its forms out: the origin must be this one.

use super::Pages;
use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, ORIGIN, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Nothing from elsewhere, nothing inline; forms go to this desk alone.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; connect-src 'self'; style-src 'self'; \
    img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Turns away what comes from elsewhere.
pub(super) async fn guard(State(pages): State<Pages>, request: Request, next: Next) -> Response {
    let mut response = if is_from_here(&pages, request.method(), request.headers()) {
        next.run(request).await
    } else {
        // In plain words and no language: whoever sees it is no clerk of this desk.
        (
            StatusCode::FORBIDDEN,
            "Refused: this did not come from a page of this desk. Open the desk by the address \
             that it printed when it was started.\n",
        )
            .into_response()
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        // Not `no-referrer`: browsers would then send forms with the origin `null`.
        (REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Pages tell of members and money: nothing stays in a shared browser's cache.
    headers
        .entry(CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}

fn is_from_here(pages: &Pages, method: &Method, headers: &HeaderMap) -> bool {
    let text = |name: HeaderName| {
        let mut all = headers.get_all(name).iter();
        match (all.next(), all.next()) {
            (Some(only), None) => only.to_str().ok(),
            _ => None,
        }
    };
    let Some(host) = text(HOST).filter(|host| pages.0.hosts.iter().any(|own| own == host)) else {
        return false;
    };
    if matches!(*method, Method::GET | Method::HEAD) {
        return true;
    }
    let site = headers.get("sec-fetch-site");
    text(ORIGIN) == Some(&format!("http://{host}")) && site.is_none_or(|site| site == "same-origin")
}
