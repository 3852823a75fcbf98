//! Pieces that pages share.

use super::form::TOKEN;
use super::names;
use super::visit::Clerk;
use crate::words::{Phrase, Word, phrase, retold, text};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::FindingWeight;
use combgate_core::units::{Code, Currency, Label};
use combgate_ui::figures;
use combgate_ui::words::Language;
use leptos::prelude::*;
use std::ops::Range;

/// What binds a form to its session; the first field of every form.
pub(super) fn token(clerk: &Clerk) -> AnyView {
    let token = clerk.token.clone();
    view! { <input type="hidden" name=TOKEN value=token/> }.into_any()
}

/// What went wrong and what to do about it, in the page's language where it is known there; else as
/// the program says it, which is in English.
pub(super) fn told(language: Language, error: &str, hint: &str) -> AnyView {
    let retold = retold(language, error);
    let of_program = retold.is_none().then_some("en");
    let to_do = retold.as_ref().and_then(|retold| retold.to_do);
    let advice_of_program = to_do.is_none().then_some("en");
    let advice = to_do.unwrap_or(hint).to_owned();
    let words = retold.map_or_else(|| error.to_owned(), |retold| retold.words);
    view! {
        <p lang=of_program>{words}</p>
        <p lang=advice_of_program><strong>{advice}</strong></p>
    }
    .into_any()
}

/// Why something is done, in the clerk's own words: a field that must be filled.
pub(super) fn reason(language: Language, id: &'static str, asked: Word) -> AnyView {
    view! {
        <p class="field">
            <label for=id>{text(language, asked)}</label>
            <input id=id name="reason" required maxlength=Label::MAX.to_string()/>
        </p>
    }
    .into_any()
}

/// A day in a column of a table: never parted at its hyphens.
pub(super) fn day(day: NaiveDate) -> AnyView {
    view! { <span class="day">{day.to_string()}</span> }.into_any()
}

/// A day and a minute there, as the clock there and then showed them.
pub(super) fn minute(at: DateTime<FixedOffset>) -> AnyView {
    let time = figures::time(&at.to_rfc3339()).map(str::to_owned);
    view! { {day(at.date_naive())} " " {time} }.into_any()
}

/// A weight: a cell of a comb, full, half or empty, and a word. Never a colour alone.
pub(super) fn weight(language: Language, weight: FindingWeight) -> AnyView {
    let (class, inside) = match weight {
        FindingWeight::Serious => ("weight serious", "M12 2l8.7 5v10L12 22l-8.7-5V7z"),
        FindingWeight::Question => ("weight question", "M3.3 12h17.4v5L12 22l-8.7-5z"),
        FindingWeight::Note => ("weight note", ""),
    };
    let word = text(language, names::weight(weight));
    view! {
        <span class=class>
            <svg viewBox="0 0 24 24" width="20" height="20" aria-hidden="true">
                <path class="inside" d=inside></path>
                <path class="outline" d="M12 2l8.7 5v10L12 22l-8.7-5V7z"></path>
            </svg>
            {word}
        </span>
    }
    .into_any()
}

/// The heading of a column.
pub(super) struct Column {
    name: String,
    of_numbers: bool,
}

impl Column {
    /// Of words.
    pub(super) fn text(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            of_numbers: false,
        }
    }

    /// Of numbers, which stand to the right.
    pub(super) fn number(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            of_numbers: true,
        }
    }
}

