//! The register: who is on it, as a table to look at, to keep and to bring up to date.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, Query, text_of};
use super::form::WithFiles;
use super::parts::{Column, Named, Part, address, member_path, table, token};
use super::visit::Clerk;
use super::{Pages, Place};
use crate::accounts::Right;
use crate::amend::take as take_members;
use crate::currency::{of_ledger, sum as amount};
use crate::desk::OpenDesk;
use crate::forget::key_file::waiting;
use crate::outcome::json;
use crate::register::write;
use crate::store::{MembersFound, Office};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::units::{Code, Currency};
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// Which members.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    search: String,
    #[serde(default)]
    after: String,
    #[serde(default)]
    added: Option<u64>,
    #[serde(default)]
    changed: Option<u64>,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    let folder = pages.0.folder.clone();
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            let keys = waiting(&folder);
            Ok(Answer::Sheet(sheet(desk, clerk, &asked, &keys)?))
        })
        .await
}

fn sheet(desk: &OpenDesk, clerk: &Clerk, asked: &Asked, keys: &[Code]) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let unit = of_ledger(&desk.store)?;
    let members = desk.store.members_like(&asked.search, |found| {
        Part::asked(&asked.after, found).range()
    })?;
    let done = asked.added.zip(asked.changed).map(|(added, changed)| {
        let (added, changed) = (added.to_string(), changed.to_string());
        phrase(
            language,
            Phrase::RegisterDone {
                added: &added,
                changed: &changed,
            },
        )
    });
    let body = view! {
        {done.map(|words| view! { <p class="notice good" role="status">{words}</p> })}
        <form method="get" action="/register" class="choose">
            <p class="field">
                <label for="search">{say(Word::RegisterSearch)}</label>
                <input id="search" name="search" type="search" value=asked.search.clone()/>
            </p>
            <p><button type="submit">{say(Word::FindingsShow)}</button></p>
        </form>
        {keys_waiting(clerk, keys)}
        {clerk
            .may(Right::Register)
            .then(|| {
                view! {
                    <p><a class="button" href="/register/new">{say(Word::CardNew)}</a></p>
                }
            })}
        {register(language, asked, &members, unit)}
        {clerk.may(Right::Register).then(|| files(clerk))}
    };
    Ok(Sheet {
        title: say(Word::NavRegister).to_owned(),
        body: body.into_any(),
    })
}

/// Keys of forgotten members that nobody took away yet.
fn keys_waiting(clerk: &Clerk, keys: &[Code]) -> AnyView {
    if keys.is_empty() || !clerk.may(Right::Forget) {
        return ().into_any();
    }
    let all: Vec<_> = keys
        .iter()
        .map(|member| {
            view! {
                <li>
                    <a href=format!("{}/forget", member_path(member))>{member.to_string()}</a>
                </li>
            }
        })
        .collect();
    view! {
        <div class="notice bad">
            <p>{text(clerk.language(), Word::ForgetKeysWait)}</p>
            <ul class="lines">{all}</ul>
        </div>
    }
    .into_any()
}

/// Telephone numbers are left out: who needs one has it in the file.
fn register(
    language: Language,
    asked: &Asked,
    members: &MembersFound,
    unit: Option<Currency>,
) -> AnyView {
    let say = |word| text(language, word);
    let (found, all) = (members.found.to_string(), members.all.to_string());
    let count = phrase(
        language,
        Phrase::RegisterCount {
            found: &found,
            count: &all,
        },
    );
    let part = Part::asked(&asked.after, members.found);
    let ways = part.ways(language, |after| {
        let after = after.to_string();
        let asked = [("search", asked.search.as_str()), ("after", &after)];
        address("/register", &asked) + "#members-count"
    });
    let rows: Vec<_> = members
        .part
        .iter()
        .map(|member| {
            let premiums: Vec<&str> = member.premiums.iter().map(Code::as_str).collect();
            let advance = member.advance.as_ref().map_or_else(String::new, |advance| {
                format!(
                    "{} ({})",
                    amount(advance.outstanding_minor, unit),
                    advance.payee
                )
            });
            let village = member.village.as_ref().map(ToString::to_string);
            view! {
                <tr>
                    <th scope="row">
                        <a href=format!("{}/card", member_path(&member.number))>
                            {member.number.to_string()}
                        </a>
                    </th>
                    <td>{member.name.to_string()}</td>
                    <td>{village.unwrap_or_default()}</td>
                    <td>{premiums.join(" ")}</td>
                    <td class="number">{advance}</td>
                </tr>
            }
        })
        .collect();
    let shown = table(
        Named::By("members-count"),
        [
            Column::text(say(Word::WhatNumber)),
            Column::text(say(Word::HandsetName)),
            Column::text(say(Word::RegisterVillage)),
            Column::text(say(Word::RegisterPremiums)),
            Column::number(say(Word::RegisterAdvance)),
        ],
        rows.into_any(),
    );
    view! {
        <p id="members-count">{count}</p>
        {shown}
        {ways}
    }
    .into_any()
}

fn files(clerk: &Clerk) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    view! {
        <h2>{say(Word::RegisterKeep)}</h2>
        <p>{say(Word::RegisterHolds)}</p>
        <ul class="buttons">
            <li><a class="button" download href="/register/register.csv">{say(Word::RegisterCsv)}</a></li>
            <li><a class="button" download href="/register/register.json">{say(Word::RegisterJson)}</a></li>
        </ul>
        <h2>{say(Word::RegisterChange)}</h2>
        <p>{say(Word::RegisterChangeWhat)}</p>
        <form method="post" action="/register" enctype="multipart/form-data" class="sheet">
            {token(clerk)}
            <p class="field">
                <label for="register">{say(Word::RegisterFile)}</label>
                <input id="register" name="register" type="file" required accept=".csv,text/csv,.json,application/json"/>
            </p>
            <p><button class="main" type="submit">{say(Word::ImportTake)}</button></p>
        </form>
    }
    .into_any()
}

/// Brings the register up to date from a table.
pub(super) async fn take(State(pages): State<Pages>, form_sent: WithFiles) -> Response {
    let WithFiles {
        clerk, mut files, ..
    } = form_sent;
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            clerk.must(Right::Register)?;
            let text = text_of(Word::RegisterFile, files.pop())?;
            // Spreadsheets put a byte order mark before their tables.
            let text = text.strip_prefix('\u{FEFF}').unwrap_or(&text);
            let (added, changed) = take_members(&mut desk.store, text, &clerk.act()?)?;
            Ok(Answer::See(format!(
                "/register?added={added}&changed={changed}"
            )))
        })
        .await
}

/// The register as a file: all that is known of each member.
pub(super) async fn file(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(form): Path<String>,
) -> Response {
    pages
        .show(clerk, Place::Register, move |desk, clerk| {
            clerk.must(Right::Register)?;
            let members = desk.store.members()?;
            let (kind, text) = match form.as_str() {
                "register.csv" => ("text/csv; charset=utf-8", write(&members)?),
                "register.json" => ("application/json", json(&members)?),
                _ => return Err(Trouble::Nowhere),
            };
            Ok(Answer::File {
                name: form,
                kind,
                bytes: text.into_bytes(),
            })
        })
        .await
}
