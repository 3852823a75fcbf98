//! The listener for handsets: takes their bundles, gives them their brief and acknowledgement.
//!
//! It has an address of its own and knows no accounts, cookies or pages: the only credential is an
//! enrolled handset's signature over the request (RFC 9421, `core::record::Request`). What it does
//! is what the commands do: a bundle goes through the same import, in one transaction, and the same
//! bundle again changes nothing.

mod answer;
mod limits;
mod problem;
mod sender;
mod server;

pub use limits::{Limits, Pace};
pub use server::{Certificate, CertificateError, serve};

use crate::desk::{self, OpenDesk};
use crate::store::Handset;
use axum::Router;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_TYPE, ETAG, HeaderName, IF_NONE_MATCH, RETRY_AFTER,
    X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderValue, Method};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, put};
use combgate_core::record::{ACKNOWLEDGEMENT_PATH, BRIEF_PATH, BUNDLES_PATH};
use limits::Paces;
use problem::Problem;
use sender::Head;
use std::fmt::Write;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{Mutex, Semaphore};
use tower_http::cors::{Any, CorsLayer};

/// What the listener says of itself.
pub const OPENAPI: &str = include_str!("openapi.json");
const OPENAPI_PATH: &str = "/openapi.json";
const PROBLEMS_PATH: &str = "/v1/problems";
/// How long a browser may remember that the page may send here.
const REMEMBERED: Duration = Duration::from_hours(2);
/// Seconds after which somebody who is turned away may come again.
const COME_AGAIN_SECONDS: u64 = 30;

/// The desk that handsets send to.
#[derive(Debug, Clone)]
pub struct Listener(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    folder: PathBuf,
    limits: Limits,
    paces: Paces,
    at_once: Semaphore,
    writing: Arc<Mutex<()>>,
}

impl Listener {
    /// The desk of a folder.
    pub fn new(folder: PathBuf, limits: Limits) -> Self {
        Self(Arc::new(Shared {
            folder,
            paces: Paces::new(&limits),
            at_once: Semaphore::new(limits.at_once),
            writing: Arc::default(),
            limits,
        }))
    }

    /// Looks who sends and, if they may, does what they ask, away from the other requests.
    async fn asked_by<T: Send + 'static>(
        &self,
        head: Head,
        work: impl FnOnce(&OpenDesk, &Handset) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let listener = self.clone();
        let done = tokio::task::spawn_blocking(move || {
            let desk = desk::open(&listener.0.folder).map_err(|error| Problem::of_desk(&error))?;
            let handset = head.sender(&desk)?;
            if !listener.0.paces.may_ask(handset.key.id()) {
                return Err(Problem::too_many(COME_AGAIN_SECONDS));
            }
            work(&desk, &handset)
        });
        done.await.map_err(|_| Problem::broken())?
    }
}

/// Everything that is answered.
pub fn router(listener: Listener) -> Router {
    Router::new()
        .route(
            BRIEF_PATH,
            get(answer::brief).head(only_get).fallback(only_get),
        )
        .route(
            ACKNOWLEDGEMENT_PATH,
            get(answer::acknowledge).head(only_get).fallback(only_get),
        )
        .route(
            &[BUNDLES_PATH, "/{digest}"].concat(),
            put(answer::take).fallback(only_put),
        )
        .route(OPENAPI_PATH, get(openapi).fallback(only_get))
        .route(PROBLEMS_PATH, get(problems).fallback(only_get))
        .fallback(async || Problem::nothing_there())
        .layer(from_fn_with_state(listener.clone(), admit))
        .layer(cors())
        .with_state(listener)
}

/// Turns away who asks too often, and more at once than there is room for.
async fn admit(State(listener): State<Listener>, request: Request, next: Next) -> Response {
    let from = request.extensions().get::<ConnectInfo<SocketAddr>>();
    let may_come = from.is_none_or(|ConnectInfo(from)| listener.0.paces.may_come(from.ip()));
    let room = listener.0.at_once.try_acquire();
    let mut response = match room {
        Ok(_room) if may_come => next.run(request).await,
        _ => Problem::too_many(COME_AGAIN_SECONDS).into_response(),
    };
    response
        .headers_mut()
        .insert(X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    response
}

/// The page comes from another address than the desk's, and whoever serves it: what counts is the
/// signature, which no other page can make. There are no cookies to guard.
fn cors() -> CorsLayer {
    CorsLayer::new()
        .allow_origin(Any)
        .allow_methods([Method::GET, Method::PUT])
        .allow_headers([
            CONTENT_TYPE,
            IF_NONE_MATCH,
            HeaderName::from_static("content-digest"),
            HeaderName::from_static("signature-input"),
            HeaderName::from_static("signature"),
        ])
        .expose_headers([ETAG, RETRY_AFTER])
        .allow_private_network(true)
        .max_age(REMEMBERED)
}

async fn only_get() -> Problem {
    Problem::other_method("GET")
}

async fn only_put() -> Problem {
    Problem::other_method("PUT")
}

async fn openapi() -> Response {
    let headers = [
        (CONTENT_TYPE, "application/json"),
        (CACHE_CONTROL, "no-cache"),
    ];
    (headers, OPENAPI).into_response()
}

/// What the names of problems mean, for whoever follows one (RFC 9457, 3.1.1).
async fn problems() -> Response {
    let mut text = String::new();
    for kind in problem::KINDS {
        let (status, title) = problem::told(kind);
        // A kind is written as its name, which is a JSON text.
        let name = serde_json::to_string(&kind).unwrap_or_default();
        let name = name.trim_matches('"');
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{name}\n    {}: {title}.", status.as_u16());
    }
    let headers = [
        (CONTENT_TYPE, "text/plain; charset=utf-8"),
        (CACHE_CONTROL, "no-cache"),
    ];
    (headers, text).into_response()
}
