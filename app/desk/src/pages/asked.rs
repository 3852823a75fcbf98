//! What stands in an address or a field: read as what belongs there, or refused by a page in the
//! clerk's language that names the field and leads back. Nothing is answered by the framework's own
//! line, and nothing typed wrongly is taken for something else.

use super::answer::Trouble;
use super::form::{Fields, Uploaded};
use super::visit::{Clerk, Visit};
use super::{PLACES, Pages};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::Method;
use axum::http::request::Parts;
use axum::response::Response;
use chrono::{Datelike, NaiveDate};
use clap::ValueEnum;
use combgate_ui::words::Language;
use serde::de::DeserializeOwned;

/// Most of what was typed that is shown again.
const TYPED_AT_MOST: usize = 60;

/// What belongs into a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wants {
    Day,
    Moment,
    Number,
    Once,
    Choice,
    File,
    Folder,
}

impl Wants {
    const fn word(self) -> Word {
        match self {
            Self::Day => Word::TroubleFieldDay,
            Self::Moment => Word::TroubleFieldMoment,
            Self::Number => Word::TroubleFieldNumber,
            Self::Once => Word::TroubleFieldOnce,
            Self::Choice => Word::TroubleFieldChoice,
            Self::File => Word::TroubleFieldFile,
            Self::Folder => Word::TroubleFieldFolder,
        }
    }
}

/// A field that holds something else than what belongs there.
#[derive(Debug)]
pub(super) struct BadField {
    field: Name,
    typed: String,
    wants: Wants,
}

#[derive(Debug)]
enum Name {
    /// As the page calls it.
    Label(Word),
    /// As the address calls it, where no page has a word for it.
    InAddress(String),
}

impl BadField {
    /// What is wrong, and what to write instead.
    pub(super) fn told(&self, language: Language) -> (String, &'static str) {
        let field = match &self.field {
            Name::Label(word) => text(language, *word),
            Name::InAddress(name) => name,
        };
        let typed = self.typed.as_str();
        let wrong = if typed.is_empty() {
            phrase(language, Phrase::TroubleFieldEmpty { field })
        } else {
            phrase(language, Phrase::TroubleField { field, typed })
        };
        (wrong, text(language, self.wants.word()))
    }
}

/// Refuses what stands in a field of this label.
pub(super) fn bad(label: Word, typed: &str, wants: Wants) -> Trouble {
    refused(Name::Label(label), typed, wants)
}

fn refused(field: Name, typed: &str, wants: Wants) -> Trouble {
    Trouble::Field(BadField {
        field,
        typed: typed.chars().take(TYPED_AT_MOST).collect(),
        wants,
    })
}

/// A day.
pub(super) fn day(label: Word, typed: &str) -> Result<NaiveDate, Trouble> {
    let day = typed.trim().parse::<NaiveDate>().ok();
    // Days are kept and compared as ten characters.
    day.filter(|day| (1000..=9999).contains(&day.year()))
        .ok_or_else(|| bad(label, typed, Wants::Day))
}

/// A day, or none where nothing is written.
pub(super) fn day_if_any(label: Word, typed: &str) -> Result<Option<NaiveDate>, Trouble> {
    let typed = Some(typed).filter(|typed| !typed.trim().is_empty());
    typed.map(|typed| day(label, typed)).transpose()
}

/// One of those that a field offers.
pub(super) fn choice<T: ValueEnum>(label: Word, fields: &Fields, name: &str) -> Result<T, Trouble> {
    let typed = fields.get(name);
    T::from_str(typed, false).map_err(|_| bad(label, typed, Wants::Choice))
}

/// The text of the file that was chosen.
pub(super) fn text_of(label: Word, file: Option<Uploaded>) -> Result<String, Trouble> {
    let file = file.ok_or_else(|| bad(label, "", Wants::File))?;
    if file.too_large {
        return Err(Trouble::TooLarge);
    }
    String::from_utf8(file.bytes).map_err(|_| bad(label, &file.name, Wants::File))
}

/// The page that a refused address or form leads back to: the same without what was asked for, or,
/// for a form, the place that it is of.
pub(super) fn way_back(method: &Method, path: &str) -> String {
    if method == Method::GET {
        // A file is of the page above it.
        return path.strip_suffix("/file").unwrap_or(path).to_owned();
    }
    let places = PLACES.iter().map(|(_, href, _)| *href);
    let of = places.filter(|href| path.starts_with(href));
    of.max_by_key(|href| href.len()).unwrap_or("/").to_owned()
}

