//! A policy or a price list as rows to read: every limit and price with its source.

use super::parts::{Column as Heading, Named, table};
use crate::store::Terms;
use crate::terms::sheet::{Column, Kind, Sheet, currency_of, schema_of};
use crate::words::{Phrase, Word, phrase, text};
use combgate_core::intake::{Bee, Fault, FaultWeight, Form};
use combgate_core::units::Currency;
use combgate_ui::sentences;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Serialize;
use serde_json::Value;

/// A document as it stands in the ledger; it was checked when it was taken in.
pub(super) fn document_of(terms: &Terms) -> Value {
    serde_json::from_str(&terms.document).unwrap_or_default()
}

/// All rows, to read.
pub(super) fn readable(language: Language, terms: &Terms) -> AnyView {
    let document = document_of(terms);
    let (schema, currency) = (schema_of(terms.kind), currency_of(&document));
    let sheet = Sheet::of(&document, schema, currency);
    let fields: Vec<_> = schema
        .fields
        .iter()
        .zip(&sheet.fields)
        // Name and days stand above.
        .filter(|(column, _)| column.kind != Kind::Day && column.key != "id")
        .map(|(column, cell)| {
            view! {
                <div>
                    <dt>{heading(language, column, currency)}</dt>
                    <dd>{words(language, column.kind, cell)}</dd>
                </div>
            }
        })
        .collect();
    let parts: Vec<_> = schema
        .parts
        .iter()
        .zip(&sheet.parts)
        .filter(|(_, rows)| !rows.is_empty())
        .map(|(part, rows)| {
            let headings = part.columns.iter().map(|column| {
                let name = heading(language, column, currency);
                if column.kind.is_figure() {
                    Heading::number(name)
                } else {
                    Heading::text(name)
                }
            });
            let rows: Vec<_> = rows
                .iter()
                .map(|cells| {
                    let cells: Vec<_> = part
                        .columns
                        .iter()
                        .zip(cells)
                        .map(|(column, cell)| {
                            let class = match column.key {
                                "source" => "words",
                                _ if column.kind.is_figure() => "number",
                                _ => "",
                            };
                            view! { <td class=class>{words(language, column.kind, cell)}</td> }
                        })
                        .collect();
                    view! { <tr>{cells}</tr> }
                })
                .collect();
            view! {
                <section>
                    <h2 id=part.key>{text(language, part.title)}</h2>
                    {part.what.map(|what| view! { <p>{text(language, what)}</p> })}
                    {table(Named::By(part.key), headings, rows.into_any())}
                </section>
            }
        })
        .collect();
    view! {
        <dl class="facts">{fields}</dl>
        {parts}
    }
    .into_any()
}

/// What a column is called, with its unit.
pub(super) fn heading(language: Language, column: &Column, currency: Option<Currency>) -> String {
    let name = text(language, column.word);
    match column.kind {
        Kind::Money => {
            let currency = currency.map_or("", Currency::code);
            phrase(
                language,
                Phrase::TermsInUnit {
                    name,
                    unit: currency,
                },
            )
        }
        Kind::Percent => phrase(language, Phrase::TermsInUnit { name, unit: "%" }),
        Kind::Grams => phrase(language, Phrase::TermsInUnit { name, unit: "g" }),
        _ => name.to_owned(),
    }
}

/// A cell in words.
fn words(language: Language, kind: Kind, cell: &str) -> String {
    if !kind.is_chosen() {
        return if cell.is_empty() {
            "–".to_owned()
        } else {
            cell.to_owned()
        };
    }
    let all = choices(language, kind);
    let chosen: Vec<&str> = cell
        .split_whitespace()
        .map(|name| {
            let found = all.iter().find(|(value, _)| value == name);
            found.map_or(name, |(_, words)| words)
        })
        .collect();
    if chosen.is_empty() {
        "–".to_owned()
    } else {
        chosen.join(", ")
    }
}

/// What can be chosen, each as it stands in a document and in words.
pub(super) fn choices(language: Language, kind: Kind) -> Vec<(String, &'static str)> {
    fn all<T: Copy + Serialize>(
        each: &[T],
        words: impl Fn(T) -> &'static str,
    ) -> Vec<(String, &'static str)> {
        let named = each.iter().filter_map(|value| {
            let name = serde_json::to_value(value).ok()?;
            Some((name.as_str()?.to_owned(), words(*value)))
        });
        named.collect()
    }
    let shared = |word| combgate_ui::words::text(language, word);
    match kind {
        Kind::Bee => all(&Bee::ALL, |bee| shared(sentences::bee(bee))),
        Kind::Forms => all(&Form::ALL, |form| shared(sentences::form(form))),
        Kind::Fault | Kind::Faults => all(&Fault::ALL, |fault| shared(sentences::question(fault))),
        Kind::Weight => all(
            &[FaultWeight::Hard, FaultWeight::Soft, FaultWeight::Noted],
            |weight| {
                text(
                    language,
                    match weight {
                        FaultWeight::Hard => Word::TermsHard,
                        FaultWeight::Soft => Word::TermsSoft,
                        FaultWeight::Noted => Word::TermsNoted,
                    },
                )
            },
        ),
        _ => Vec::new(),
    }
}
