//! `combgate serve`: the phone's page over HTTP, with the headers it needs to be safe and to work
//! with no network.
//!
//! Only files of one folder are served and nothing is taken in. The page asks for a secure
//! context: browsers grant it to the loopback address, and to any other only over HTTPS.

use crate::cli;
use crate::outcome::{Advice, Failure, Outcome};
use axum::Router;
use axum::extract::Request;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::{Next, from_fn};
use axum::response::Response;
use std::io::Write;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use tower_http::services::ServeDir;

/// Without 'wasm-unsafe-eval' no WebAssembly starts; nothing comes from anywhere else.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
    style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; \
    manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
/// A file whose name changes with its content.
const KEEP_FOR_EVER: &str = "public, max-age=31536000, immutable";
/// A file whose name stays: kept, but asked for again each time.
const ASK_EACH_TIME: &str = "no-cache";
/// Fewest hexadecimal digits that make the end of a name a hash.
const HASH_DIGITS_AT_LEAST: usize = 8;

/// A page that cannot be served.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// No page there.
    #[error("there is no page in {0}: index.html is missing")]
    NoPage(PathBuf),
    /// The address is taken or not this machine's.
    #[error("cannot listen on {address}: {error}")]
    Listen {
        /// Which address.
        address: SocketAddr,
        /// Why.
        error: std::io::Error,
    },
    /// The operating system stopped it.
    #[error("serving stopped: {0}")]
    Stopped(#[from] std::io::Error),
}

impl Advice for ServeError {
    fn hint(&self) -> String {
        match self {
            Self::NoPage(_) => "build the page with `make run`, or name the folder that holds its \
                                index.html with --page"
                .to_owned(),
            Self::Listen { .. } => {
                "end the program that uses this address, or choose another such as \
                 --listen 127.0.0.1:8701"
                    .to_owned()
            }
            Self::Stopped(_) => "start it again".to_owned(),
        }
    }
}

/// Serves until the program is told to end.
pub fn run(asked: &cli::Serve) -> Result<Outcome, Failure> {
    if !asked.page.join("index.html").is_file() {
        return Err(ServeError::NoPage(asked.page.clone()).into());
    }
    tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(ServeError::from)?
        .block_on(listen(&asked.page, asked.listen))?;
    Ok(Outcome::done(String::new()))
}

async fn listen(folder: &Path, address: SocketAddr) -> Result<(), ServeError> {
    let listener = tokio::net::TcpListener::bind(address)
        .await
        .map_err(|error| ServeError::Listen { address, error })?;
    let address = listener.local_addr()?;
    let end = told_to_end()?;
    let mut out = std::io::stdout();
    writeln!(out, "{}", announcement(folder, address))?;
    out.flush()?;
    axum::serve(listener, page(folder))
        .with_graceful_shutdown(end)
        .await?;
    Ok(())
}

fn announcement(folder: &Path, address: SocketAddr) -> String {
    let reach = if address.ip().is_loopback() {
        "Only this machine reaches it."
    } else {
        "The whole network reaches it. Phones keep the page only when it comes over HTTPS: put a \
         proxy with a certificate in front."
    };
    format!(
        "Serving {} at http://{address}/\n{reach} End it with Ctrl-C.",
        folder.display()
    )
}

/// Watches for the end from the moment it is called, not from the moment it is awaited.
fn told_to_end() -> std::io::Result<impl Future<Output = ()>> {
    #[cfg(unix)]
    let mut terminated = {
        use tokio::signal::unix::{SignalKind, signal};
        signal(SignalKind::terminate())?
    };
    let interrupted = tokio::signal::ctrl_c();
    Ok(async move {
        #[cfg(unix)]
        tokio::select! {
            _ = interrupted => {}
            _ = terminated.recv() => {}
        }
        #[cfg(not(unix))]
        // Without a handler there is nothing to wait for but the end of the process.
        let _ = interrupted.await;
    })
}

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

    #[test]
    fn it_says_who_reaches_it() {
        let said = |address: &str| announcement(Path::new("page"), address.parse().unwrap());
        assert!(said("127.0.0.1:8700").contains("Only this machine"));
        assert!(said("[::1]:8700").contains("Only this machine"));
        assert!(said("0.0.0.0:8700").contains("HTTPS"));
    }
}
