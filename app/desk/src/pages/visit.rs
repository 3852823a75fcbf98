//! Who asks, and in which language.

use super::Pages;
use super::answer::Trouble;
use super::asked::way_back;
use crate::accounts::{Right, active};
use crate::desk;
use crate::store::{Account, Act, Clerks, Session, SqliteStore, StoreError};
use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::header::{ACCEPT_LANGUAGE, COOKIE};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Redirect, Response};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, FixedOffset, TimeDelta};
use combgate_core::record::Digest;
use combgate_core::units::Label;
use combgate_ui::words::Language;
use cookie::{Cookie, SameSite};
use ring::hmac;
use ring::rand::{SecureRandom, SystemRandom};

/// Cookie of the language chosen.
pub(super) const LANGUAGE: &str = "combgate-language";
/// How long somebody stays signed in who asks for nothing: a walk to the store and back.
const IDLE_AT_MOST: TimeDelta = TimeDelta::hours(1);
/// How long somebody stays signed in at most: a working day.
const SIGNED_IN_AT_MOST: TimeDelta = TimeDelta::hours(12);
/// Bytes of a session's identity.
const IDENTITY_BYTES: usize = 32;

/// Anybody who asks.
#[derive(Debug, Clone)]
pub(super) struct Visit {
    pub(super) language: Language,
    /// Path and query, to come back to.
    pub(super) path: String,
    /// The page that leads on where what was asked for is refused.
    pub(super) back: String,
}

/// A clerk who is signed in.
#[derive(Debug, Clone)]
pub(super) struct Clerk {
    pub(super) visit: Visit,
    pub(super) account: Account,
    pub(super) session: Session,
    /// Stands in every form of this session, and in no other's.
    pub(super) token: String,
    identity: String,
}

impl Clerk {
    pub(super) const fn language(&self) -> Language {
        self.visit.language
    }

    /// Whether they may do it, or who may.
    pub(super) fn must(&self, right: Right) -> Result<(), Trouble> {
        if self.account.role.may(right) {
            Ok(())
        } else {
            Err(Trouble::NotTheirs(right))
        }
    }

    pub(super) fn may(&self, right: Right) -> bool {
        self.account.role.may(right)
    }

    /// Their name, as it stands beside what they do.
    pub(super) fn name(&self) -> Result<Label, Trouble> {
        Label::new(self.account.name.as_str()).map_err(|_| Trouble::OtherForm)
    }

    /// What they do now.
    pub(super) fn act(&self) -> Result<Act, Trouble> {
        Ok(Act {
            by: self.name()?,
            at: desk::now(),
        })
    }

    /// Whether a form was made for this session; takes the same time whatever is in it.
    pub(super) fn made(&self, token: &str) -> bool {
        URL_SAFE_NO_PAD
            .decode(token)
            .is_ok_and(|tag| hmac::verify(&form_key(&self.identity), FORM, &tag).is_ok())
    }
}

const FORM: &[u8] = b"form";

fn form_key(identity: &str) -> hmac::Key {
    hmac::Key::new(hmac::HMAC_SHA256, identity.as_bytes())
}

/// Digest of the identity that a browser came with.
pub(super) fn brought(parts: &Parts, pages: &Pages) -> Option<Digest> {
    cookie_value(parts, &pages.0.cookie).map(Digest::of)
}

/// Signs somebody in under a new identity, and ends the one that the browser came with; gives the
/// cookie that holds the new one.
pub(super) fn begin(
    pages: &Pages,
    store: &SqliteStore,
    account: &Account,
    brought: Option<Digest>,
    now: DateTime<FixedOffset>,
) -> Result<Cookie<'static>, StoreError> {
    if let Some(brought) = brought {
        store.end_session(&brought)?;
    }
    let mut bytes = [0; IDENTITY_BYTES];
    SystemRandom::new()
        .fill(&mut bytes)
        .map_err(|_| StoreError::Refused("the system gives no random numbers".to_owned()))?;
    let identity = URL_SAFE_NO_PAD.encode(bytes);
    store.end_sessions_before(now - SIGNED_IN_AT_MOST)?;
    store.begin_session(&Session {
        digest: Digest::of(&identity),
        account: account.name.clone(),
        begun_at: now,
        seen_at: now,
    })?;
    Ok(cookie(pages, identity, SIGNED_IN_AT_MOST))
}

