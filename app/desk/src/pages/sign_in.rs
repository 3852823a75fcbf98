//! Signing in and out.

use super::Pages;
use super::answer::{Sheet, Trouble};
use super::asked::Query;
use super::form::{Filled, Open};
use super::shell::{bare, own_path, owned};
use super::visit::{Visit, begin, forget};
use crate::accounts::{account_name, active, fits};
use crate::desk;
use crate::store::{Account, Clerks};
use crate::words::{Word, text};
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use axum::response::{Html, IntoResponse, Redirect, Response};
use cookie::Cookie;
use leptos::prelude::*;
use serde::Deserialize;

/// Where to go after signing in.
#[derive(Deserialize)]
pub(super) struct After {
    #[serde(default)]
    to: String,
}

/// The form.
pub(super) async fn show(visit: Visit, Query(after): Query<After>) -> Response {
    Html(form(&visit, own_path(&after.to), None)).into_response()
}

fn form(visit: &Visit, to: &str, wrong: Option<Word>) -> String {
    owned(|| {
        let language = visit.language;
        let say = |word| text(language, word);
        let to = to.to_owned();
        let body = view! {
            {wrong
                .map(|word| {
                    view! { <div class="notice bad" role="alert"><p>{say(word)}</p></div> }
                })}
            <form method="post" action="/sign-in" class="sheet">
                <input type="hidden" name="to" value=to/>
                <p class="field">
                    <label for="name">{say(Word::SignInName)}</label>
                    <input
                        id="name"
                        name="name"
                        autocomplete="username"
                        autocapitalize="none"
                        required
                    />
                </p>
                <p class="field">
                    <label for="password">{say(Word::SignInPassword)}</label>
                    <input
                        id="password"
                        name="password"
                        type="password"
                        autocomplete="current-password"
                        required
                    />
                </p>
                <p><button class="main" type="submit">{say(Word::SignIn)}</button></p>
            </form>
            <p class="quiet">{say(Word::SignInNoAccount)}</p>
        };
        let sheet = Sheet {
            title: say(Word::SignInTitle).to_owned(),
            body: body.into_any(),
        };
        bare(visit, sheet)
    })
}

/// Signs in, always under a new identity.
pub(super) async fn sign_in(State(pages): State<Pages>, form_sent: Open) -> Response {
    let Open {
        visit,
        brought,
        fields,
    } = form_sent;
    let to = own_path(fields.get("to")).to_owned();
    let wrong = |word, status| (status, Html(form(&visit, &to, Some(word)))).into_response();
    let Ok(name) = account_name(fields.get("name")) else {
        return wrong(Word::SignInWrong, StatusCode::UNAUTHORIZED);
    };
    if !pages.0.attempts.may_try(&name) {
        return wrong(Word::SignInTooOften, StatusCode::TOO_MANY_REQUESTS);
    }
    let password = fields.exact("password").to_owned();
    let at_work = pages.clone();
    let done = tokio::task::spawn_blocking(move || {
        let desk = desk::open(&at_work.0.folder)?;
        let account = active(&desk.store, &name)?;
        let hash = account.as_ref().map(|account| account.password.as_str());
        if !fits(&password, hash) {
            return Ok(None);
        }
        let begun = account
            .map(|account: Account| begin(&at_work, &desk.store, &account, brought, desk::now()));
        Ok::<_, Trouble>(begun.transpose()?)
    })
    .await;
    match done {
        Ok(Ok(Some(cookie))) => with_cookie(&cookie, &to),
        Ok(Ok(None)) => wrong(Word::SignInWrong, StatusCode::UNAUTHORIZED),
        Ok(Err(trouble)) => trouble.answer(&visit, None),
        Err(_) => Trouble::Broken.answer(&visit, None),
    }
}

pub(super) fn with_cookie(cookie: &Cookie<'_>, to: &str) -> Response {
    ([(SET_COOKIE, cookie.to_string())], Redirect::to(to)).into_response()
}

/// Ends the session here and in the ledger.
pub(super) async fn sign_out(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let clerk = form_sent.clerk;
    let digest = clerk.session.digest;
    let folder = pages.0.folder.clone();
    let done = tokio::task::spawn_blocking(move || {
        let desk = desk::open(&folder)?;
        Ok::<_, Trouble>(desk.store.end_session(&digest)?)
    })
    .await;
    match done {
        Ok(Ok(())) => with_cookie(&forget(&pages), "/sign-in"),
        Ok(Err(trouble)) => trouble.answer(&clerk.visit, None),
        Err(_) => Trouble::Broken.answer(&clerk.visit, None),
    }
}
