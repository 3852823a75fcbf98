//! The frame around every page: name, places, language, who is signed in.

use super::answer::{Sheet, Trouble};
use super::asked::{Path, Query};
use super::assets::{SCRIPT, STYLE};
use super::parts::{token, told};
use super::visit::{Clerk, LANGUAGE, Visit};
use super::{PLACES, Pages, Place, names};
use crate::store::Desk;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use combgate_ui::words::Language;
use cookie::{Cookie, SameSite};
use leptos::prelude::*;
use serde::Deserialize;

/// Runs with an owner for what the views keep.
pub(super) fn owned<T>(work: impl FnOnce() -> T) -> T {
    Owner::new().with(work)
}

/// A page for a clerk.
pub(super) fn framed(clerk: &Clerk, desk: &Desk, place: Place, sheet: Sheet) -> String {
    let cooperative = desk
        .cooperative
        .as_ref()
        .map(|cooperative| cooperative.name.to_string());
    document(&clerk.visit, Some((clerk, place)), cooperative, sheet)
}

/// A page for somebody who is not signed in.
pub(super) fn bare(visit: &Visit, sheet: Sheet) -> String {
    document(visit, None, None, sheet)
}

/// A page that says what is wrong and what to do.
pub(super) fn trouble(visit: &Visit, clerk: Option<&Clerk>, trouble: &Trouble) -> String {
    owned(|| {
        let language = visit.language;
        let say = |word| text(language, word).to_owned();
        let plain = |words: String| view! { <p>{words}</p> }.into_any();
        let (title, words) = match trouble {
            Trouble::Nowhere => (Word::TroubleNowhere, plain(say(Word::TroubleNowhereWhat))),
            Trouble::NotTheirs(right) => {
                let who = names::roles_that_may(language, *right);
                let words = phrase(language, Phrase::TroubleNotTheirsWhat { who: &who });
                (Word::TroubleNotTheirs, plain(words))
            }
            Trouble::OtherForm => (Word::TroubleForm, plain(say(Word::TroubleFormWhat))),
            Trouble::Field(field) => {
                let (wrong, wants) = field.told(language);
                let words = view! {
                    <p>{wrong}</p>
                    <p><strong>{wants}</strong></p>
                };
                (Word::TroubleTold, words.into_any())
            }
            Trouble::NotConfirmed => (Word::TroubleTold, plain(say(Word::TroubleNotConfirmed))),
            Trouble::TooLarge => (Word::TroubleLarge, plain(say(Word::TroubleLargeWhat))),
            Trouble::Broken => (Word::TroubleBroken, plain(say(Word::TroubleBrokenWhat))),
            Trouble::Told { error, hint } => (Word::TroubleTold, told(language, error, hint)),
        };
        // Whoever typed something goes back to where it was typed.
        let again = matches!(trouble, Trouble::Field(_)).then(|| {
            view! { <p><a href=visit.back.clone()>{say(Word::TroubleFieldBack)}</a></p> }
        });
        let body = view! {
            <div class="notice bad" role="alert">{words}</div>
            {again}
            <p><a href="/">{say(Word::TroubleBack)}</a></p>
        };
        let sheet = Sheet {
            title: say(title),
            body: body.into_any(),
        };
        match clerk {
            Some(clerk) => document(visit, Some((clerk, Place::Overview)), None, sheet),
            None => bare(visit, sheet),
        }
    })
}

fn document(
    visit: &Visit,
    at: Option<(&Clerk, Place)>,
    cooperative: Option<String>,
    sheet: Sheet,
) -> String {
    let language = visit.language;
    let say = |word| text(language, word);
    let title = format!("{} – {}", sheet.title, say(Word::AppName));
    let heading = sheet.title;
    let frame_class = if at.is_some() { "frame" } else { "frame alone" };
    let page = view! {
        <html lang=language.code()>
            <head>
                <meta charset="utf-8"/>
                <meta name="viewport" content="width=device-width, initial-scale=1"/>
                <meta name="color-scheme" content="light dark"/>
                <title>{title}</title>
                <link rel="stylesheet" href=STYLE/>
                <script src=SCRIPT defer></script>
            </head>
            <body>
                <a class="skip" href="#main">{say(Word::NavSkip)}</a>
                <div class=frame_class>
                    <header class="top">
                        <p class="top-name">
                            <strong>{say(Word::AppName)}</strong>
                            {cooperative.map(|name| view! { " " <span>{name}</span> })}
                        </p>
                        {languages(visit)}
                        {at.map(|(clerk, _)| who(clerk))}
                    </header>
                    {at.map(|(clerk, place)| places(clerk, place))}
                    <main id="main" tabindex="-1">
                        <h1>{heading}</h1>
                        {sheet.body}
                    </main>
                </div>
            </body>
        </html>
    };
    format!("<!DOCTYPE html>{}", page.to_html())
}

