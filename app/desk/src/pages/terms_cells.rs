//! The cells of the form for a policy or a price list.

use super::answer::Sheet as Page;
use super::parts::token;
use super::terms_form::name;
use super::terms_rows::{choices, heading};
use super::visit::Clerk;
use crate::store::{Terms, TermsKind};
use crate::terms::sheet::{Column, EMPTY_ROWS, Kind, Part, Schema, Sheet};
use crate::words::{Phrase, Word, phrase, text};
use combgate_core::units::{Currency, Label};
use combgate_ui::words::Language;
use leptos::prelude::*;

/// What a form shows.
pub(super) struct Shown<'a> {
    pub(super) schema: &'static Schema,
    pub(super) currency: Option<Currency>,
    /// The document that it began from.
    pub(super) base: &'a Terms,
    pub(super) sheet: &'a Sheet,
    /// What is wrong with it.
    pub(super) wrong: Option<AnyView>,
}

/// The form.
pub(super) fn page(clerk: &Clerk, shown: Shown<'_>) -> Page {
    let language = clerk.language();
    let say = |word| text(language, word);
    let (title, what) = match shown.schema.kind {
        TermsKind::Policy => (Word::TermsNewPolicy, Word::TermsNewPolicyWhat),
        TermsKind::PriceList => (Word::TermsNewPrices, Word::TermsNewPricesWhat),
    };
    let fields: Vec<_> = shown
        .schema
        .fields
        .iter()
        .zip(&shown.sheet.fields)
        .map(|(column, cell)| {
            input(
                language,
                column.key.to_owned(),
                column,
                cell,
                shown.currency,
            )
        })
        .collect();
    let parts: Vec<_> = shown
        .schema
        .parts
        .iter()
        .zip(&shown.sheet.parts)
        .map(|(part, rows)| rows_of(language, part, rows, shown.currency))
        .collect();
    let body = view! {
        {shown.wrong}
        <p>{say(what)}</p>
        <form method="post" action=format!("/terms/new/{}", name(shown.schema.kind))>
            {token(clerk)}
            <input type="hidden" name="base" value=shown.base.digest.to_string()/>
            <div class="sheet cells">{fields}</div>
            {parts}
            <p><button class="main" type="submit">{say(Word::TermsTry)}</button></p>
        </form>
    };
    Page {
        title: say(title).to_owned(),
        body: body.into_any(),
    }
}

fn rows_of(
    language: Language,
    part: &'static Part,
    rows: &[Vec<String>],
    currency: Option<Currency>,
) -> AnyView {
    let say = |word| text(language, word);
    let empty = vec![String::new(); part.columns.len()];
    let more = if part.grows { EMPTY_ROWS } else { 0 };
    let all = rows.iter().chain(std::iter::repeat_n(&empty, more));
    let cards: Vec<_> = all
        .enumerate()
        .map(|(row, cells)| {
            let at = format!("{}-{row}", part.key);
            let inputs: Vec<_> = part
                .columns
                .iter()
                .zip(cells)
                .map(|(column, cell)| {
                    input(
                        language,
                        format!("{at}-{}", column.key),
                        column,
                        cell,
                        currency,
                    )
                })
                .collect();
            let is_new = row >= rows.len();
            let number = (row + 1).to_string();
            let legend = if is_new {
                say(Word::TermsRowNew).to_owned()
            } else {
                phrase(language, Phrase::TermsRow { number: &number })
            };
            let place = (part.ordered && !is_new).then(|| {
                let id = format!("{at}-place");
                view! {
                    <p class="field">
                        <label for=id.clone()>{say(Word::TermsPlace)}</label>
                        <input id=id.clone() name=id inputmode="numeric" value=number/>
                    </p>
                }
            });
            let out = (part.grows && !is_new).then(|| {
                let id = format!("{at}-out");
                view! {
                    <p class="choice">
                        <input type="checkbox" id=id.clone() name=id.clone() value="yes"/>
                        <label for=id>{say(Word::TermsLeaveOut)}</label>
                    </p>
                }
            });
            view! {
                <fieldset class="sheet cells">
                    <legend>{legend}</legend>
                    {inputs}
                    {place}
                    {out}
                </fieldset>
            }
        })
        .collect();
    let count = (rows.len() + more).to_string();
    view! {
        <section>
            <h2>{say(part.title)}</h2>
            {part.what.map(|what| view! { <p>{say(what)}</p> })}
            <input type="hidden" name=format!("{}-rows", part.key) value=count/>
            {cards}
        </section>
    }
    .into_any()
}

/// A cell to fill in.
fn input(
    language: Language,
    id: String,
    column: &Column,
    cell: &str,
    currency: Option<Currency>,
) -> AnyView {
    let name = heading(language, column, currency);
    let cell = cell.to_owned();
    match column.kind {
        Kind::Forms | Kind::Faults => several(language, &id, column, &cell, name),
        Kind::Fault => {
            let all = choices(language, column.kind);
            let words = all.into_iter().find(|(value, _)| *value == cell);
            let words = words.map_or("", |(_, words)| words);
            view! {
                <p class="wide-cell">
                    <input type="hidden" name=id value=cell/>
                    <strong>{words}</strong>
                </p>
            }
            .into_any()
        }
        Kind::Bee | Kind::Weight => {
            let options: Vec<_> = choices(language, column.kind)
                .into_iter()
                .map(|(value, words)| {
                    let selected = value == cell;
                    view! { <option value=value selected=selected>{words}</option> }
                })
                .collect();
            view! {
                <p class="field">
                    <label for=id.clone()>{name}</label>
                    <select id=id.clone() name=id>{options}</select>
                </p>
            }
            .into_any()
        }
        Kind::Text | Kind::Day | Kind::Money | Kind::Percent | Kind::Grams => {
            let kind = if column.kind == Kind::Day {
                "date"
            } else {
                "text"
            };
            let class = if matches!(column.key, "id" | "title" | "source") {
                "field wide-cell"
            } else {
                "field"
            };
            let mode = column.kind.is_figure().then_some("decimal");
            view! {
                <p class=class>
                    <label for=id.clone()>{name}</label>
                    <input
                        id=id.clone()
                        name=id
                        type=kind
                        inputmode=mode
                        autocomplete="off"
                        maxlength=Label::MAX.to_string()
                        value=cell
                    />
                </p>
            }
            .into_any()
        }
    }
}

fn several(language: Language, id: &str, column: &Column, cell: &str, name: String) -> AnyView {
    let chosen: Vec<&str> = cell.split_whitespace().collect();
    let boxes: Vec<_> = choices(language, column.kind)
        .into_iter()
        .map(|(value, words)| {
            let checked = chosen.contains(&value.as_str());
            let id = format!("{id}-{value}");
            view! {
                <span class="tick">
                    <input type="checkbox" id=id.clone() name=id.clone() value="yes" checked=checked/>
                    <label for=id>{words}</label>
                </span>
            }
        })
        .collect();
    let inside = view! { <div class="ticks" role="group" aria-label=name.clone()>{boxes}</div> };
    // Fifteen faults would hide the row; those that are chosen are counted.
    if column.kind == Kind::Faults {
        let summary = format!("{name}: {}", chosen.len());
        view! {
            <details class="wide-cell">
                <summary>{summary}</summary>
                {inside}
            </details>
        }
        .into_any()
    } else {
        view! { <div class="wide-cell"><span class="ticks-name">{name}</span>{inside}</div> }
            .into_any()
    }
}
