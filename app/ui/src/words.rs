//! Every word on a screen, in every language.
//!
//! The words themselves are in `words/*.toml`; `build.rs` makes [`Language`], [`Word`] and
//! [`Phrase`] out of them. A missing sentence or a placeholder that differs between languages
//! stops the build, and a phrase names the values it needs as fields, so neither can fail while
//! somebody stands at a farm gate.
//!
//! Filled sentences are plain text. Put them on a screen as text, never as HTML.

use std::sync::OnceLock;

include!(concat!(env!("OUT_DIR"), "/words.rs"));

/// The sentences of one language, made by `build.rs`: one text, which takes less room in a program
/// than a place and a length for each of some hundred sentences.
pub struct Sentences {
    text: &'static str,
    each: OnceLock<Box<[&'static str]>>,
}

impl Sentences {
    /// Sentences, one a line.
    pub const fn new(text: &'static str) -> Self {
        Self {
            text,
            each: OnceLock::new(),
        }
    }

    /// All of them, in the order of the table.
    pub fn each(&self) -> &[&'static str] {
        self.each.get_or_init(|| self.text.split('\n').collect())
    }

    /// The sentence at a place of the table.
    pub fn at(&self, place: usize) -> &'static str {
        self.each()[place]
    }
}

/// One piece of a sentence that has values in it.
pub enum Part {
    /// Words as they stand.
    Text(&'static str),
    /// The value at this place of [`Phrase::parts`].
    Value(usize),
}

/// The pieces of a sentence, in which each value is marked by the control character of its number,
/// from 1.
pub fn parts(sentence: &'static str) -> impl Iterator<Item = Part> {
    let mut rest = sentence;
    std::iter::from_fn(move || {
        let sign = usize::from(*rest.as_bytes().first()?);
        if sign < usize::from(b' ') {
            rest = &rest[1..];
            return Some(Part::Value(sign - 1));
        }
        let end = rest.find(|sign| sign < ' ').unwrap_or(rest.len());
        let (words, behind) = rest.split_at(end);
        rest = behind;
        Some(Part::Text(words))
    })
}

/// The sentence for `word`.
pub fn text(language: Language, word: Word) -> &'static str {
    numbered(language, word as u16)
}

/// The sentence whose [`Word`] has this number.
pub fn numbered(language: Language, number: u16) -> &'static str {
    WORDS[language as usize].at(usize::from(number))
}

/// The sentence for `phrase` with its values in place. Values are copied as they are: braces or
/// markup in a member's name stay what they were.
pub fn phrase(language: Language, phrase: Phrase<'_>) -> String {
    let (index, values) = phrase.parts();
    fill(PHRASES[language as usize].at(index), &values)
}

/// A sentence with the values in its places. A table of words made elsewhere fills its sentences
/// with it too.
pub fn fill(sentence: &'static str, values: &[&str]) -> String {
    parts(sentence)
        .map(|part| match part {
            Part::Text(text) => text,
            Part::Value(place) => values[place],
        })
        .collect()
}

impl Language {
    /// The language that this BCP 47 tag asks for; a region is ignored, so that `sw-KE` and
    /// `sw_TZ` are both Swahili. `None` where there is no file for it.
    pub fn from_tag(tag: &str) -> Option<Self> {
        let primary = tag.split(['-', '_']).next()?;
        Self::ALL
            .into_iter()
            .find(|language| language.code().eq_ignore_ascii_case(primary))
    }

    /// The language's name in itself, as a speaker looks for it in a list.
    pub fn own_name(self) -> &'static str {
        text(self, Word::LanguageName)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_region_does_not_hide_a_language() {
        assert_eq!(Language::from_tag("sw-KE"), Some(Language::Sw));
        assert_eq!(Language::from_tag("SW_tz"), Some(Language::Sw));
        assert_eq!(Language::from_tag("en"), Some(Language::En));
        assert_eq!(Language::from_tag("fr-CD"), None);
        assert_eq!(Language::from_tag(""), None);
    }

    #[test]
    fn values_are_never_read_as_placeholders_or_markup() {
        let hostile = "<img src=x onerror=…> {member} {";
        let filled = phrase(Language::En, Phrase::PurchaseFor { member: hostile });
        assert!(filled.contains(hostile), "{filled}");
    }

    #[test]
    fn each_language_differs_from_the_other() {
        assert_ne!(
            text(Language::En, Word::DecisionHold),
            text(Language::Sw, Word::DecisionHold)
        );
        assert_eq!(Language::Sw.own_name(), "Kiswahili");
    }
}
