//! The phone's page, with the headers it needs to be safe and to work with no network.
//!
//! Only files of one folder are served and nothing is taken in. The page asks for a secure
//! context: browsers grant it to the loopback address, and to any other only over HTTPS.

use axum::Router;
use axum::extract::Request;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::{Next, from_fn};
use axum::response::Response;
use std::path::Path;
use tower_http::services::ServeDir;

/// Without 'wasm-unsafe-eval' no WebAssembly starts; nothing comes from anywhere else. Where the desk
/// is reached stands in a brief that the page takes in later, so what it sends may go anywhere that is
/// protected, and to this machine.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
    style-src 'self'; img-src 'self' data: blob:; connect-src 'self' https: http://127.0.0.1:*; worker-src 'self'; \
    manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// A file whose name changes with its content.
const KEEP_FOR_EVER: &str = "public, max-age=31536000, immutable";
/// A file whose name stays: kept, but asked for again each time.
const ASK_EACH_TIME: &str = "no-cache";
/// Fewest hexadecimal digits that make the end of a name a hash.
const HASH_DIGITS_AT_LEAST: usize = 8;

/// The page's files with their headers.
pub fn page(folder: &Path) -> Router {
    Router::new()
        .fallback_service(ServeDir::new(folder).precompressed_br())
        .layer(from_fn(with_headers))
}

async fn with_headers(request: Request, next: Next) -> Response {
    let named_by_content = is_named_by_content(request.uri().path());
    let mut response = next.run(request).await;
    let keeping = if named_by_content && response.status().is_success() {
        KEEP_FOR_EVER
    } else {
        ASK_EACH_TIME
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (CACHE_CONTROL, keeping),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Whether the file's name ends in a hash of its content: `program-630554a6a270a60b.wasm`.
fn is_named_by_content(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or_default();
    let stem = name.split('.').next().unwrap_or_default();
    stem.rsplit_once('-').is_some_and(|(_, hash)| {
        hash.len() >= HASH_DIGITS_AT_LEAST && hash.bytes().all(|byte| byte.is_ascii_hexdigit())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_that_end_in_a_hash_are_kept_for_ever() {
        assert!(is_named_by_content("/program-630554a6a270a60b.wasm"));
        assert!(is_named_by_content("/assets/style-a89ce731d29eb2a0.css"));
        for path in [
            "/",
            "/index.html",
            "/service-worker.js",
            "/icons/icon-180.png",
            "/start.js",
            "/-deadbee.js",
        ] {
            assert!(!is_named_by_content(path), "{path}");
        }
    }
}
