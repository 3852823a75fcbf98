//! A policy or a price list as rows of a form, and back: what is typed becomes a document that core
//! reads and checks as any other.
//!
//! [`schema`] says which fields and rows a document has. What the form does not show stays as it
//! was in the document it began with.

mod schema;

pub(crate) use schema::{Column, Kind, POLICY, PRICE_LIST, Part, Schema};

use crate::currency::plain;
use crate::store::TermsKind;
use combgate_core::units::Currency;
use combgate_ui::figures::{Unreadable, decimal, parse};
use serde_json::{Map, Value};

/// Rows left empty below those that there are, to be filled in.
pub(crate) const EMPTY_ROWS: usize = 2;

/// What stands in the form, cell by cell, as it is typed. Where several may be chosen their names
/// stand with blanks between them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sheet {
    pub(crate) fields: Vec<String>,
    /// Rows of each part, in the order of the schema.
    pub(crate) parts: Vec<Vec<Vec<String>>>,
}

/// A cell that cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct BadCell {
    /// Which part; `None` for a field above them.
    pub(crate) part: Option<&'static Part>,
    /// Which of its rows, from 1.
    pub(crate) row: usize,
    pub(crate) column: &'static Column,
    pub(crate) reason: Reason,
}

/// Why it cannot be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reason {
    /// It must be filled in.
    Needed,
    /// It is no figure.
    NotAFigure,
    /// It has more decimals than these.
    TooFine(usize),
}

/// The schema of a kind of document.
pub(crate) const fn schema_of(kind: TermsKind) -> &'static Schema {
    match kind {
        TermsKind::Policy => &POLICY,
        TermsKind::PriceList => &PRICE_LIST,
    }
}

/// Decimals that are typed.
fn places(kind: Kind, currency: Option<Currency>) -> usize {
    match kind {
        Kind::Money => usize::try_from(currency.map_or(0, Currency::decimals)).unwrap_or(0),
        Kind::Percent => 2,
        _ => 0,
    }
}

/// The currency that a document names.
pub(crate) fn currency_of(document: &Value) -> Option<Currency> {
    Currency::new(document.get("currency")?.as_str()?).ok()
}

impl Sheet {
    /// The form of a document.
    pub(crate) fn of(
        document: &Value,
        schema: &'static Schema,
        currency: Option<Currency>,
    ) -> Self {
        let cell =
            |from: &Value, column: &Column| shown(from.get(column.key), column.kind, currency);
        let row = |from: &Value, part: &Part| {
            part.columns
                .iter()
                .map(|column| cell(from, column))
                .collect()
        };
        Self {
            fields: schema
                .fields
                .iter()
                .map(|column| cell(document, column))
                .collect(),
            parts: schema
                .parts
                .iter()
                .map(|part| {
                    let rows = document.get(part.key).and_then(Value::as_array);
                    rows.map_or_else(Vec::new, |rows| {
                        rows.iter().map(|from| row(from, part)).collect()
                    })
                })
                .collect(),
        }
    }

    /// The document that the form says; everything it does not show stays as in `base`.
    pub(crate) fn document(
        &self,
        base: &Value,
        schema: &'static Schema,
        currency: Option<Currency>,
    ) -> Result<Value, BadCell> {
        let mut document = base.as_object().cloned().unwrap_or_default();
        for (column, typed) in schema.fields.iter().zip(&self.fields) {
            let read = read(typed, column, currency);
            put(
                &mut document,
                column,
                read.map_err(|reason| BadCell {
                    part: None,
                    row: 0,
                    column,
                    reason,
                })?,
            );
        }
        for (part, rows) in schema.parts.iter().zip(&self.parts) {
            let mut written = Vec::new();
            for (place, cells) in (1..).zip(rows) {
                if part.is_empty(cells) {
                    continue;
                }
                let mut row = Map::new();
                for (column, typed) in part.columns.iter().zip(cells) {
                    let read = read(typed, column, currency);
                    put(
                        &mut row,
                        column,
                        read.map_err(|reason| BadCell {
                            part: Some(part),
                            row: place,
                            column,
                            reason,
                        })?,
                    );
                }
                written.push(Value::Object(row));
            }
            if !written.is_empty() || document.contains_key(part.key) {
                document.insert(part.key.to_owned(), Value::Array(written));
            }
        }
        Ok(Value::Object(document))
    }
}

impl Part {
    /// Whether nothing was typed into a row; what is chosen from a list is always chosen.
    pub(crate) fn is_empty(&self, cells: &[String]) -> bool {
        let mut typed = self.columns.iter().zip(cells);
        typed.all(|(column, cell)| column.kind.is_chosen() || cell.is_empty())
    }
}

fn shown(value: Option<&Value>, kind: Kind, currency: Option<Currency>) -> String {
    let Some(value) = value else {
        return String::new();
    };
    match (kind, value) {
        (_, Value::Array(several)) => {
            let names: Vec<&str> = several.iter().filter_map(Value::as_str).collect();
            names.join(" ")
        }
        (_, Value::String(text)) => text.clone(),
        (Kind::Money, _) => plain(value.as_i64().unwrap_or_default(), currency),
        (_, _) => decimal(
            value.as_i64().unwrap_or_default(),
            places(kind, currency),
            0,
        ),
    }
}

