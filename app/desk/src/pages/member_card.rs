//! What the register says of one member: to change, and who changed it before.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::Path;
use super::form::Filled;
use super::parts::{member_path, token};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::amend::{AmendError, Field, differences, known, set};
use crate::currency::of_ledger;
use crate::desk::OpenDesk;
use crate::store::{Forgetting, History, MemberChange};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::record::MemberV1;
use combgate_core::units::{Code, Currency, Label};
use combgate_ui::paper::when;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// One member.
pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(member): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            let number = Code::new(&member).map_err(|_| Trouble::Nowhere)?;
            let member = known(&desk.store, &number)?.ok_or(Trouble::Nowhere)?;
            Ok(Answer::Sheet(sheet(desk, clerk, &member)?))
        })
        .await
}

fn sheet(desk: &OpenDesk, clerk: &Clerk, member: &MemberV1) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let currency = of_ledger(&desk.store)?;
    let forgotten = desk.store.forgotten(&member.number)?.is_some();
    let changes = desk.store.changes(&member.number)?;
    let path = member_path(&member.number);
    let card = if forgotten {
        view! { <p class="notice">{text(language, Word::CardForgotten)}</p> }.into_any()
    } else if clerk.may(Right::Register) {
        form(clerk, &format!("{path}/card"), Some(member), currency)
    } else {
        read_only(clerk, member, currency)
    };
    let body = view! {
        <ul class="buttons">
            <li><a class="button" href=path.clone()>{text(language, Word::CardAccount)}</a></li>
        </ul>
        {card}
        {history(clerk, &changes, currency)}
        {clerk
            .may(Right::Forget)
            .then(|| {
                view! {
                    <p class="quiet">
                        <a href=format!("{path}/forget")>{text(language, Word::ForgetLink)}</a>
                    </p>
                }
            })}
    };
    let name = member.number.to_string();
    Ok(Sheet {
        title: phrase(language, Phrase::CardTitle { member: &name }),
        body: body.into_any(),
    })
}

/// A form for somebody new.
pub(super) async fn blank(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Register, |desk, clerk| {
            clerk.must(Right::Register)?;
            let currency = of_ledger(&desk.store)?;
            Ok(Answer::Sheet(Sheet {
                title: text(clerk.language(), Word::CardNew).to_owned(),
                body: form(clerk, "/register/new", None, currency),
            }))
        })
        .await
}

const fn word(field: Field) -> Word {
    match field {
        Field::Name => Word::HandsetName,
        Field::Village => Word::RegisterVillage,
        Field::Phone => Word::CardPhone,
        Field::Language => Word::CardLanguage,
        Field::Premiums => Word::RegisterPremiums,
        Field::AdvancePayee => Word::CardPayee,
        Field::Advance => Word::RegisterAdvance,
    }
}

/// What is to be known of a field before it is filled in.
const fn hint(field: Field) -> Option<Word> {
    match field {
        Field::Phone => Some(Word::CardPhoneHint),
        Field::Premiums => Some(Word::CardPremiumsHint),
        Field::Advance => Some(Word::CardAdvanceHint),
        _ => None,
    }
}

fn form(
    clerk: &Clerk,
    action: &str,
    member: Option<&MemberV1>,
    currency: Option<Currency>,
) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let number = member.is_none().then(|| {
        view! {
            <p class="field short">
                <label for="number">{say(Word::WhatNumber)}</label>
                <input id="number" name="number" required autocomplete="off"/>
            </p>
        }
    });
    let inputs: Vec<_> = Field::ALL
        .into_iter()
        .map(|field| {
            let value = member.map_or_else(String::new, |member| field.of(member, currency));
            input(language, field, value)
        })
        .collect();
    view! {
        <form method="post" action=action.to_owned() class="sheet">
            {token(clerk)}
            {number}
            {inputs}
            <p><button class="main" type="submit">{say(Word::CardKeep)}</button></p>
            <p class="quiet">{say(Word::CardNextBrief)}</p>
        </form>
    }
    .into_any()
}

