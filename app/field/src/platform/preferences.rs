//! What the officer likes and asked for, as far as losing it would not matter.

use super::{drafts, window};
use combgate_ui::words::Language;

const LANGUAGE: &str = "combgate-language";
const SENDING: &str = "combgate-sending";
/// storage.js looks for it under the same name.
const SNAPSHOT: &str = "combgate-snapshot";

/// The language chosen on this phone, else the first of the browser's that there is a file for,
/// else English.
pub fn language() -> Language {
    let chosen = drafts::available()
        .ok()
        .and_then(|storage| storage.get_item(LANGUAGE).ok().flatten())
        .and_then(|tag| Language::from_tag(&tag));
    chosen.or_else(asked_for).unwrap_or(Language::En)
}

/// Remembers the language. Where nothing can be stored it holds until the page is closed.
pub fn remember_language(language: Language) {
    if let Ok(storage) = drafts::available() {
        let _ = storage.set_item(LANGUAGE, language.code());
    }
}

/// Whether sending to the desk was asked for and has not come to its end.
pub fn is_sending() -> bool {
    drafts::available()
        .ok()
        .and_then(|storage| storage.get_item(SENDING).ok().flatten())
        .is_some()
}

/// Remembers that sending was asked for, or that it came to its end.
pub fn remember_sending(asked: bool) {
    if let Ok(storage) = drafts::available() {
        let _ = if asked {
            storage.set_item(SENDING, "asked")
        } else {
            storage.remove_item(SENDING)
        };
    }
}

/// Remembers the place of the entry that the snapshot was taken after: the next start asks for what
/// follows it before it has read the snapshot.
pub fn remember_snapshot(seq: u32) {
    if let Ok(storage) = drafts::available()
        && storage.set_item(SNAPSHOT, &seq.to_string()).is_err()
    {
        // An old place would have ever more entries read.
        let _ = storage.remove_item(SNAPSHOT);
    }
}

fn asked_for() -> Option<Language> {
    let tags = window().ok()?.navigator().languages();
    tags.iter()
        .filter_map(|tag| tag.as_string())
        .find_map(|tag| Language::from_tag(&tag))
}