/// What a cell says; `None` where it says nothing and need not.
fn read(typed: &str, column: &Column, currency: Option<Currency>) -> Result<Option<Value>, Reason> {
    let typed = typed.trim();
    if column.kind.is_several() {
        let names = typed.split_whitespace().map(Value::from).collect();
        return if typed.is_empty() && column.needed {
            Err(Reason::Needed)
        } else {
            Ok(Some(Value::Array(names)))
        };
    }
    if typed.is_empty() {
        return if column.needed {
            Err(Reason::Needed)
        } else {
            Ok(None)
        };
    }
    if !column.kind.is_figure() {
        return Ok(Some(Value::from(typed)));
    }
    let places = places(column.kind, currency);
    match parse(typed, places) {
        Ok(figure) => Ok(Some(Value::from(figure))),
        Err(Unreadable::TooManyDecimals) => Err(Reason::TooFine(places)),
        Err(_) => Err(Reason::NotAFigure),
    }
}

fn put(into: &mut Map<String, Value>, column: &Column, value: Option<Value>) {
    match value {
        Some(value) => into.insert(column.key.to_owned(), value),
        None => into.remove(column.key),
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use combgate_core::record::{PolicyV1, PriceListV1};

    const POLICY_TEXT: &str = include_str!("../../../../../demo-fixtures/cooperative/policy.json");
    const PRICES_TEXT: &str = include_str!("../../../../../demo-fixtures/cooperative/prices.json");

    fn both() -> [(TermsKind, Value); 2] {
        let read = |text| serde_json::from_str(text).unwrap();
        [
            (TermsKind::Policy, read(POLICY_TEXT)),
            (TermsKind::PriceList, read(PRICES_TEXT)),
        ]
    }

    /// Nothing of the cooperative's documents is lost or changed on the way through the form.
    #[test]
    fn an_unchanged_form_is_the_same_document() {
        for (kind, document) in both() {
            let schema = schema_of(kind);
            let currency = currency_of(&document);
            let mut sheet = Sheet::of(&document, schema, currency);
            for (part, rows) in schema.parts.iter().zip(&mut sheet.parts) {
                rows.push(vec![String::new(); part.columns.len()]);
            }
            assert_eq!(sheet.document(&document, schema, currency), Ok(document));
        }
    }

    /// The form shows every field that a document may have, but those said here; so whoever adds
    /// a field thinks of the form.
    #[test]
    fn every_field_stands_in_the_form() {
        let out = ["format", "measuring", "currency"];
        for (kind, document) in both() {
            let schema = schema_of(kind);
            for key in document.as_object().unwrap().keys() {
                let known = out.contains(&key.as_str())
                    || schema.fields.iter().any(|column| column.key == key)
                    || schema.parts.iter().any(|part| part.key == key);
                assert!(known, "{key}");
            }
        }
    }

    #[test]
    fn a_changed_price_is_the_only_change() {
        let document: Value = serde_json::from_str(PRICES_TEXT).unwrap();
        let currency = currency_of(&document);
        let mut sheet = Sheet::of(&document, &PRICE_LIST, currency);
        let price = PRICE_LIST.parts[0]
            .columns
            .iter()
            .position(|each| each.key == "per_kg_minor");
        let cell = &mut sheet.parts[0][0][price.unwrap()];
        assert_eq!(cell, "420.00");
        *cell = "430.50".to_owned();
        let changed = sheet.document(&document, &PRICE_LIST, currency).unwrap();
        assert_eq!(changed["prices"][0]["per_kg_minor"], 43_050);
        assert_eq!(changed["prices"][1], document["prices"][1]);
        assert!(PriceListV1::read(&changed.to_string()).is_ok());
        for (typed, reason) in [
            ("", Reason::Needed),
            ("dear", Reason::NotAFigure),
            ("1,000", Reason::NotAFigure),
            ("430.505", Reason::TooFine(2)),
        ] {
            sheet.parts[0][0][price.unwrap()] = typed.to_owned();
            let bad = sheet
                .document(&document, &PRICE_LIST, currency)
                .unwrap_err();
            assert_eq!((bad.row, bad.reason), (1, reason), "{typed}");
        }
    }

    #[test]
    fn a_limit_that_is_taken_away_is_gone() {
        let document: Value = serde_json::from_str(POLICY_TEXT).unwrap();
        let mut sheet = Sheet::of(&document, &POLICY, None);
        let columns = POLICY.parts[0].columns;
        let limit = columns
            .iter()
            .position(|each| each.key == "capped_at_least_hundredths");
        sheet.parts[0][0][limit.unwrap()].clear();
        let changed = sheet.document(&document, &POLICY, None).unwrap();
        assert_eq!(
            changed["products"][0].get("capped_at_least_hundredths"),
            None
        );
        assert!(PolicyV1::read(&changed.to_string()).is_ok());
    }
}
