//! Briefs: made for one officer or for all, and kept to be handed over.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::{Path, day_if_any};
use super::form::Filled;
use super::parts::{Column, Named, day, minute, money, table, token};
use super::visit::Clerk;
use super::{Pages, Place, address, names};
use crate::accounts::Right;
use crate::brief::{Wanted, in_use, make_brief};
use crate::currency::of_ledger;
use crate::desk::OpenDesk;
use crate::store::{Handset, Office, SqliteStore};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::units::Currency;
use leptos::prelude::*;

/// Briefs listed; older ones are in the ledger.
const LISTED: usize = 60;
/// Instead of a handset: all that are in use.
const ALL: &str = "";

pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Briefs, |desk, clerk| {
            Ok(Answer::Sheet(sheet(desk, clerk)?))
        })
        .await
}

/// Makes briefs for one handset or for all in use.
pub(super) async fn make(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Briefs, move |desk, clerk| {
            clerk.must(Right::Handsets)?;
            let until = day_if_any(Word::ColumnBriefUntil, fields.get("until"))?;
            let codes = match fields.get("handset") {
                ALL => in_use(&desk.store)?
                    .into_iter()
                    .map(|handset| handset.code.to_string())
                    .collect(),
                one => vec![one.to_owned()],
            };
            for handset in &codes {
                let wanted = Wanted {
                    handset,
                    float: fields.given("float"),
                    until,
                };
                make_brief(desk, &wanted)?;
            }
            Ok(Answer::See("/briefs".to_owned()))
        })
        .await
}

/// A brief as a file.
pub(super) async fn file(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(serial): Path<u32>,
) -> Response {
    pages
        .show(clerk, Place::Briefs, move |desk, clerk| {
            clerk.must(Right::Handsets)?;
            let brief = desk.store.brief(serial)?.ok_or(Trouble::Nowhere)?;
            Ok(Answer::File {
                name: format!("brief-{}-{serial}.jws", brief.handset),
                kind: "application/jose",
                bytes: format!("{}\n", brief.compact).into_bytes(),
            })
        })
        .await
}

fn sheet(desk: &OpenDesk, clerk: &Clerk) -> Result<Sheet, Trouble> {
    let language = clerk.language();
    let unit = of_ledger(&desk.store)?;
    let body = view! {
        <p>{text(language, Word::BriefsWhat)}</p>
        {form(clerk, &in_use(&desk.store)?, unit)}
        {given(clerk, &desk.store, unit)?}
        {address::form(desk, clerk)}
    };
    Ok(Sheet {
        title: text(language, Word::NavBriefs).to_owned(),
        body: body.into_any(),
    })
}

fn form(clerk: &Clerk, handsets: &[Handset], unit: Option<Currency>) -> AnyView {
    let language = clerk.language();
    let say = |word| text(language, word);
    if !clerk.may(Right::Handsets) {
        let who = names::roles_that_may(language, Right::Handsets);
        let words = phrase(language, Phrase::TroubleNotTheirsWhat { who: &who });
        return view! { <p class="notice">{words}</p> }.into_any();
    }
    let options: Vec<_> = handsets
        .iter()
        .map(|handset| {
            let code = handset.code.to_string();
            view! { <option value=code.clone()>{format!("{code}, {}", handset.name)}</option> }
        })
        .collect();
    let currency = unit.map_or("", Currency::code);
    view! {
        <form method="post" action="/briefs" class="sheet">
            {token(clerk)}
            <p class="field short">
                <label for="handset">{say(Word::ColumnHandset)}</label>
                <select id="handset" name="handset">
                    <option value=ALL>{say(Word::BriefsAll)}</option>
                    {options}
                </select>
            </p>
            <p class="field short">
                <label for="float">
                    {phrase(language, Phrase::ColumnFloat { currency })}
                </label>
                <input id="float" name="float" inputmode="decimal" autocomplete="off"/>
            </p>
            <p class="field short">
                <label for="until">{say(Word::ColumnBriefUntil)}</label>
                <input id="until" name="until" type="date" aria-describedby="until-hint"/>
            </p>
            <p class="quiet" id="until-hint">{say(Word::BriefsUntilHint)}</p>
            <p><button class="main" type="submit">{say(Word::BriefsMake)}</button></p>
        </form>
    }
    .into_any()
}

fn given(clerk: &Clerk, store: &SqliteStore, unit: Option<Currency>) -> Result<AnyView, Trouble> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let rows: Vec<_> = store
        .briefs_given(LISTED)?
        .into_iter()
        .map(|brief| {
            let serial = brief.serial.to_string();
            let file = clerk.may(Right::Handsets).then(|| {
                view! {
                    <a download href=format!("/briefs/{serial}/file")>{say(Word::BriefsFile)}</a>
                }
            });
            view! {
                <tr>
                    <th scope="row" class="number">{serial.clone()}</th>
                    <td>{brief.handset.to_string()}</td>
                    <td>{minute(brief.issued_at)}</td>
                    <td>{day(brief.last_day)}</td>
                    <td class="number">{money(brief.float_minor, unit)}</td>
                    <td>{file}</td>
                </tr>
            }
        })
        .collect();
    if rows.is_empty() {
        return Ok(().into_any());
    }
    let shown = table(
        Named::By("given"),
        [
            Column::number(say(Word::BriefsSerial)),
            Column::text(say(Word::ColumnHandset)),
            Column::text(say(Word::BriefsMade)),
            Column::text(say(Word::ColumnBriefUntil)),
            Column::number(say(Word::WhatCash)),
            Column::text(say(Word::BriefsFileColumn)),
        ],
        rows.into_any(),
    );
    Ok(view! {
        <h2 id="given">{say(Word::BriefsGiven)}</h2>
        {shown}
    }
    .into_any())
}
