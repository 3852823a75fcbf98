//! Taking part of the books out as a file; what each holds of people is said before.

use super::answer::{Answer, Sheet};
use super::asked::{Query, Wants, bad, day_if_any};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::accounts::Right;
use crate::cli::{ExportForm, ExportWhat};
use crate::export::{Wanted, write};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// What is asked for.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    what: String,
    #[serde(default)]
    form: String,
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
}

/// Each part of the books: its name in the form, what it is called, and what it holds of people.
const PARTS: &[(ExportWhat, &str, Word, Word)] = &[
    (
        ExportWhat::Daybook,
        "daybook",
        Word::DayTitle,
        Word::ExportDaybookHolds,
    ),
    (
        ExportWhat::Papers,
        "papers",
        Word::ExportPapers,
        Word::ExportPapersHolds,
    ),
    (
        ExportWhat::Payments,
        "payments",
        Word::ExportPayments,
        Word::ExportPaymentsHolds,
    ),
    (
        ExportWhat::Members,
        "members",
        Word::NavRegister,
        Word::ExportMembersHolds,
    ),
    (
        ExportWhat::Entries,
        "entries",
        Word::ExportEntries,
        Word::ExportEntriesHolds,
    ),
];

pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Export, |_, clerk| {
            let language = clerk.language();
            let body = if clerk.may(Right::Export) {
                form(language)
            } else {
                let who = names::roles_that_may(language, Right::Export);
                view! { <p class="notice">{phrase(language, Phrase::ExportWho { who: &who })}</p> }
                    .into_any()
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::ExportTitle).to_owned(),
                body,
            }))
        })
        .await
}

fn form(language: Language) -> AnyView {
    let say = |word| text(language, word);
    let parts: Vec<_> = PARTS
        .iter()
        .enumerate()
        .map(|(place, (_, value, name, holds))| {
            let id = format!("what-{value}");
            view! {
                <p class="choice">
                    <input
                        type="radio"
                        name="what"
                        id=id.clone()
                        value=*value
                        checked=place == 0
                        required
                    />
                    <label for=id>
                        <strong>{say(*name)}</strong>
                        <span class="under">{say(*holds)}</span>
                    </label>
                </p>
            }
        })
        .collect();
    view! {
        <form method="get" action="/export/file" class="sheet">
            <fieldset>
                <legend>{say(Word::ExportWhat)}</legend>
                {parts}
            </fieldset>
            <fieldset>
                <legend>{say(Word::ExportForm)}</legend>
                <p class="choice">
                    <input type="radio" name="form" id="form-csv" value="csv" checked/>
                    <label for="form-csv">{say(Word::RegisterCsv)}</label>
                </p>
                <p class="choice">
                    <input type="radio" name="form" id="form-json" value="json"/>
                    <label for="form-json">{say(Word::RegisterJson)}</label>
                </p>
            </fieldset>
            <p class="quiet">{say(Word::ExportFormWhat)}</p>
            <p class="field short">
                <label for="from">{say(Word::TermsFrom)}</label>
                <input id="from" name="from" type="date"/>
            </p>
            <p class="field short">
                <label for="to">{say(Word::TermsUntil)}</label>
                <input id="to" name="to" type="date"/>
            </p>
            <p class="quiet">{say(Word::ExportDays)}</p>
            <p><button class="main" type="submit">{say(Word::BriefsFile)}</button></p>
        </form>
    }
    .into_any()
}

/// A part of the books as a file.
pub(super) async fn file(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Export, move |desk, clerk| {
            clerk.must(Right::Export)?;
            let (what, name, ..) = PARTS
                .iter()
                .find(|(_, value, ..)| *value == asked.what)
                .ok_or_else(|| bad(Word::ExportWhat, &asked.what, Wants::Choice))?;
            let form = match asked.form.as_str() {
                "json" => ExportForm::Json,
                "" | "csv" => ExportForm::Csv,
                other => return Err(bad(Word::ExportForm, other, Wants::Choice)),
            };
            let wanted = Wanted {
                what: *what,
                form,
                // A day that was typed wrong must not become all days: a file would hold more than
                // was asked for.
                from: day_if_any(Word::TermsFrom, &asked.from)?,
                to: day_if_any(Word::TermsUntil, &asked.to)?,
            };
            let written = write(&desk.store, &wanted)?;
            let (end, kind) = match (what, form) {
                // RFC 7515: one compact JWS to a line.
                (ExportWhat::Entries, _) => ("txt", "text/plain; charset=utf-8"),
                (_, ExportForm::Csv) => ("csv", "text/csv; charset=utf-8"),
                (_, ExportForm::Json) => ("json", "application/json"),
            };
            Ok(Answer::File {
                name: format!("{name}.{end}"),
                kind,
                bytes: written.text.into_bytes(),
            })
        })
        .await
}
