//! What the clerk's pages say, in every language.
//!
//! The sentences are in `words/*.toml` of this crate, apart from those that the phone shares;
//! `build.rs` makes [`Word`] and [`Phrase`] out of them as it does for the shared ones.
//!
//! Filled sentences are plain text. Put them on a page as text, never as HTML.

mod retold;

pub use retold::{Retold, retold};

use combgate_ui::words::{Language, Sentences, fill};

include!(concat!(env!("OUT_DIR"), "/words.rs"));

// A row for each language; a test sees that they stand in the same order.
const _: () = assert!(ROWS.len() == Language::ALL.len());

/// The sentence for `word`.
pub fn text(language: Language, word: Word) -> &'static str {
    WORDS[language as usize].at(word as usize)
}

/// The sentence for `phrase` with its values in place, copied as they are.
pub fn phrase(language: Language, phrase: Phrase<'_>) -> String {
    let (index, values) = phrase.parts();
    fill(PHRASES[language as usize].at(index), &values)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_desk_speaks_the_languages_of_the_phone_in_their_order() {
        assert_eq!(Language::ALL.map(Language::code), ROWS);
    }
}
