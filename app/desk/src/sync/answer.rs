//! What is answered: the brief, the acknowledgement, and the same again for a bundle that came.

use super::problem::Problem;
use super::sender::{Head, Wish};
use super::{Listener, Shared};
use crate::desk::{self, OpenDesk};
use crate::import::{acknowledgement, import_sent};
use crate::keys::DeskCheck;
use crate::store::{Handset, Journals, Office};
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_LENGTH, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::request::Parts;
use axum::http::{HeaderValue, Request, StatusCode};
use axum::response::{IntoResponse, Response};
use combgate_core::record::{ACKNOWLEDGEMENT_PATH, BRIEF_PATH, Digest, RequestError};
use futures::StreamExt;
use std::sync::Arc;
use tokio::time::timeout;

/// The media type of a compact JWS (RFC 7515, 9.2.1).
const JOSE: &str = "application/jose";

/// The newest brief for the handset; nothing where it has that one.
pub(super) async fn brief(
    State(listener): State<Listener>,
    parts: Parts,
) -> Result<Response, Problem> {
    let known = parts.headers.get(IF_NONE_MATCH).cloned();
    let head = Head::of(&parts, Wish::Get(BRIEF_PATH));
    let newest = listener
        .asked_by(head, |desk, handset| {
            let newest = desk.store.newest_brief(&handset.code);
            newest.map_err(|error| Problem::of_store(&error))
        })
        .await?;
    let newest = newest.ok_or_else(Problem::no_brief)?;
    // The digits of a number and two quotation marks are a header's text.
    let tag =
        HeaderValue::from_str(&format!("\"{}\"", newest.serial)).map_err(|_| Problem::broken())?;
    let mut response = if known.as_ref() == Some(&tag) {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        jose(newest.compact)
    };
    response.headers_mut().insert(ETAG, tag);
    Ok(response)
}

/// What of the handset is booked, and what its officer is asked.
pub(super) async fn acknowledge(
    State(listener): State<Listener>,
    parts: Parts,
) -> Result<Response, Problem> {
    let head = Head::of(&parts, Wish::Get(ACKNOWLEDGEMENT_PATH));
    listener.asked_by(head, acknowledged).await.map(jose)
}

/// Takes a bundle in, as `combgate import` does, and answers with the acknowledgement.
pub(super) async fn take(
    State(listener): State<Listener>,
    Path(digest): Path<String>,
    request: Request<Body>,
) -> Result<Response, Problem> {
    let digest = Digest::try_from(digest).map_err(|_| Problem::nothing_there())?;
    let (parts, body) = request.into_parts();
    // Who sends is known before any of the content is read.
    let head = Head::of(&parts, Wish::Bundle(digest));
    let sender = listener
        .asked_by(head, |_, handset| Ok(handset.clone()))
        .await?;
    let limit = listener.0.limits.bytes;
    let announced = parts.headers.get(CONTENT_LENGTH);
    let announced = announced.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if announced.is_some_and(|length| length > limit) {
        return Err(Problem::too_large(limit));
    }
    let bytes = content(&listener.0, body).await?;
    if Digest::of(&bytes) != digest {
        return Err(RequestError::DigestDiffers.into());
    }
    let folder = listener.0.folder.clone();
    // One at a time: imports that come together wait here and not for the ledger's lock.
    let turn = Arc::clone(&listener.0.writing).lock_owned().await;
    let taken = tokio::task::spawn_blocking(move || {
        let _turn = turn;
        let mut desk = desk::open(&folder).map_err(|error| Problem::of_desk(&error))?;
        import_sent(&mut desk.store, &DeskCheck, &sender, bytes, desk::now())
            .map_err(|error| Problem::of_import(&error))?;
        acknowledged(&desk, &sender)
    });
    taken.await.map_err(|_| Problem::broken())?.map(jose)
}

/// As it stands now, which another import may have moved on.
fn acknowledged(desk: &OpenDesk, handset: &Handset) -> Result<String, Problem> {
    let newest = desk.store.handset(&handset.code);
    let newest = newest.map_err(|error| Problem::of_store(&error))?;
    let handset = newest.as_ref().unwrap_or(handset);
    acknowledgement(&desk.store, &desk.key, handset, desk::now())
        .map_err(|error| Problem::of_desk(&error))
}

async fn content(state: &Shared, body: Body) -> Result<Vec<u8>, Problem> {
    let limits = &state.limits;
    let whole = async {
        let mut bytes = Vec::new();
        let mut parts = body.into_data_stream();
        loop {
            let next = timeout(limits.part, parts.next());
            match next.await.map_err(|_| Problem::too_slow())? {
                None => return Ok(bytes),
                // Nobody is left to read what is answered.
                Some(Err(_)) => return Err(Problem::too_slow()),
                Some(Ok(part)) if part.len() > limits.bytes - bytes.len() => {
                    return Err(Problem::too_large(limits.bytes));
                }
                Some(Ok(part)) => bytes.extend_from_slice(&part),
            }
        }
    };
    timeout(limits.content, whole)
        .await
        .map_err(|_| Problem::too_slow())?
}

fn jose(compact: String) -> Response {
    let headers = [(CONTENT_TYPE, JOSE), (CACHE_CONTROL, "no-store")];
    (headers, compact).into_response()
}
