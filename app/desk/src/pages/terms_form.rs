//! A new policy or price list as a form: begun from one there is, changed row by row, tried, and
//! then taken in.

use super::answer::{Answer, Trouble};
use super::asked::{Path, Query};
use super::form::{Fields, Filled};
use super::parts::told;
use super::terms::{found, try_out};
use super::terms_cells::{Shown, page};
use super::terms_rows::{choices, document_of};
use super::visit::Clerk;
use super::{Pages, Place};
use crate::desk::{self, OpenDesk};
use crate::outcome::Advice;
use crate::store::{Office, Terms, TermsKind};
use crate::terms::kind_of;
use crate::terms::sheet::{BadCell, Column, Part, Reason, Schema, Sheet, currency_of, schema_of};
use crate::terms::trial::TrialError;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::units::Currency;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;
use serde_json::Value;

/// Rows of a part that are read; no document comes near.
const ROWS_AT_MOST: usize = 200;

/// Which document it begins from.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    from: String,
}

/// A kind as an address names it.
pub(super) const fn name(kind: TermsKind) -> &'static str {
    match kind {
        TermsKind::Policy => "policy",
        TermsKind::PriceList => "prices",
    }
}

fn kind_named(name: &str) -> Result<TermsKind, Trouble> {
    match name {
        "policy" => Ok(TermsKind::Policy),
        "prices" => Ok(TermsKind::PriceList),
        _ => Err(Trouble::Nowhere),
    }
}

/// The form, begun from a document or the newest of its kind.
pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path(kind): Path<String>,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Terms, move |desk, clerk| {
            let kind = kind_named(&kind)?;
            let base = match asked.from.as_str() {
                "" => desk.store.newest_terms(kind)?,
                digest => Some(found(&desk.store, digest)?).filter(|terms| terms.kind == kind),
            };
            // Without one of before there is nothing to begin from: the first comes as a file.
            let Some(base) = base else {
                return Ok(Answer::See("/terms".to_owned()));
            };
            let document = document_of(&base);
            let (schema, currency) = (schema_of(kind), currency_of(&document));
            let mut sheet = Sheet::of(&document, schema, currency);
            begin_anew(schema, &mut sheet);
            let shown = Shown {
                schema,
                currency,
                base: &base,
                sheet: &sheet,
                wrong: None,
            };
            Ok(Answer::Sheet(page(clerk, shown)))
        })
        .await
}

/// A new document has a name of its own, begins tomorrow, and has no end yet.
fn begin_anew(schema: &Schema, sheet: &mut Sheet) {
    let tomorrow = desk::now().date_naive().succ_opt();
    for (column, cell) in schema.fields.iter().zip(&mut sheet.fields) {
        match column.key {
            "id" | "until" => cell.clear(),
            "from" => *cell = tomorrow.map_or_else(String::new, |day| day.to_string()),
            _ => {}
        }
    }
}

/// The form of a document that was tried.
pub(super) fn again(desk: &OpenDesk, clerk: &Clerk, text: &str) -> Result<Answer, Trouble> {
    let kind = kind_of(text)?;
    let document: Value = serde_json::from_str(text).map_err(|_| Trouble::OtherForm)?;
    let base = desk.store.newest_terms(kind)?.ok_or(Trouble::OtherForm)?;
    let (schema, currency) = (schema_of(kind), currency_of(&document));
    let sheet = Sheet::of(&document, schema, currency);
    let shown = Shown {
        schema,
        currency,
        base: &base,
        sheet: &sheet,
        wrong: None,
    };
    Ok(Answer::Sheet(page(clerk, shown)))
}

/// Tries what was filled in, or shows the form again with what is wrong.
pub(super) async fn propose(
    State(pages): State<Pages>,
    Path(kind): Path<String>,
    form_sent: Filled,
) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Terms, move |desk, clerk| {
            let kind = kind_named(&kind)?;
            let base = found(&desk.store, fields.get("base"))?;
            let document = document_of(&base);
            let (schema, currency) = (schema_of(kind), currency_of(&document));
            let sheet = filled(schema, &fields);
            let wrong = match proposed(desk, &base, &sheet, schema, currency) {
                Ok(text) => match try_out(desk, clerk, &text) {
                    Ok(page) => return Ok(Answer::Sheet(page)),
                    Err(Trouble::Told { error, hint }) => alert(clerk.language(), &error, &hint),
                    Err(other) => return Err(other),
                },
                Err(wrong) => wrong.told(clerk.language()),
            };
            let shown = Shown {
                schema,
                currency,
                base: &base,
                sheet: &sheet,
                wrong: Some(wrong),
            };
            Ok(Answer::Sheet(page(clerk, shown)))
        })
        .await
}

