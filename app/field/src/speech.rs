//! Words in the language that is chosen, following a change of it at once.

use crate::platform::{page, preferences};
use combgate_ui::words::{self, Language, Phrase, Word};
use combgate_view::{RwSignal, Spoken, effect, speak_anew};
use leptos::prelude::{provide_context, use_context};
use std::cell::Cell;

thread_local! {
    /// The language of the words on the page: English where no shell is around, as in a test of one
    /// view.
    static SPOKEN: Cell<Language> = const { Cell::new(Language::En) };
}

/// The chosen language; shared by all screens.
#[derive(Clone, Copy)]
struct Chosen(RwSignal<Language>);

/// Makes the language known to all views below. Call once, in the shell.
pub fn provide() {
    let chosen = preferences::language();
    SPOKEN.set(chosen);
    let language = RwSignal::new(chosen);
    provide_context(Chosen(language));
    effect(move |_| page::set_language(language.get().code()));
}

/// The chosen language.
pub fn language() -> Language {
    use_context::<Chosen>().map_or_else(|| SPOKEN.get(), |chosen| chosen.0.get())
}

/// Chooses a language for this phone.
pub fn choose(language: Language) {
    preferences::remember_language(language);
    SPOKEN.set(language);
    speak_anew();
    if let Some(chosen) = use_context::<Chosen>() {
        chosen.0.set(language);
    }
}

/// A sentence to put into a view: `<h1>{say(Word::TodayTitle)}</h1>`.
pub const fn say(word: Word) -> Spoken {
    Spoken {
        words: |number| words::numbered(SPOKEN.get(), number),
        number: word as u16,
    }
}

/// A sentence in the language chosen now, which is followed.
pub fn spoken(word: Word) -> &'static str {
    words::text(language(), word)
}

/// A sentence with values, as text in the language chosen now.
pub fn fill(phrase: Phrase<'_>) -> String {
    words::phrase(language(), phrase)
}
