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
use std::path::{Path, PathBuf};
use tower_http::services::ServeDir;

/// The policy as far as scripts. Without 'wasm-unsafe-eval' no WebAssembly starts; nothing comes from
/// anywhere else.
const SCRIPTS: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'";
/// The rest of it. Where the desk is reached stands in a brief that the page takes in later, so what it
/// sends may go anywhere that is protected, and to this machine.
const EVERYTHING_ELSE: &str = "; \
    style-src 'self'; img-src 'self' data: blob:; connect-src 'self' https: http://127.0.0.1:*; worker-src 'self'; \
    manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// A file whose name changes with its content.
const KEEP_FOR_EVER: &str = "public, max-age=31536000, immutable";
/// A file whose name stays: kept, but asked for again each time.
const ASK_EACH_TIME: &str = "no-cache";
/// Fewest hexadecimal digits that make the end of a name a hash.
const HASH_DIGITS_AT_LEAST: usize = 8;

/// Before the name of a script that stands in the page, which is its hash (CSP 3, hash-source).
const HASH: &str = "'sha256-";
/// SHA-256 in base64.
const HASH_LETTERS: usize = 44;

/// The page's files with their headers.
pub fn page(folder: &Path) -> Router {
    let index = folder.join("index.html");
    Router::new()
        .fallback_service(ServeDir::new(folder).precompressed_br())
        .layer(from_fn(move |request, next| {
            with_headers(index.clone(), request, next)
        }))
}

/// The policy for a page. The one script that stands in it is let in by the hash that its own policy
/// names: a page that is built anew brings its own.
fn content_policy(shell: &str) -> HeaderValue {
    let own = script_hash(shell).map_or_else(String::new, |hash| format!(" {HASH}{hash}'"));
    HeaderValue::try_from(format!("{SCRIPTS}{own}{EVERYTHING_ELSE}"))
        .unwrap_or(HeaderValue::from_static("default-src 'none'"))
}

fn script_hash(shell: &str) -> Option<&str> {
    let (_, after) = shell.split_once(HASH)?;
    let (hash, _) = after.split_once('\'')?;
    let is_base64 = |byte: u8| byte.is_ascii_alphanumeric() || b"+/=".contains(&byte);
    (hash.len() == HASH_LETTERS && hash.bytes().all(is_base64)).then_some(hash)
}

async fn with_headers(index: PathBuf, request: Request, next: Next) -> Response {
    let named_by_content = is_named_by_content(request.uri().path());
    // Looked at each time: a page may be built anew while it is served, and phones keep the policy that
    // it came with.
    let shell = if named_by_content {
        String::new()
    } else {
        tokio::fs::read_to_string(index).await.unwrap_or_default()
    };
    let policy = content_policy(&shell);
    let mut response = next.run(request).await;
    let keeping = if named_by_content && response.status().is_success() {
        KEEP_FOR_EVER
    } else {
        ASK_EACH_TIME
    };
    let headers = response.headers_mut();
    headers.insert(CONTENT_SECURITY_POLICY, policy);
    for (name, value) in [
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
    use tower::ServiceExt;

    /// As a hash looks; of nothing in particular.
    const SOME: &str = "qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng=";

    fn shell(hash: &str) -> String {
        format!("<meta content=\"script-src 'self' 'sha256-{hash}';\">")
    }

    #[test]
    fn only_a_hash_is_taken_from_the_page() {
        let policy = |hash: &str| content_policy(&shell(hash)).to_str().unwrap().to_owned();
        let own = policy(SOME);
        assert!(own.contains(&format!(
            "'wasm-unsafe-eval' 'sha256-{SOME}'; style-src 'self';"
        )));
        let none = content_policy("").to_str().unwrap().to_owned();
        assert!(none.contains("'wasm-unsafe-eval'; style-src 'self';"));
        for other in [
            "",
            "short=",
            "' 'unsafe-inline' 'sha256-aaaaaaaaaaaaaaaaa",
            "qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tn; ",
            &format!("{SOME}{SOME}"),
        ] {
            assert_eq!(policy(other), none, "{other}");
        }
    }

    #[tokio::test]
    async fn a_page_built_anew_brings_its_policy_while_it_is_served() {
        let folder = tempfile::tempdir().unwrap();
        let pages = page(folder.path());
        for hash in [SOME.to_owned(), SOME.to_ascii_lowercase()] {
            std::fs::write(folder.path().join("index.html"), shell(&hash)).unwrap();
            let asked = Request::get("/").body(axum::body::Body::empty()).unwrap();
            let answer = pages.clone().oneshot(asked).await.unwrap();
            let policy = answer.headers()[CONTENT_SECURITY_POLICY].to_str().unwrap();
            assert!(policy.contains(&format!("'sha256-{hash}'")), "{policy}");
        }
    }

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
