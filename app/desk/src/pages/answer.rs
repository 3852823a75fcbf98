//! What a page answers: a sheet to read, another page to go to, a file to keep, or what is wrong.

use super::asked::BadField;
use super::shell;
use super::visit::{Clerk, Visit};
use super::{Pages, Place};
use crate::accounts::Right;
use crate::desk::{self, OpenDesk};
use crate::outcome::Advice;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{Html, IntoResponse, Redirect, Response};
use leptos::prelude::AnyView;

/// A page to read.
pub(super) struct Sheet {
    pub(super) title: String,
    pub(super) body: AnyView,
}

/// What a page answers.
pub(super) enum Answer {
    /// A page to read.
    Sheet(Sheet),
    /// Another page; what was asked is done.
    See(String),
    /// A file to keep.
    File {
        /// Its name; letters, digits, dots and hyphens.
        name: String,
        /// Its media type.
        kind: &'static str,
        /// What is in it.
        bytes: Vec<u8>,
    },
}

/// What is wrong.
#[derive(Debug)]
pub(super) enum Trouble {
    /// There is no such page.
    Nowhere,
    /// Not theirs to do.
    NotTheirs(Right),
    /// A form of another session, or none of ours.
    OtherForm,
    /// A field of an address or a form holds something else than what belongs there.
    Field(BadField),
    /// What cannot be undone was not agreed to.
    NotConfirmed,
    /// More than is read at once.
    TooLarge,
    /// A page that broke off.
    Broken,
    /// What a command would say.
    Told {
        /// What is wrong.
        error: String,
        /// What to do.
        hint: String,
    },
}

impl<E: Advice> From<E> for Trouble {
    fn from(error: E) -> Self {
        Self::Told {
            error: error.to_string(),
            hint: error.hint(),
        }
    }
}

impl Trouble {
    const fn status(&self) -> StatusCode {
        match self {
            Self::Nowhere => StatusCode::NOT_FOUND,
            Self::NotTheirs(_) | Self::OtherForm => StatusCode::FORBIDDEN,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::Broken => StatusCode::INTERNAL_SERVER_ERROR,
            Self::Field(_) | Self::NotConfirmed | Self::Told { .. } => {
                StatusCode::UNPROCESSABLE_ENTITY
            }
        }
    }

    /// The page that says so.
    pub(super) fn answer(self, visit: &Visit, clerk: Option<&Clerk>) -> Response {
        let status = self.status();
        (status, Html(shell::trouble(visit, clerk, &self))).into_response()
    }
}

impl Pages {
    /// Opens the ledger away from the other requests and answers with what a page makes of it.
    pub(super) async fn show<F>(self, clerk: Clerk, place: Place, page: F) -> Response
    where
        F: FnOnce(&mut OpenDesk, &Clerk) -> Result<Answer, Trouble> + Send + 'static,
    {
        let visit = clerk.visit.clone();
        let folder = self.0.folder.clone();
        let done = tokio::task::spawn_blocking(move || {
            let mut desk = match desk::open(&folder) {
                Ok(desk) => desk,
                Err(error) => return Trouble::from(error).answer(&clerk.visit, Some(&clerk)),
            };
            shell::owned(|| match page(&mut desk, &clerk) {
                Ok(Answer::Sheet(sheet)) => {
                    Html(shell::framed(&clerk, &desk.desk, place, sheet)).into_response()
                }
                Ok(Answer::See(path)) => Redirect::to(&path).into_response(),
                Ok(Answer::File { name, kind, bytes }) => file(&name, kind, bytes),
                Err(trouble) => trouble.answer(&clerk.visit, Some(&clerk)),
            })
        })
        .await;
        done.unwrap_or_else(|_| Trouble::Broken.answer(&visit, None))
    }
}

fn file(name: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let safe: String = name
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || "-.".contains(*c))
        .collect();
    let disposition = HeaderValue::from_str(&format!("attachment; filename=\"{safe}\""))
        .unwrap_or(HeaderValue::from_static("attachment"));
    (
        [
            (CONTENT_TYPE, HeaderValue::from_static(kind)),
            (CONTENT_DISPOSITION, disposition),
        ],
        bytes,
    )
        .into_response()
}
