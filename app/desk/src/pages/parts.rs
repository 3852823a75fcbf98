//! Pieces that pages share.

use super::form::TOKEN;
use super::names;
use super::visit::Clerk;
use crate::words::{Phrase, Word, phrase, retold, text};
use combgate_core::clerk::FindingWeight;
use combgate_core::units::{Code, Currency, Label};
use combgate_ui::figures;
use combgate_ui::words::Language;
use leptos::prelude::*;

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

/// Rows of a table on one page; the others are on the next, or are looked for.
pub(super) const SHOWN: usize = 200;

/// That only the first rows are shown, where that is so.
pub(super) fn first_of(language: Language, count: usize) -> AnyView {
    if count <= SHOWN {
        return ().into_any();
    }
    let (shown, count) = (SHOWN.to_string(), count.to_string());
    let words = phrase(
        language,
        Phrase::PartFirst {
            shown: &shown,
            count: &count,
        },
    );
    view! { <p class="notice">{words}</p> }.into_any()
}

/// Which rows of a longer table are shown, with the ways to those before and after them. The address
/// is of the page, up to the number of rows that are passed over.
pub(super) fn part(
    language: Language,
    address: &str,
    after: u64,
    shown: usize,
    count: u64,
) -> AnyView {
    let most = u64::try_from(SHOWN).unwrap_or(u64::MAX);
    if count <= most && after == 0 {
        return ().into_any();
    }
    let last = after.saturating_add(u64::try_from(shown).unwrap_or(u64::MAX));
    let (from, to, of) = (
        after.saturating_add(1).min(count).to_string(),
        last.to_string(),
        count.to_string(),
    );
    let words = phrase(
        language,
        Phrase::PartShown {
            first: &from,
            last: &to,
            count: &of,
        },
    );
    let link = |after: u64, word| {
        let href = format!("{address}{after}");
        view! { <li><a href=href>{text(language, word)}</a></li> }
    };
    view! {
        <nav class="around" aria-label=words.clone()>
            <p>{words.clone()}</p>
            <ul>
                {(after > 0).then(|| link(after.saturating_sub(most), Word::PartBefore))}
                {(last < count).then(|| link(last, Word::PartNext))}
            </ul>
        </nav>
    }
    .into_any()
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

    #[test]
    fn a_long_table_says_which_rows_are_shown_and_leads_to_the_others() {
        let shown = |after, shown, count| {
            owned(|| part(Language::En, "/days/2026-10-09?after=", after, shown, count).to_html())
        };
        assert!(!shown(0, 200, 200).contains("<nav"), "all of it is there");
        let first = shown(0, 200, 450);
        assert!(first.contains("1 to 200 of 450"), "{first}");
        assert!(
            first.contains("?after=200") && !first.contains("Before these"),
            "{first}"
        );
        let middle = shown(200, 200, 450);
        assert!(middle.contains("201 to 400 of 450"), "{middle}");
        assert!(
            middle.contains("?after=0") && middle.contains("?after=400"),
            "{middle}"
        );
        let last = shown(400, 50, 450);
        assert!(
            last.contains("401 to 450 of 450") && !last.contains("After these"),
            "{last}"
        );
        let cut = owned(|| first_of(Language::En, 201).to_html());
        assert!(cut.contains("The first 200 of 201 are shown."), "{cut}");
        assert!(!owned(|| first_of(Language::En, 200).to_html()).contains("notice"));
    }
}
