//! What a form holds: read within a limit, and only when this session made the form.

use super::Pages;
use super::answer::Trouble;
use super::visit::{Clerk, Visit, brought};
use crate::import::BYTES_AT_MOST;
use axum::extract::{Form, FromRequest, FromRequestParts, Multipart, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use combgate_core::record::Digest;

/// Name of the field that binds a form to its session.
pub(super) const TOKEN: &str = "token";
/// Longest file name that is shown.
const NAME_CHARACTERS_AT_MOST: usize = 120;

/// Fields of a form, by name.
#[derive(Debug)]
pub(super) struct Fields(Vec<(String, String)>);

impl Fields {
    /// What was filled in; empty when nothing was.
    pub(super) fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(field, _)| field == name);
        found.map_or("", |(_, value)| value.trim())
    }

    /// All that was ticked under one name.
    pub(super) fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        let ticked = self.0.iter().filter(move |(field, _)| field == name);
        ticked.map(|(_, value)| value.trim())
    }

    /// What was filled in, exactly; empty when nothing was.
    pub(super) fn exact(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(field, _)| field == name);
        found.map_or("", |(_, value)| value)
    }

    /// What was filled in, if anything was.
    pub(super) fn given(&self, name: &str) -> Option<&str> {
        Some(self.get(name)).filter(|value| !value.is_empty())
    }
}

/// A form without a session, such as signing in.
pub(super) struct Open {
    pub(super) visit: Visit,
    /// The identity that the browser came with, whoever gave it one.
    pub(super) brought: Option<Digest>,
    pub(super) fields: Fields,
}

/// A form of the session that sends it.
pub(super) struct Filled {
    pub(super) clerk: Clerk,
    pub(super) fields: Fields,
}

/// A form with files, of the session that sends it.
pub(super) struct WithFiles {
    pub(super) clerk: Clerk,
    pub(super) fields: Fields,
    pub(super) files: Vec<Uploaded>,
}

/// A file as it came.
#[derive(Debug)]
pub(super) struct Uploaded {
    /// What the browser calls it: shown, never used to find anything.
    pub(super) name: String,
    pub(super) bytes: Vec<u8>,
    /// Longer than any file of this desk; `bytes` is then empty.
    pub(super) too_large: bool,
}

impl FromRequest<Pages> for Open {
    type Rejection = Response;

    async fn from_request(request: Request, pages: &Pages) -> Result<Self, Response> {
        let (mut parts, body) = request.into_parts();
        let Ok(visit) = Visit::from_request_parts(&mut parts, pages).await;
        let brought = brought(&parts, pages);
        match Form::from_request(Request::from_parts(parts, body), pages).await {
            Ok(Form(fields)) => Ok(Self {
                visit,
                brought,
                fields: Fields(fields),
            }),
            Err(refused) => Err(why(&refused.into_response()).answer(&visit, None)),
        }
    }
}

impl FromRequest<Pages> for Filled {
    type Rejection = Response;

    async fn from_request(request: Request, pages: &Pages) -> Result<Self, Response> {
        let (mut parts, body) = request.into_parts();
        let clerk =
            <Clerk as FromRequestParts<Pages>>::from_request_parts(&mut parts, pages).await?;
        let refused = |clerk: &Clerk| Trouble::OtherForm.answer(&clerk.visit, Some(clerk));
        let fields = match Form::from_request(Request::from_parts(parts, body), pages).await {
            Ok(Form(fields)) => Fields(fields),
            Err(refused) => {
                let trouble = why(&refused.into_response());
                return Err(trouble.answer(&clerk.visit, Some(&clerk)));
            }
        };
        if clerk.made(fields.get(TOKEN)) {
            Ok(Self { clerk, fields })
        } else {
            Err(refused(&clerk))
        }
    }
}

impl FromRequest<Pages> for WithFiles {
    type Rejection = Response;

    async fn from_request(request: Request, pages: &Pages) -> Result<Self, Response> {
        let (mut parts, body) = request.into_parts();
        let clerk =
            <Clerk as FromRequestParts<Pages>>::from_request_parts(&mut parts, pages).await?;
        let trouble = |trouble: Trouble| trouble.answer(&clerk.visit, Some(&clerk));
        let form = Multipart::from_request(Request::from_parts(parts, body), pages)
            .await
            .map_err(|_| trouble(Trouble::OtherForm))?;
        match read(form, &clerk).await {
            Ok((fields, files)) => Ok(Self {
                clerk,
                fields,
                files,
            }),
            Err(found) => Err(trouble(found)),
        }
    }
}

/// Why a form was not read: it is too long, or it is none.
fn why(refused: &Response) -> Trouble {
    match refused.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Trouble::TooLarge,
        _ => Trouble::OtherForm,
    }
}

/// The token must come first: nothing of a form of another session is read.
async fn read(mut form: Multipart, clerk: &Clerk) -> Result<(Fields, Vec<Uploaded>), Trouble> {
    let mut fields = Vec::new();
    let mut files = Vec::new();
    let mut proven = false;
    while let Some(mut field) = form.next_field().await.map_err(|_| Trouble::TooLarge)? {
        let name = field.name().unwrap_or_default().to_owned();
        let file_name = field.file_name().map(shown);
        if !proven && name != TOKEN {
            return Err(Trouble::OtherForm);
        }
        let mut bytes = Vec::new();
        let mut too_large = false;
        while let Some(chunk) = field.chunk().await.map_err(|_| Trouble::TooLarge)? {
            too_large |= bytes.len() + chunk.len() > BYTES_AT_MOST;
            if too_large {
                bytes.clear();
            } else {
                bytes.extend_from_slice(&chunk);
            }
        }
        match file_name {
            // A field for files that nothing was chosen for.
            Some(name) if name.is_empty() && bytes.is_empty() => {}
            Some(name) => files.push(Uploaded {
                name,
                bytes,
                too_large,
            }),
            None => {
                let value = String::from_utf8(bytes).map_err(|_| Trouble::OtherForm)?;
                if name == TOKEN {
                    if !clerk.made(&value) {
                        return Err(Trouble::OtherForm);
                    }
                    proven = true;
                }
                fields.push((name, value));
            }
        }
    }
    if proven {
        Ok((Fields(fields), files))
    } else {
        Err(Trouble::OtherForm)
    }
}

/// A file's name without folders and without what changes how text is shown.
fn shown(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    last.chars()
        .filter(|c| combgate_core::units::Label::new(&format!("-{c}-")).is_ok())
        .take(NAME_CHARACTERS_AT_MOST)
        .collect()
}
