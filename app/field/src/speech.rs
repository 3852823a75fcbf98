//! Words in the language that is chosen, following a change of it at once.

use crate::platform::{page, preferences};
use combgate_ui::words::{self, Language, Phrase, Word};
use leptos::prelude::*;

/// The chosen language; shared by all screens.
#[derive(Clone, Copy)]
struct Chosen(RwSignal<Language>);

/// Makes the language known to all views below. Call once, in the shell.
pub fn provide() {
    let language = RwSignal::new(preferences::language());
    provide_context(Chosen(language));
    Effect::new(move |_| page::set_language(language.get().code()));
}

/// The chosen language.
pub fn language() -> Language {
    // English where no shell is around, as in a test of one view.
    use_context::<Chosen>().map_or(Language::En, |chosen| chosen.0.get())
}

/// Chooses a language for this phone.
pub fn choose(language: Language) {
    preferences::remember_language(language);
    if let Some(chosen) = use_context::<Chosen>() {
        chosen.0.set(language);
    }
}

/// A sentence to put into a view: `<h1>{say(Word::TodayTitle)}</h1>`.
pub fn say(word: Word) -> impl Fn() -> &'static str + Copy + Send + Sync + 'static {
    let chosen = use_context::<Chosen>();
    move || words::text(chosen.map_or(Language::En, |chosen| chosen.0.get()), word)
}

/// A sentence with values, as text in the language chosen now.
pub fn fill(phrase: Phrase<'_>) -> String {
    words::phrase(language(), phrase)
}