/// The cookie that makes a browser forget its identity.
pub(super) fn forget(pages: &Pages) -> Cookie<'static> {
    cookie(pages, String::new(), TimeDelta::zero())
}

fn cookie(pages: &Pages, identity: String, keep: TimeDelta) -> Cookie<'static> {
    Cookie::build((pages.0.cookie.clone(), identity))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Strict)
        .max_age(cookie::time::Duration::seconds(keep.num_seconds()))
        .build()
}

fn cookie_value(parts: &Parts, name: &str) -> Option<String> {
    let headers = parts.headers.get_all(COOKIE);
    headers
        .iter()
        .filter_map(|header| header.to_str().ok())
        .flat_map(Cookie::split_parse)
        .filter_map(Result::ok)
        .find(|cookie| cookie.name() == name)
        .map(|cookie| cookie.value().to_owned())
}

/// The one chosen; else the first that the browser asks for; else English.
fn language(parts: &Parts) -> Language {
    let chosen = cookie_value(parts, LANGUAGE).and_then(|code| Language::from_tag(&code));
    let asked = || {
        let header = parts.headers.get(ACCEPT_LANGUAGE)?.to_str().ok()?;
        header
            .split(',')
            .filter_map(|each| each.split(';').next())
            .find_map(|tag| Language::from_tag(tag.trim()))
    };
    chosen.or_else(asked).unwrap_or(Language::En)
}

impl<S: Sync> FromRequestParts<S> for Visit {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        Ok(Self {
            language: language(parts),
            path: parts
                .uri
                .path_and_query()
                .map_or_else(|| "/".to_owned(), ToString::to_string),
            back: way_back(&parts.method, parts.uri.path()),
        })
    }
}

impl FromRequestParts<Pages> for Clerk {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, pages: &Pages) -> Result<Self, Response> {
        let found = <Self as OptionalFromRequestParts<Pages>>::from_request_parts(parts, pages);
        found.await?.ok_or_else(|| {
            let back = if parts.method == axum::http::Method::GET {
                parts.uri.path()
            } else {
                "/"
            };
            Redirect::to(&format!("/sign-in?to={back}")).into_response()
        })
    }
}

impl OptionalFromRequestParts<Pages> for Clerk {
    type Rejection = Response;

    async fn from_request_parts(
        parts: &mut Parts,
        pages: &Pages,
    ) -> Result<Option<Self>, Response> {
        let Ok(visit) = Visit::from_request_parts(parts, pages).await;
        let Some(identity) = cookie_value(parts, &pages.0.cookie) else {
            return Ok(None);
        };
        let folder = pages.0.folder.clone();
        let asked = visit.clone();
        let found = tokio::task::spawn_blocking(move || {
            let desk = desk::open(&folder)?;
            Ok::<_, Trouble>(signed_in(&desk.store, &identity, desk::now())?.map(
                |(account, session)| Self {
                    token: URL_SAFE_NO_PAD.encode(hmac::sign(&form_key(&identity), FORM)),
                    visit: asked,
                    account,
                    session,
                    identity,
                },
            ))
        })
        .await;
        match found {
            Ok(Ok(found)) => Ok(found),
            Ok(Err(trouble)) => Err(trouble.answer(&visit, None)),
            Err(_) => Err(Trouble::Broken.answer(&visit, None)),
        }
    }
}

fn signed_in(
    store: &SqliteStore,
    identity: &str,
    now: DateTime<FixedOffset>,
) -> Result<Option<(Account, Session)>, StoreError> {
    let Some(mut session) = store.session(&Digest::of(identity))? else {
        return Ok(None);
    };
    if now - session.begun_at > SIGNED_IN_AT_MOST || now - session.seen_at > IDLE_AT_MOST {
        store.end_session(&session.digest)?;
        return Ok(None);
    }
    // Once a minute is enough to know who is idle, and spares a write for each page.
    if now - session.seen_at >= TimeDelta::minutes(1) {
        session.seen_at = now;
        store.see_session(&session)?;
    }
    Ok(active(store, &session.account)?.map(|account| (account, session)))
}