fn input(language: Language, field: Field, value: String) -> AnyView {
    let id = field.name();
    let name = text(language, word(field));
    if field == Field::Language {
        let codes = Language::ALL.map(|each| (each.code(), each.own_name()));
        let mut options = vec![("", "–")];
        options.extend(codes);
        // A language that this program does not speak stays what it is.
        if !options.iter().any(|(code, _)| *code == value) {
            options.push((&value, &value));
        }
        let options: Vec<_> = options
            .into_iter()
            .map(|(code, name)| {
                let selected = code == value;
                view! {
                    <option value=code.to_owned() selected=selected>{name.to_owned()}</option>
                }
            })
            .collect();
        return view! {
            <p class="field short">
                <label for=id>{name}</label>
                <select id=id name=id>{options}</select>
            </p>
        }
        .into_any();
    }
    let described = hint(field).map(|_| format!("{id}-hint"));
    let hint = hint(field).map(|words| {
        view! { <p class="quiet" id=format!("{id}-hint")>{text(language, words)}</p> }
    });
    view! {
        <p class="field short">
            <label for=id>{name}</label>
            <input
                id=id
                name=id
                value=value
                autocomplete="off"
                maxlength=Label::MAX.to_string()
                required=field == Field::Name
                aria-describedby=described
            />
        </p>
        {hint}
    }
    .into_any()
}

/// Fields that a clerk may see: who needs a telephone number keeps the register.
fn seen(clerk: &Clerk, field: Field) -> bool {
    field != Field::Phone || clerk.may(Right::Register)
}

fn read_only(clerk: &Clerk, member: &MemberV1, currency: Option<Currency>) -> AnyView {
    let language = clerk.language();
    let rows: Vec<_> = Field::ALL
        .into_iter()
        .filter(|field| seen(clerk, *field))
        .map(|field| {
            let value = field.of(member, currency);
            view! { <div><dt>{text(language, word(field))}</dt><dd>{value}</dd></div> }
        })
        .collect();
    let who = names::roles_that_may(language, Right::Register);
    view! {
        <dl class="facts">{rows}</dl>
        <p class="quiet">{phrase(language, Phrase::CardWho { who: &who })}</p>
    }
    .into_any()
}

fn history(clerk: &Clerk, changes: &[MemberChange], currency: Option<Currency>) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    let nothing = || say(Word::EvidenceNothing).to_owned();
    let or_nothing = |said: String| if said.is_empty() { nothing() } else { said };
    let all: Vec<_> = changes
        .iter()
        .map(|change| {
            let lines: Vec<_> = differences(change, currency)
                .into_iter()
                .filter(|(field, ..)| seen(clerk, *field))
                .map(|(field, was, became)| {
                    let (was, became) = (or_nothing(was), or_nothing(became));
                    let line = phrase(
                        language,
                        Phrase::CardChange {
                            field: say(word(field)),
                            was: &was,
                            became: &became,
                        },
                    );
                    view! { <li>{line}</li> }
                })
                .collect();
            let head = match (&change.was, &change.became) {
                (None, Some(_)) => Word::CardAdded,
                (_, None) => Word::CardErased,
                (Some(_), Some(_)) => Word::CardChanged,
            };
            let at = when(&change.act.at.to_rfc3339());
            view! {
                <li>
                    <strong>{say(head)}</strong>
                    <span class="under">{format!("{at}, {}", change.act.by)}</span>
                    <ul class="lines">{lines}</ul>
                </li>
            }
        })
        .collect();
    let shown = if all.is_empty() {
        view! { <p class="quiet">{say(Word::CardNoHistory)}</p> }.into_any()
    } else {
        view! { <ol class="lines" reversed>{all}</ol> }.into_any()
    };
    view! {
        <section>
            <h2>{say(Word::CardHistory)}</h2>
            {shown}
        </section>
    }
    .into_any()
}

/// Keeps what was filled in.
pub(super) async fn keep(
    State(pages): State<Pages>,
    Path(member): Path<String>,
    form_sent: Filled,
) -> Response {
    write(pages, form_sent, Some(member)).await
}

/// Puts somebody new on the register.
pub(super) async fn add(State(pages): State<Pages>, form_sent: Filled) -> Response {
    write(pages, form_sent, None).await
}

async fn write(pages: Pages, form_sent: Filled, member: Option<String>) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            clerk.must(Right::Register)?;
            let is_new = member.is_none();
            let number = member.unwrap_or_else(|| fields.get("number").to_owned());
            let typed = |field: Field| Some(fields.get(field.name()).to_owned());
            let act = clerk.act()?;
            let done = set(&mut desk.store, &number, typed, Some(is_new), &act);
            let (member, _) = match done {
                Err(AmendError::NoMember(_)) => return Err(Trouble::Nowhere),
                other => other?,
            };
            Ok(Answer::See(format!("{}/card", member_path(&member.number))))
        })
        .await
}