/// What a table is called for who cannot see it.
#[derive(Clone, Copy)]
pub(super) enum Named {
    /// By the element of this name.
    By(&'static str),
    /// By these words.
    As(&'static str),
}

/// A table, which moves sideways by itself where it is wider than the window.
pub(super) fn table(
    named: Named,
    columns: impl IntoIterator<Item = Column>,
    rows: AnyView,
) -> AnyView {
    let (by, words) = match named {
        Named::By(id) => (Some(id), None),
        Named::As(words) => (None, Some(words)),
    };
    let columns: Vec<_> = columns
        .into_iter()
        .map(|Column { name, of_numbers }| {
            view! { <th scope="col" class=of_numbers.then_some("number")>{name}</th> }
        })
        .collect();
    view! {
        <div class="wide" tabindex="0" role="region" aria-labelledby=by aria-label=words>
            <table>
                <thead>
                    <tr>{columns}</tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
    .into_any()
}

/// Rows of a table on one page; the others are on the next.
pub(super) const SHOWN: usize = 200;

/// Which rows of a table of any length are on one page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Part {
    after: usize,
    count: usize,
}

impl Part {
    /// The part that an address asks for by the number of rows before it. An address may be old or
    /// typed: what is no number asks for the first part, what lies behind the last row for the last.
    pub(super) fn asked(typed: &str, count: usize) -> Self {
        let after = typed.trim().parse().unwrap_or(0_usize);
        let after = after.min(count.saturating_sub(1));
        Self {
            after: after - after % SHOWN,
            count,
        }
    }

    /// How many rows are before it.
    pub(super) const fn after(self) -> usize {
        self.after
    }

    /// The places of its rows, from 0.
    pub(super) fn range(self) -> Range<usize> {
        self.after..self.after.saturating_add(SHOWN).min(self.count)
    }

    /// Its rows of all.
    pub(super) fn of<T>(self, all: &[T]) -> &[T] {
        all.get(self.range()).unwrap_or_default()
    }

    /// Which rows are shown, in words, where not all are.
    fn words(self, language: Language) -> Option<String> {
        let Range { start, end } = self.range();
        let words = || {
            phrase(
                language,
                Phrase::PartShown {
                    first: &start.saturating_add(1).to_string(),
                    last: &end.to_string(),
                    count: &self.count.to_string(),
                },
            )
        };
        (self.count > SHOWN).then(words)
    }

    /// Which rows are shown, where not all are: for the head of a table that is not counted there.
    pub(super) fn shown(self, language: Language) -> AnyView {
        let words = self.words(language);
        words
            .map(|words| view! { <p class="quiet">{words}</p> })
            .into_any()
    }

    /// Which rows are shown, with the ways to those before and after them and to the first and the
    /// last, where not all are. The address is that of the part after so many rows.
    pub(super) fn ways(self, language: Language, address: impl Fn(usize) -> String) -> AnyView {
        let Some(words) = self.words(language) else {
            return ().into_any();
        };
        let Range { start, end } = self.range();
        let link = |after: usize, word| {
            view! { <li><a href=address(after)>{text(language, word)}</a></li> }
        };
        // Where the last part begins.
        let last = self.count.saturating_sub(1) / SHOWN * SHOWN;
        view! {
            <nav class="around" aria-label=words.clone()>
                <p>{words.clone()}</p>
                <ul>
                    {(start > SHOWN).then(|| link(0, Word::PartFirst))}
                    {(start > 0).then(|| link(start.saturating_sub(SHOWN), Word::PartBefore))}
                    {(end < self.count).then(|| link(end, Word::PartNext))}
                    {(end < last).then(|| link(last, Word::PartLast))}
                </ul>
            </nav>
        }
        .into_any()
    }
}

/// An address with what is asked for there; what is empty is left out.
pub(super) fn address(path: &str, asked: &[(&str, &str)]) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    for (name, value) in asked {
        if !value.is_empty() {
            query.append_pair(name, value);
        }
    }
    match query.finish() {
        query if query.is_empty() => path.to_owned(),
        query => format!("{path}?{query}"),
    }
}

/// Address of a member's page; a number may hold a slash.
pub(super) fn member_path(number: &Code) -> String {
    format!("/members/{}", number.as_str().replace('/', "%2F"))
}

/// Money with its currency before it.
pub(super) fn money(minor: i64, currency: Option<Currency>) -> String {
    match currency {
        Some(currency) => combgate_ui::sentences::money(minor, currency),
        None => figures::money(minor, 0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::shell::owned;

    fn ways(typed: &str, count: usize) -> String {
        let part = Part::asked(typed, count);
        owned(|| {
            let way = |after| format!("/days/2026-10-09?after={after}");
            part.ways(Language::En, way).to_html()
        })
    }

    #[test]
    fn a_long_table_says_which_rows_are_shown_and_leads_to_the_others() {
        assert!(!ways("0", 200).contains("<nav"), "all of it is there");
        let first = ways("", 450);
        assert!(first.contains("1 to 200 of 450"), "{first}");
        assert!(
            first.contains("?after=200") && !first.contains("Before these"),
            "{first}"
        );
        let middle = ways("200", 450);
        assert!(middle.contains("201 to 400 of 450"), "{middle}");
        assert!(
            middle.contains("?after=0") && middle.contains("?after=400"),
            "{middle}"
        );
        let last = ways("400", 450);
        assert!(
            last.contains("401 to 450 of 450") && !last.contains("After these"),
            "{last}"
        );
    }

    #[test]
    fn whatever_is_asked_for_is_a_part_that_there_is() {
        let after = |typed, count| Part::asked(typed, count).after();
        for garbage in ["", "abc", "-1", "1.5", "0x10", "99999999999999999999999"] {
            assert_eq!(after(garbage, 450), 0, "{garbage}");
        }
        assert_eq!(after("399", 450), 200);
        for behind in ["450", "451", "100000", "18446744073709551615"] {
            assert_eq!(after(behind, 450), 400, "{behind}");
        }
        assert_eq!(after("400", 400), 200, "a full last part");
        assert_eq!(after("7", 0), 0);
        assert!(Part::asked("7", 0).of::<u8>(&[]).is_empty());
    }

    #[test]
    fn an_address_keeps_what_was_asked_for() {
        let asked = [("search", "a&b=c <d>"), ("handset", ""), ("after", "200")];
        assert_eq!(
            address("/register", &asked),
            "/register?search=a%26b%3Dc+%3Cd%3E&after=200"
        );
        assert_eq!(address("/register", &[]), "/register");
    }
}