/// What an address asks for after its question mark.
#[derive(Debug)]
pub(super) struct Query<T>(pub(super) T);

/// The parts of an address that name something.
#[derive(Debug)]
pub(super) struct Path<T>(pub(super) T);

/// The page for whoever asks, in the frame of the desk where they are signed in.
async fn page(trouble: Trouble, parts: &mut Parts, pages: &Pages) -> Response {
    let Ok(visit) = Visit::from_request_parts(parts, pages).await;
    match <Clerk as OptionalFromRequestParts<Pages>>::from_request_parts(parts, pages).await {
        Ok(clerk) => trouble.answer(&visit, clerk.as_ref()),
        Err(answer) => answer,
    }
}

impl<T: DeserializeOwned + Send> FromRequestParts<Pages> for Query<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, pages: &Pages) -> Result<Self, Response> {
        let query = parts.uri.query().unwrap_or_default();
        match axum::extract::Query::<T>::try_from_uri(&parts.uri) {
            Ok(axum::extract::Query(asked)) => Ok(Self(asked)),
            Err(_) => Err(page(which::<T>(query), parts, pages).await),
        }
    }
}

impl<T: DeserializeOwned + Send> FromRequestParts<Pages> for Path<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, pages: &Pages) -> Result<Self, Response> {
        let named =
            <axum::extract::Path<T> as FromRequestParts<Pages>>::from_request_parts(parts, pages);
        match named.await {
            Ok(axum::extract::Path(named)) => Ok(Self(named)),
            // What cannot be a name names nothing.
            Err(_) => Err(page(Trouble::Nowhere, parts, pages).await),
        }
    }
}

/// The field for which a query is refused: one that alone would be refused too, or one that stands
/// there twice.
fn which<T: DeserializeOwned>(query: &str) -> Trouble {
    let fields: Vec<_> = form_urlencoded::parse(query.as_bytes()).collect();
    let alone = |(name, typed): &&(std::borrow::Cow<'_, str>, std::borrow::Cow<'_, str>)| {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair(name, typed);
        let uri = format!("/?{}", query.finish()).parse();
        uri.is_ok_and(|uri| axum::extract::Query::<T>::try_from_uri(&uri).is_err())
    };
    let twice = |(at, (name, _)): &(usize, &(std::borrow::Cow<'_, str>, _))| {
        fields.iter().take(*at).any(|(before, _)| before == name)
    };
    let named =
        |name: &str| label(name).map_or_else(|| Name::InAddress(name.to_owned()), Name::Label);
    if let Some((name, typed)) = fields.iter().find(alone) {
        refused(named(name), typed, Wants::Number)
    } else if let Some((_, (name, typed))) = fields.iter().enumerate().find(twice) {
        refused(named(name), typed, Wants::Once)
    } else {
        Trouble::Nowhere
    }
}

/// What pages call the fields that addresses hold.
fn label(name: &str) -> Option<Word> {
    let word = match name {
        "day" => Word::ColumnDay,
        "from" => Word::TermsFrom,
        "to" => Word::TermsUntil,
        "number" => Word::LookUpNumber,
        "search" => Word::RegisterSearch,
        "handset" => Word::ColumnHandset,
        "weight" => Word::FindingsWeight,
        "settled" => Word::FindingsSettledToo,
        _ => return None,
    };
    Some(word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_a_day_of_four_figures_for_its_year() {
        let typed = |typed| day(Word::ColumnDay, typed).ok().map(|day| day.to_string());
        assert_eq!(typed(" 2026-10-09 "), Some("2026-10-09".to_owned()));
        for wrong in ["2026-02-30", "9.10.2026", "+12026-10-09", "-2026-10-09", ""] {
            assert_eq!(typed(wrong), None, "{wrong}");
        }
        assert!(day_if_any(Word::ColumnDay, " ").is_ok_and(|day| day.is_none()));
        assert!(day_if_any(Word::ColumnDay, "never").is_err());
    }

    #[test]
    fn a_form_leads_back_to_its_place_and_a_file_to_its_page() {
        let back = |method, path| way_back(&method, path);
        assert_eq!(back(Method::POST, "/reconcile/cash"), "/reconcile");
        assert_eq!(back(Method::POST, "/address"), "/");
        assert_eq!(back(Method::GET, "/export/file"), "/export");
        assert_eq!(back(Method::GET, "/members/M001"), "/members/M001");
    }
}