/// What is wrong with a form.
enum Wrong {
    Cell(BadCell),
    NameUsed(String),
    Document(TrialError),
    Ledger(Trouble),
}

fn proposed(
    desk: &OpenDesk,
    base: &Terms,
    sheet: &Sheet,
    schema: &'static Schema,
    currency: Option<Currency>,
) -> Result<String, Wrong> {
    let document = sheet
        .document(&document_of(base), schema, currency)
        .map_err(Wrong::Cell)?;
    let text = format!("{document:#}");
    kind_of(&text).map_err(Wrong::Document)?;
    let id = document
        .get("id")
        .and_then(Value::as_str)
        .unwrap_or_default();
    let all = desk.store.all_terms(schema.kind);
    let all = all.map_err(|error| Wrong::Ledger(error.into()))?;
    if all.iter().any(|terms| terms.code.as_str() == id) {
        return Err(Wrong::NameUsed(id.to_owned()));
    }
    Ok(text)
}

impl Wrong {
    fn told(self, language: Language) -> AnyView {
        match self {
            Self::Cell(bad) => notice(cell_words(language, &bad)),
            Self::NameUsed(id) => notice(phrase(language, Phrase::TermsNameUsed { id: &id })),
            Self::Document(error) => alert(language, &error.to_string(), &error.hint()),
            Self::Ledger(Trouble::Told { error, hint }) => alert(language, &error, &hint),
            Self::Ledger(_) => notice(text(language, Word::TroubleBrokenWhat).to_owned()),
        }
    }
}

fn notice(words: String) -> AnyView {
    view! { <p class="notice bad" role="alert">{words}</p> }.into_any()
}

fn alert(language: Language, error: &str, hint: &str) -> AnyView {
    view! { <div class="notice bad" role="alert">{told(language, error, hint)}</div> }.into_any()
}

fn cell_words(language: Language, bad: &BadCell) -> String {
    let column = text(language, bad.column.word);
    let reason = match bad.reason {
        Reason::Needed => text(language, Word::TermsNeeded).to_owned(),
        Reason::NotAFigure => text(language, Word::TermsNotAFigure).to_owned(),
        Reason::TooFine(places) => {
            let places = places.to_string();
            phrase(language, Phrase::TermsTooFine { places: &places })
        }
    };
    match bad.part {
        Some(part) => {
            let (part, row) = (text(language, part.title), bad.row.to_string());
            phrase(
                language,
                Phrase::TermsBadCell {
                    part,
                    row: &row,
                    column,
                    reason: &reason,
                },
            )
        }
        None => format!("{column}: {reason}"),
    }
}

/// What was filled in, rows that are to be left out already gone.
fn filled(schema: &'static Schema, fields: &Fields) -> Sheet {
    let one = |name: &str, column: &Column| {
        if column.kind.is_several() {
            let chosen = choices(Language::En, column.kind).into_iter();
            let chosen =
                chosen.filter(|(value, _)| !fields.get(&format!("{name}-{value}")).is_empty());
            let chosen: Vec<String> = chosen.map(|(value, _)| value).collect();
            chosen.join(" ")
        } else {
            fields.get(name).to_owned()
        }
    };
    let rows = |part: &Part| {
        let count = fields
            .get(&format!("{}-rows", part.key))
            .parse()
            .unwrap_or(0);
        let mut rows = Vec::new();
        for row in 0..ROWS_AT_MOST.min(count) {
            let at = format!("{}-{row}", part.key);
            let cells: Vec<String> = part
                .columns
                .iter()
                .map(|column| one(&format!("{at}-{}", column.key), column))
                .collect();
            let left_out = !fields.get(&format!("{at}-out")).is_empty();
            if !left_out && !part.is_empty(&cells) {
                let place = fields
                    .get(&format!("{at}-place"))
                    .parse()
                    .unwrap_or(ROWS_AT_MOST);
                rows.push((place, cells));
            }
        }
        if part.ordered {
            // Stable: rows of one place stay as they stand.
            rows.sort_by_key(|(place, _)| *place);
        }
        rows.into_iter().map(|(_, cells)| cells).collect()
    };
    Sheet {
        fields: schema
            .fields
            .iter()
            .map(|column| one(column.key, column))
            .collect(),
        parts: schema.parts.iter().map(rows).collect(),
    }
}
