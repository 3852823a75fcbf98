//! The first account, made at an address that is good once and that only whoever started the desk
//! has read. There is no password that the program knows beforehand.

use super::answer::{Sheet, Trouble};
use super::asked::Path;
use super::form::Open;
use super::parts::told;
use super::shell::{bare, owned};
use super::sign_in::with_cookie;
use super::visit::{Visit, begin};
use super::{Pages, names};
use crate::accounts::{AccountError, account_name, add};
use crate::desk;
use crate::store::Role;
use crate::words::{Word, text};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use clap::ValueEnum;
use combgate_core::record::Digest;
use leptos::prelude::*;
use ring::rand::{SecureRandom, SystemRandom};

/// Bytes of the secret: 144 bits, which nobody guesses.
const SECRET_BYTES: usize = 18;

/// A secret for a one-time address; none when the system gives no random numbers.
pub fn one_time_address() -> Option<String> {
    let mut bytes = [0; SECRET_BYTES];
    SystemRandom::new().fill(&mut bytes).ok()?;
    Some(URL_SAFE_NO_PAD.encode(bytes))
}

impl Pages {
    fn is_set_up_at(&self, secret: &str) -> bool {
        let kept = self.0.set_up.lock();
        // Compared by digest, so that the time taken tells nothing of the secret.
        let asked = Digest::of(secret);
        kept.is_ok_and(|kept| kept.as_ref().is_some_and(|kept| Digest::of(kept) == asked))
    }

    fn close_set_up(&self) {
        if let Ok(mut kept) = self.0.set_up.lock() {
            *kept = None;
        }
    }
}

/// The form.
pub(super) async fn show(
    State(pages): State<Pages>,
    Path(secret): Path<String>,
    visit: Visit,
) -> Response {
    if pages.is_set_up_at(&secret) {
        Html(form(&visit, &secret, "", None)).into_response()
    } else {
        Trouble::Nowhere.answer(&visit, None)
    }
}

fn form(visit: &Visit, secret: &str, name: &str, wrong: Option<&AccountError>) -> String {
    owned(|| {
        let language = visit.language;
        let say = |word| text(language, word);
        let wrong = wrong.map(|error| {
            use crate::outcome::Advice;
            view! {
                <div class="notice bad" role="alert">
                    {told(language, &error.to_string(), &error.hint())}
                </div>
            }
        });
        let roles: Vec<_> = Role::ALL
            .into_iter()
            .map(|role| {
                let value = role
                    .to_possible_value()
                    .map_or_else(String::new, |value| value.get_name().to_owned());
                let id = format!("role-{value}");
                view! {
                    <p class="choice">
                        <input
                            type="radio"
                            name="role"
                            id=id.clone()
                            value=value
                            checked=role == Role::Bookkeeper
                        />
                        <label for=id>
                            <strong>{say(names::role(role))}</strong>
                            " "
                            {say(names::role_does(role))}
                        </label>
                    </p>
                }
            })
            .collect();
        let body = view! {
            <p>{say(Word::SetUpWhat)}</p>
            {wrong}
            <form method="post" action=format!("/set-up/{secret}") class="sheet">
                <p class="field">
                    <label for="name">{say(Word::SignInName)}</label>
                    <input
                        id="name"
                        name="name"
                        value=name.to_owned()
                        autocomplete="username"
                        autocapitalize="none"
                        required
                    />
                </p>
                <p class="field">
                    <label for="password">{say(Word::SetUpPassword)}</label>
                    <input
                        id="password"
                        name="password"
                        type="password"
                        autocomplete="new-password"
                        required
                    />
                </p>
                <fieldset>
                    <legend>{say(Word::SetUpRole)}</legend>
                    {roles}
                </fieldset>
                <p><button class="main" type="submit">{say(Word::SetUpMake)}</button></p>
            </form>
            <p class="quiet">{say(Word::SetUpMore)}</p>
        };
        let sheet = Sheet {
            title: say(Word::SetUpTitle).to_owned(),
            body: body.into_any(),
        };
        bare(visit, sheet)
    })
}

/// Makes the account and signs in with it; the address is then no longer good.
pub(super) async fn make(
    State(pages): State<Pages>,
    Path(secret): Path<String>,
    form_sent: Open,
) -> Response {
    let Open {
        visit,
        brought,
        fields,
    } = form_sent;
    if !pages.is_set_up_at(&secret) {
        return Trouble::Nowhere.answer(&visit, None);
    }
    let typed = fields.get("name").to_owned();
    let password = fields.exact("password").to_owned();
    let role = Role::from_str(fields.get("role"), false).unwrap_or(Role::Bookkeeper);
    let at_work = pages.clone();
    let name = typed.clone();
    let done = tokio::task::spawn_blocking(move || {
        let mut desk = desk::open(&at_work.0.folder)?;
        let now = desk::now();
        let made =
            account_name(&name).and_then(|name| add(&mut desk.store, name, role, &password, now));
        let account = match made {
            Ok(account) => account,
            Err(error) => return Ok(Err(error)),
        };
        at_work.close_set_up();
        Ok::<_, Trouble>(Ok(begin(&at_work, &desk.store, &account, brought, now)?))
    })
    .await;
    match done {
        Ok(Ok(Ok(cookie))) => with_cookie(&cookie, "/"),
        Ok(Ok(Err(error))) => {
            let page = form(&visit, &secret, &typed, Some(&error));
            (StatusCode::UNPROCESSABLE_ENTITY, Html(page)).into_response()
        }
        Ok(Err(trouble)) => trouble.answer(&visit, None),
        Err(_) => Trouble::Broken.answer(&visit, None),
    }
}
