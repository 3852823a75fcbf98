//! A day by its date, and a receipt or slip by the number that a member has in hand.

use super::answer::{Answer, Sheet};
use super::asked::Query;
use super::visit::Clerk;
use super::{Pages, Place};
use crate::entry::typed_number;
use crate::store::Papers;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::record::ReceiptNumber;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;

/// What was typed.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Wanted {
    #[serde(default)]
    number: String,
}

/// Where the paper of a number is.
pub(super) fn address(number: &ReceiptNumber) -> String {
    // Letters, digits and dashes alone.
    format!("/papers?number={number}")
}

/// Leads to the paper of a number.
pub(super) async fn paper(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(wanted): Query<Wanted>,
) -> Response {
    pages
        .show(clerk, Place::Days, move |desk, clerk| {
            let language = clerk.language();
            let trouble = match typed_number(&wanted.number) {
                None => text(language, Word::LookUpNoNumber).to_owned(),
                Some(number) => {
                    if let Some(paper) = desk.store.numbered(&number)? {
                        let (handset, seq) = (paper.handset, paper.seq);
                        return Ok(Answer::See(format!("/entries/{handset}/{seq}")));
                    }
                    let number = number.to_string();
                    phrase(language, Phrase::LookUpNone { number: &number })
                }
            };
            let body = view! {
                <p class="notice bad" role="alert">
                    {trouble}
                </p>
                {by_number(language, &wanted.number)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::LookUpNumber).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

/// The form for a paper's number.
pub(super) fn by_number(language: Language, typed: &str) -> AnyView {
    view! {
        <form method="get" action="/papers" class="choose">
            <p class="field short">
                <label for="number">{text(language, Word::LookUpNumber)}</label>
                <input id="number" name="number" required autocomplete="off" value=typed.to_owned()/>
            </p>
            <p><button type="submit">{text(language, Word::FindingsShow)}</button></p>
        </form>
    }
    .into_any()
}

/// The form for a day.
pub(super) fn by_day(language: Language, day: &str) -> AnyView {
    view! {
        <form method="get" action="/days" class="choose">
            <p class="field short">
                <label for="day">{text(language, Word::ColumnDay)}</label>
                <input id="day" name="day" type="date" required value=day.to_owned()/>
            </p>
            <p><button type="submit">{text(language, Word::FindingsShow)}</button></p>
        </form>
    }
    .into_any()
}
