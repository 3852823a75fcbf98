//! Forgetting a member who asks for it: what it does and what it cannot reach, said before; and the
//! key, which is to be taken away from this machine.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::Path;
use super::form::Filled;
use super::parts::{member_path, reason, token, told};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::forget::key_file::{forget_and_wait, read_waiting, take_away, waiting};
use crate::forget::may_be_forgotten;
use crate::outcome::Advice;
use crate::store::{Forgetting, Forgotten};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::units::{Code, Label};
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;

fn number(typed: &str) -> Result<Code, Trouble> {
    Code::new(typed).map_err(|_| Trouble::Nowhere)
}

/// What it does, or what was done.
pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(member): Path<String>,
) -> Response {
    let folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            let language = clerk.language();
            let member = number(&member)?;
            let waits = waiting(&folder).contains(&member);
            let body = if let Some(forgotten) = desk.store.forgotten(&member)? {
                done(clerk, &forgotten, waits)
            } else if !clerk.may(Right::Forget) {
                let who = names::roles_that_may(language, Right::Forget);
                let words = phrase(language, Phrase::ForgetWho { who: &who });
                view! { <p class="notice">{words}</p> }.into_any()
            } else {
                match may_be_forgotten(&desk.store, &member) {
                    Ok(()) => form(clerk, &member),
                    Err(error) => view! {
                        <div class="notice bad">{told(language, &error.to_string(), &error.hint())}</div>
                    }
                    .into_any(),
                }
            };
            let name = member.to_string();
            Ok(Answer::Sheet(Sheet {
                title: phrase(language, Phrase::ForgetTitle { member: &name }),
                body,
            }))
        })
        .await
}

fn lines(language: Language, words: &[Word]) -> AnyView {
    let lines: Vec<_> = words
        .iter()
        .map(|word| view! { <li>{text(language, *word)}</li> })
        .collect();
    view! { <ul class="lines">{lines}</ul> }.into_any()
}

fn form(clerk: &Clerk, member: &Code) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let name = member.to_string();
    view! {
        <h2>{say(Word::ForgetDoes)}</h2>
        {lines(language, &[Word::ForgetDoesRegister, Word::ForgetDoesSeal, Word::ForgetDoesBooks])}
        <div class="notice bad">
            <h2>{say(Word::ForgetNoWayBack)}</h2>
            {lines(
                language,
                &[Word::ForgetKey, Word::ForgetBackups, Word::ForgetPhones, Word::ForgetEvidence],
            )}
        </div>
        <form method="post" action=format!("{}/forget", member_path(member)) class="sheet">
            {token(clerk)}
            {reason(language, "reason", Word::ForgetReason)}
            <p class="choice">
                <input type="checkbox" id="asked" name="asked" value="yes" required/>
                <label for="asked">{say(Word::ForgetAsked)}</label>
            </p>
            <p class="field short">
                <label for="again">{phrase(language, Phrase::ForgetAgain { member: &name })}</label>
                <input id="again" name="again" required autocomplete="off"/>
            </p>
            <p><button class="grave" type="submit">{say(Word::ForgetDo)}</button></p>
        </form>
        <p><a href=member_path(member)>{say(Word::ForgetLeave)}</a></p>
    }
    .into_any()
}

fn done(clerk: &Clerk, forgotten: &Forgotten, waits: bool) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let at = when(&forgotten.act.at.to_rfc3339());
    let told = phrase(
        language,
        Phrase::ForgetDone {
            by: forgotten.act.by.as_str(),
            when: &at,
            because: forgotten.because.as_str(),
        },
    );
    let path = format!("{}/key", member_path(&forgotten.member));
    let key = (waits && clerk.may(Right::Forget)).then(|| {
        view! {
            <section class="result bad">
                <h2 class="name">{say(Word::ForgetKeyWaits)}</h2>
                <p>{say(Word::ForgetKeyWhat)}</p>
                <p><a class="button" download href=path.clone()>{say(Word::ForgetKeyFile)}</a></p>
                <form method="post" action=path>
                    {token(clerk)}
                    <p class="choice">
                        <input type="checkbox" id="have" name="have" value="yes" required/>
                        <label for="have">{say(Word::ForgetKeyHave)}</label>
                    </p>
                    <p><button class="main" type="submit">{say(Word::ForgetKeyTake)}</button></p>
                </form>
            </section>
        }
    });
    let gone = (!waits).then(|| view! { <p class="notice good">{say(Word::ForgetKeyGone)}</p> });
    view! {
        <p class="notice">{told}</p>
        {key}
        {gone}
        <p>{say(Word::ForgetUnseal)}</p>
        <pre class="bytes" tabindex="0">
            {format!("combgate member unseal {} --key FILE", forgotten.member)}
        </pre>
    }
    .into_any()
}

/// Forgets.
pub(super) async fn forget(
    State(pages): State<Pages>,
    Path(member): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    let folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            clerk.must(Right::Forget)?;
            let member = number(&member)?;
            // Typed by hand and agreed to: nobody forgets a member by a slip.
            if fields.get("again") != member.as_str() || fields.get("asked") != "yes" {
                return Err(Trouble::NotConfirmed);
            }
            let because = Label::new(fields.get("reason")).map_err(|_| Trouble::NotConfirmed)?;
            forget_and_wait(&mut desk.store, &folder, &member, &clerk.act()?, &because)?;
            Ok(Answer::See(format!("{}/forget", member_path(&member))))
        })
        .await
}

/// The key as a file.
pub(super) async fn key(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(member): Path<String>,
) -> Response {
    let folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Register, move |_, clerk| {
            clerk.must(Right::Forget)?;
            let member = number(&member)?;
            if !waiting(&folder).contains(&member) {
                return Err(Trouble::Nowhere);
            }
            Ok(Answer::File {
                name: format!("forgotten-{member}.key"),
                kind: "text/plain; charset=utf-8",
                bytes: read_waiting(&folder, &member)?.into_bytes(),
            })
        })
        .await
}

/// Takes the key off this machine.
pub(super) async fn take(
    State(pages): State<Pages>,
    Path(member): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    let folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Register, move |_, clerk| {
            clerk.must(Right::Forget)?;
            let member = number(&member)?;
            if fields.get("have") != "yes" {
                return Err(Trouble::NotConfirmed);
            }
            take_away(&folder, &member)?;
            Ok(Answer::See(format!("{}/forget", member_path(&member))))
        })
        .await
}
