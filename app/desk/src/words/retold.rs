//! What the program says that went wrong, told again in a page's language, with what to do about it
//! on a page.
//!
//! Errors speak English, for the command line, and advise commands. The words `told.…` of the
//! reference language are those very sentences; where one fits, its values are known and every
//! language says the same. `told.…_do` says what to do on a page.

use super::{PHRASE_KEYS, PHRASES, WORD_KEYS, WORDS, Word, text};
use combgate_ui::words::{Language, Part, fill, parts};

const PREFIX: &str = "told.";
const TO_DO: &str = "_do";
/// The language that the program speaks.
const PROGRAM: usize = Language::En as usize;
/// Errors hold errors; no deeper than this.
const DEEPEST: usize = 4;

/// A sentence of the program in a page's language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Retold {
    /// What is wrong.
    pub words: String,
    /// What to do about it.
    pub to_do: Option<&'static str>,
}

/// Tells a sentence of the program again; `None` where no word of the tables fits it.
pub fn retold(language: Language, said: &str) -> Option<Retold> {
    let (key, words) = found(language, said, DEEPEST)?;
    let to_do = WORD_KEYS
        .iter()
        .position(|other| other.strip_suffix(TO_DO) == Some(key))
        .map(|place| WORDS[language as usize].at(place));
    Some(Retold { words, to_do })
}

fn found(language: Language, said: &str, depth: usize) -> Option<(&'static str, String)> {
    let of_errors = |key: &str| key.starts_with(PREFIX) && !key.ends_with(TO_DO);
    let words = WORD_KEYS.iter().zip(WORDS[PROGRAM].each()).enumerate();
    for (place, (key, sentence)) in words {
        if of_errors(key) && *sentence == said {
            return Some((key, WORDS[language as usize].at(place).to_owned()));
        }
    }
    let phrases = PHRASE_KEYS.iter().zip(PHRASES[PROGRAM].each());
    for (place, (key, sentence)) in phrases.enumerate() {
        if !of_errors(key) {
            continue;
        }
        if let Some(values) = values_in(&parts(sentence).collect::<Vec<_>>(), said) {
            let values: Vec<String> = values
                .into_iter()
                .map(|value| value_in(language, value, depth))
                .collect();
            let values: Vec<&str> = values.iter().map(String::as_str).collect();
            return Some((key, fill(PHRASES[language as usize].at(place), &values)));
        }
    }
    None
}

/// The values of a sentence, by their places; `None` where its words do not fit.
fn values_in<'a>(sentence: &[Part], said: &'a str) -> Option<Vec<&'a str>> {
    // What stands before a colon at the beginning is an option; many another sentence has a colon.
    if let [Part::Value(_), Part::Text(words), ..] = sentence
        && words.starts_with(": ")
        && !said.starts_with("--")
    {
        return None;
    }
    let mut values = vec![""; sentence.len()];
    let mut rest = said;
    let mut left = sentence;
    while let [part, next @ ..] = left {
        match part {
            Part::Text(words) => rest = rest.strip_prefix(words)?,
            Part::Value(place) => {
                let value = match next {
                    [] => rest,
                    // The last words stand at the end; a value before them may hold the same words.
                    [Part::Text(words)] => rest.strip_suffix(words)?,
                    [Part::Text(words), ..] => rest.split_once(words)?.0,
                    [Part::Value(_), ..] => return None,
                };
                if value.is_empty() {
                    return None;
                }
                rest = rest.get(value.len()..)?;
                *values.get_mut(*place)? = value;
            }
        }
        left = next;
    }
    rest.is_empty().then_some(values)
}

/// A value as the page says it: the name of a field instead of an option, an error within an error
/// in the page's language, anything else as it is.
fn value_in(language: Language, value: &str, depth: usize) -> String {
    if let Some(field) = field(value) {
        return text(language, field).to_owned();
    }
    if depth == 0 {
        return value.to_owned();
    }
    found(language, value, depth - 1).map_or_else(|| value.to_owned(), |(_, words)| words)
}