fn languages(visit: &Visit) -> AnyView {
    let all: Vec<_> = Language::ALL
        .into_iter()
        .map(|each| {
            let href = format!("/language/{}?to={}", each.code(), in_query(&visit.path));
            let current = (each == visit.language).then_some("true");
            view! {
                <li>
                    <a href=href lang=each.code() hreflang=each.code() aria-current=current>
                        {each.own_name()}
                    </a>
                </li>
            }
        })
        .collect();
    view! {
        <nav class="languages" aria-label=text(visit.language, Word::NavLanguage)>
            <ul>{all}</ul>
        </nav>
    }
    .into_any()
}

fn who(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let name = clerk.account.name.to_string();
    let role = text(language, names::role(clerk.account.role));
    view! {
        <form class="who" method="post" action="/sign-out">
            {token(clerk)}
            <span>{name} ", " {role}</span>
            <button type="submit">{text(language, Word::SignOut)}</button>
        </form>
    }
    .into_any()
}

fn places(clerk: &Clerk, at: Place) -> AnyView {
    let language = clerk.language();
    let all: Vec<_> = PLACES
        .iter()
        .map(|(place, href, word)| {
            let current = (*place == at).then_some("page");
            view! { <li><a href=*href aria-current=current>{text(language, *word)}</a></li> }
        })
        .collect();
    view! {
        <nav class="places" aria-label=text(language, Word::NavMain)>
            <ul>{all}</ul>
        </nav>
    }
    .into_any()
}

/// Where to come back to after a language is chosen.
#[derive(Deserialize)]
pub(super) struct Back {
    #[serde(default)]
    to: String,
}

/// Keeps the language and comes back.
pub(super) async fn choose_language(
    Path(code): Path<String>,
    Query(back): Query<Back>,
) -> Response {
    let to = own_path(&back.to);
    let Some(language) = Language::from_tag(&code) else {
        return Redirect::to(to).into_response();
    };
    let cookie = Cookie::build((LANGUAGE, language.code()))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Strict)
        .max_age(cookie::time::Duration::days(365))
        .build();
    ([(SET_COOKIE, cookie.to_string())], Redirect::to(to)).into_response()
}

/// A path of this desk and of nowhere else; the overview for anything else.
pub(super) fn own_path(to: &str) -> &str {
    let is_own = to.starts_with('/')
        && !to.starts_with("//")
        && to
            .bytes()
            .all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if is_own { to } else { "/" }
}

/// A path as it stands within a query.
fn in_query(path: &str) -> String {
    path.bytes()
        .map(|byte| match byte {
            b'&' | b'#' | b'%' | b'+' | b'"' | b'<' | b'>' | b'\'' => format!("%{byte:02X}"),
            _ => char::from(byte).to_string(),
        })
        .collect()
}

/// There is no such page.
pub(super) async fn nowhere(
    State(_): State<Pages>,
    visit: Visit,
    clerk: Option<Clerk>,
) -> Response {
    Trouble::Nowhere.answer(&visit, clerk.as_ref())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coming_back_leads_nowhere_else() {
        assert_eq!(
            own_path("/findings?weight=serious"),
            "/findings?weight=serious"
        );
        for stranger in [
            "//elsewhere.example",
            "https://elsewhere.example",
            "/\\elsewhere.example",
            "javascript:alert(1)",
            "/a\nb",
            "",
        ] {
            assert_eq!(own_path(stranger), "/", "{stranger}");
        }
    }

    #[test]
    fn a_query_within_a_query_stays_one_value() {
        assert_eq!(in_query("/findings?a=b&c=d"), "/findings?a=b%26c=d");
    }
}