/// What a page calls what the command line knows as an option.
fn field(option: &str) -> Option<Word> {
    Some(match option {
        "--gross" => Word::ReceivingGross,
        "--tare" => Word::ReceivingTare,
        "--interval" => Word::ReceivingInterval,
        "--known" => Word::ReceivingKnown,
        "--shown" => Word::ReceivingShown,
        "--seal" | "--broken" => Word::ReceivingSealNumber,
        "--paper" => Word::ReceivingPaper,
        "--again" => Word::ReceivingAgain,
        "--float" => Word::WhatCash,
        "--amount" => Word::CashAmount,
        "--advance" => Word::RegisterAdvance,
        "--reference" => Word::PaymentsReference,
        "--reason" | "--despite" => Word::PaymentsReason,
        "--by" => Word::SignInName,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outcome::Advice;
    use crate::payments::PayError;
    use crate::store::StoreError;
    use combgate_core::clerk::{Another, CloseError};
    use combgate_core::units::{Code, Label};
    use proptest::prelude::*;
    use std::collections::BTreeSet;
    use std::path::{Path, PathBuf};

    fn in_both(said: &str) -> (String, String, bool) {
        let told = |language| retold(language, said).unwrap_or_else(|| panic!("{said}"));
        let (en, sw) = (told(Language::En), told(Language::Sw));
        assert_eq!(en.to_do.is_some(), sw.to_do.is_some());
        (en.words, sw.words, en.to_do.is_some())
    }

    #[test]
    fn errors_speak_the_pages_language_with_their_values() {
        let (en, sw, to_do) = in_both(&PayError::NotApproved(7).to_string());
        assert_eq!(en, "payment list 7 is not approved");
        assert_eq!(sw, "orodha ya malipo 7 haijaidhinishwa");
        assert!(to_do);
        let name = Label::new("neema osale").unwrap();
        let person = Another::than(name.clone(), [(&name, "proposed this list")]).unwrap_err();
        let (en, sw, _) = in_both(&person.to_string());
        assert_eq!(en, person.to_string());
        assert!(sw.starts_with("neema osale ndiye aliyependekeza"), "{sw}");
        let day = "2026-10-09".parse().unwrap();
        let (_, sw, _) = in_both(&CloseError::Already(day).to_string());
        assert!(sw.contains("hadi 2026-10-09"), "{sw}");
        let (_, sw, _) = in_both(&StoreError::DiskFull.to_string());
        assert!(sw.contains("diski imejaa"), "{sw}");
    }

    /// An option is called as its field is, and an error within an error speaks the language too.
    #[test]
    fn values_are_told_again_as_well() {
        let (en, sw, _) = in_both("--gross '18,4' is not a figure");
        assert_eq!(en, "Full pail, kg '18,4' is not a figure");
        assert!(
            sw.contains("Ndoo iliyojaa, kg") && sw.contains("18,4"),
            "{sw}"
        );
        let inner = Code::new("").unwrap_err();
        let (_, sw, _) = in_both(&format!("--seal: {inner}"));
        assert_eq!(sw, "Namba ya lakiri: sehemu ni tupu: andika kitu");
        let (_, sw, _) = in_both("no price list is in force on 2026-10-09");
        assert!(sw.contains("orodha ya bei"), "{sw}");
    }

    #[test]
    fn what_is_not_known_is_left_as_it_is() {
        for said in [
            "",
            "something else",
            "somebody: something",
            "receipt  is questioned: ",
        ] {
            assert_eq!(retold(Language::Sw, said), None, "{said}");
        }
        assert!(!PayError::NothingDue.hint().is_empty());
    }

    /// Commands alone say these: files and folders of whoever runs the desk.
    const OF_COMMANDS: &[&str] = &[
        "address.rs",
        "assess",
        "backup.rs",
        "calc",
        "entry.rs",
        "forget",
        "import/acknowledge.rs",
        "import/command.rs",
        "init.rs",
        "outcome.rs",
        "serve",
        "sync",
        "table.rs",
        "verify.rs",
        "verify",
        "words",
    ];
    /// Of the others these, which no clerk can bring about on a page or mend.
    const NOT_ON_PAGES: &[&str] = &[
        "no key could be made: the system gives no random numbers",
        "no password can be kept: the system gives no random numbers",
        "the password cannot be hashed",
        "no password could be read: {}",
        "handset {} sent a bundle that names key {}, which is not its own",
        "--by: {}",
        "nothing was given",
    ];

    /// Every error that a page can show has its words; what the program says is read out of it.
    #[test]
    fn every_error_of_a_page_is_told_in_every_language() {
        let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let known: BTreeSet<String> = WORD_KEYS
            .iter()
            .zip(WORDS[PROGRAM].each())
            .map(|(key, words)| (*key, (*words).to_owned()))
            .chain(
                PHRASE_KEYS
                    .iter()
                    .zip(PHRASES[PROGRAM].each())
                    .map(|(key, sentence)| (*key, fill(sentence, &["{}"; 32]))),
            )
            .filter(|(key, _)| key.starts_with(PREFIX))
            .map(|(_, words)| words)
            .collect();
        let mut said = 0;
        for file in sources(&src) {
            let of = file.strip_prefix(&src).unwrap();
            if OF_COMMANDS.iter().any(|command| of.starts_with(command)) {
                continue;
            }
            let text = std::fs::read_to_string(&file).unwrap();
            for sentence in errors_of(&text) {
                said += 1;
                // A number that stands in the program is told as what it is.
                let sentence = sentence.replace("{} characters, {} are", "{} characters, 15 are");
                assert!(
                    known.contains(&sentence) || NOT_ON_PAGES.contains(&&*sentence),
                    "{}: no told.… in words/en.toml says: {sentence}",
                    of.display()
                );
            }
        }
        assert!(said > 60, "{said}");
    }

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let mut files = Vec::new();
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                files.extend(sources(&path));
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                files.push(path);
            }
        }
        files
    }

    /// Sentences of `#[error("…")]` with every value as `{}`.
    fn errors_of(text: &str) -> Vec<String> {
        let mut sentences = Vec::new();
        for after in text.split("#[error(").skip(1) {
            let Some(literal) = after.trim_start().strip_prefix('"') else {
                continue;
            };
            let end = literal.find('"').unwrap();
            let mut sentence = String::new();
            let mut rest = &literal[..end];
            while let Some((before, value)) = rest.split_once('{') {
                sentence.push_str(before);
                sentence.push_str("{}");
                rest = value.split_once('}').unwrap().1;
            }
            sentences.push(sentence + rest);
        }
        sentences
    }

    proptest! {
        /// Whatever is said, it is told or not, and nothing breaks.
        #[test]
        fn any_text_is_looked_up(said in "\\PC{0,80}", name in "[a-z]{1,9}( [a-z]{1,9})?") {
            let _ = retold(Language::Sw, &said);
            let told = retold(Language::Sw, &format!("{name} may not reverse")).unwrap();
            prop_assert_eq!(told.words, format!("{name} hawezi kutengua"));
        }
    }
}
