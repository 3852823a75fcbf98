//! Language files in, Rust table out.
//!
//! One file a language, named by its BCP 47 code (`en.toml`), holding flat dotted keys and plain
//! sentences in which `{name}` stands for a value filled in later. The reference language says
//! which keys there are; every other file must hold the same keys with the same placeholders, or
//! the build stops and names the file, the key and the remedy. So a screen can never meet a
//! missing word, and adding a language is adding a file.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The language whose file decides which keys exist.
pub(crate) const REFERENCE: &str = "en";

/// One piece of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Piece {
    /// Words, shown as they stand.
    Text(String),
    /// The name of a value to fill in.
    Value(String),
}

/// The sentences of one language, by dotted key.
pub(crate) type Sentences = BTreeMap<String, Vec<Piece>>;

/// Reads one language file.
///
/// # Errors
/// A sentence for whoever edits the file: broken TOML, a value that is no text, an empty
/// sentence, a key outside `[a-z0-9_.]`, a stray or misspelt placeholder.
pub(crate) fn read(language: &str, source: &str) -> Result<Sentences, String> {
    let table: toml::Table = toml::from_str(source)
        .map_err(|error| format!("words/{language}.toml is not valid TOML: {error}"))?;
    let mut sentences = Sentences::new();
    flatten(language, "", &table, &mut sentences)?;
    Ok(sentences)
}

/// TOML turns `a.b = …` into tables within tables; this turns them back into dotted keys.
fn flatten(
    language: &str,
    prefix: &str,
    table: &toml::Table,
    sentences: &mut Sentences,
) -> Result<(), String> {
    for (name, value) in table {
        let key = if prefix.is_empty() {
            name.clone()
        } else {
            format!("{prefix}.{name}")
        };
        let place = format!("words/{language}.toml, key {key}");
        if !is_name(name) {
            return Err(format!(
                "{place}: use only a-z, 0-9 and _, and begin with a letter"
            ));
        }
        match value {
            toml::Value::Table(inner) => flatten(language, &key, inner, sentences)?,
            toml::Value::String(text) if text.trim().is_empty() => {
                return Err(format!(
                    "{place}: the sentence is empty; write it or delete the key"
                ));
            }
            toml::Value::String(text) if text.contains(char::is_control) => {
                return Err(format!(
                    "{place}: the sentence holds a control character, such as a new line; write it \
                     as one line"
                ));
            }
            toml::Value::String(text) => {
                let pieces = split(text).map_err(|problem| format!("{place}: {problem}"))?;
                sentences.insert(key, pieces);
            }
            _ => return Err(format!("{place}: put the sentence in quotation marks")),
        }
    }
    Ok(())
}

/// Cuts a sentence at its placeholders.
///
/// # Errors
/// A brace that opens or closes nothing, or a placeholder that is no plain name.
pub(crate) fn split(text: &str) -> Result<Vec<Piece>, String> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find(['{', '}']) {
        let (before, from_brace) = rest.split_at(open);
        let Some((name, after)) = from_brace.strip_prefix('{').and_then(|s| s.split_once('}'))
        else {
            return Err("a brace stands alone; placeholders look like {name}".to_owned());
        };
        if !is_name(name) {
            return Err(format!(
                "'{{{name}}}' is no placeholder; write a plain name as {{name}}"
            ));
        }
        if !before.is_empty() {
            pieces.push(Piece::Text(before.to_owned()));
        }
        pieces.push(Piece::Value(name.to_owned()));
        rest = after;
    }
    if !rest.is_empty() {
        pieces.push(Piece::Text(rest.to_owned()));
    }
    Ok(pieces)
}

fn is_name(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_lowercase())
        && name
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}

fn placeholders(pieces: &[Piece]) -> BTreeSet<&str> {
    pieces
        .iter()
        .filter_map(|piece| match piece {
            Piece::Value(name) => Some(name.as_str()),
            Piece::Text(_) => None,
        })
        .collect()
}

/// Checks every language against the reference.
///
/// # Errors
/// All differences, one a line: a key missing, a key too many, placeholders that differ, or two
/// keys that would become the same name in the program.
pub(crate) fn check(languages: &BTreeMap<String, Sentences>) -> Result<(), String> {
    let Some(reference) = languages.get(REFERENCE) else {
        return Err(format!(
            "words/{REFERENCE}.toml is missing; it decides which keys there are"
        ));
    };
    let mut problems = Vec::new();
    let mut names: BTreeMap<String, &str> = BTreeMap::new();
    for key in reference.keys() {
        if let Some(other) = names.insert(variant(key), key) {
            problems.push(format!(
                "words/{REFERENCE}.toml: keys {other} and {key} get the same name; rename one"
            ));
        }
    }
    // Control characters below that of a new line, which parts the sentences.
    let most = usize::from(b'\n') - 1;
    for (key, pieces) in reference {
        if placeholders(pieces).len() > most {
            problems.push(format!(
                "words/{REFERENCE}.toml, key {key}: more than {most} values; make two sentences of it"
            ));
        }
    }
    for (language, sentences) in languages {
        for (key, pieces) in reference {
            let Some(translated) = sentences.get(key) else {
                problems.push(format!(
                    "words/{language}.toml lacks key {key}; add its sentence"
                ));
                continue;
            };
            let (here, there) = (placeholders(translated), placeholders(pieces));
            if here != there {
                problems.push(format!(
                    "words/{language}.toml, key {key}: placeholders {here:?} differ from \
                     {there:?} in words/{REFERENCE}.toml; make them the same"
                ));
            }
        }
        for key in sentences.keys().filter(|key| !reference.contains_key(*key)) {
            problems.push(format!(
                "words/{language}.toml: words/{REFERENCE}.toml has no key {key}; add it there too"
            ));
        }
    }
    if problems.is_empty() {
        Ok(())
    } else {
        Err(problems.join("\n"))
    }
}

/// `day.float_left` becomes `DayFloatLeft`.
fn variant(key: &str) -> String {
    key.split(['.', '_'])
        .map(|part| {
            let mut letters = part.chars();
            letters.next().map_or_else(String::new, |first| {
                first.to_ascii_uppercase().to_string() + letters.as_str()
            })
        })
        .collect()
}

/// The sentence as it stands in the file, for the documentation of its variant.
fn as_written(pieces: &[Piece]) -> String {
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Value(name) => format!("{{{name}}}"),
        })
        .collect()
}

/// Writes the Rust source of `Word`, `Phrase` and their tables; `Language` too where no other
/// table defines it.
///
/// # Errors
/// What [`check`] finds.
pub(crate) fn rust_source(
    languages: &BTreeMap<String, Sentences>,
    defines_languages: bool,
) -> Result<String, String> {
    check(languages)?;
    let reference = &languages[REFERENCE];
    let (phrases, words): (Vec<_>, Vec<_>) = reference
        .iter()
        .partition(|(_, pieces)| !placeholders(pieces).is_empty());
    let mut out = String::from("// Made by build.rs out of words/*.toml; edit those.\n\n");
    if defines_languages {
        write_languages(&mut out, languages);
    } else {
        write_order(&mut out, languages);
        write_keys(&mut out, "WORD_KEYS", &words);
        write_keys(&mut out, "PHRASE_KEYS", &phrases);
    }
    write_words(&mut out, &words);
    write_phrases(&mut out, &phrases);
    write_tables(&mut out, languages, &words, &phrases);
    Ok(out)
}

type Entry<'a> = (&'a String, &'a Vec<Piece>);

// Writing into a String cannot fail, so the results of writeln! below carry nothing.

fn write_languages(out: &mut String, languages: &BTreeMap<String, Sentences>) {
    let codes: Vec<&String> = languages.keys().collect();
    let _ = writeln!(out, "/// A language that the screens speak.");
    let _ = writeln!(out, "#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]");
    let _ = writeln!(out, "pub enum Language {{");
    for code in &codes {
        let _ = writeln!(out, "    /// `{code}`\n    {},", variant(code));
    }
    let _ = writeln!(out, "}}\n\nimpl Language {{");
    let list: Vec<String> = codes
        .iter()
        .map(|code| format!("Self::{}", variant(code)))
        .collect();
    let _ = writeln!(out, "    /// Every language there is a file for.");
    let _ = writeln!(
        out,
        "    pub const ALL: [Self; {}] = [{}];\n",
        codes.len(),
        list.join(", ")
    );
    let _ = writeln!(
        out,
        "    /// BCP 47 code, as the `lang` attribute wants it."
    );
    let _ = writeln!(
        out,
        "    pub const fn code(self) -> &'static str {{\n        match self {{"
    );
    for code in &codes {
        let _ = writeln!(out, "            Self::{} => {code:?},", variant(code));
    }
    let _ = writeln!(out, "        }}\n    }}\n}}\n");
}

/// The languages of the tables' rows, for a check that another table has the same in this order.
fn write_order(out: &mut String, languages: &BTreeMap<String, Sentences>) {
    let codes: Vec<&String> = languages.keys().collect();
    let _ = writeln!(
        out,
        "const ROWS: [&str; {}] = {codes:?};\n",
        languages.len()
    );
}

/// The keys of a table's columns, for whoever looks a sentence up by its key.
fn write_keys(out: &mut String, name: &str, entries: &[Entry<'_>]) {
    let keys: Vec<&String> = entries.iter().map(|(key, _)| *key).collect();
    let _ = writeln!(out, "static {name}: [&str; {}] = {keys:?};\n", keys.len());
}

fn write_words(out: &mut String, words: &[Entry<'_>]) {
    let _ = writeln!(out, "/// A sentence that needs nothing filled in.");
    let _ = writeln!(out, "#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]");
    let _ = writeln!(out, "pub enum Word {{");
    for (key, pieces) in words {
        let _ = writeln!(
            out,
            "    #[doc = {:?}]\n    {},",
            as_written(pieces),
            variant(key)
        );
    }
    let _ = writeln!(out, "}}\n");
}

fn write_phrases(out: &mut String, phrases: &[Entry<'_>]) {
    let most = phrases
        .iter()
        .map(|(_, pieces)| placeholders(pieces).len())
        .max()
        .unwrap_or(0);
    let _ = writeln!(
        out,
        "/// A sentence with the values to fill in, already written as text."
    );
    let _ = writeln!(out, "#[derive(Debug, Clone, Copy, PartialEq, Eq)]");
    let _ = writeln!(out, "pub enum Phrase<'a> {{");
    for (key, pieces) in phrases {
        let _ = writeln!(
            out,
            "    #[doc = {:?}]\n    {} {{",
            as_written(pieces),
            variant(key)
        );
        for name in placeholders(pieces) {
            let _ = writeln!(
                out,
                "        /// Stands at `{{{name}}}`.\n        {name}: &'a str,"
            );
        }
        let _ = writeln!(out, "    }},");
    }
    let _ = writeln!(out, "}}\n\nimpl<'a> Phrase<'a> {{");
    let _ = writeln!(
        out,
        "    #[allow(clippy::too_many_lines)] // a line a sentence\n    \
         const fn parts(self) -> (usize, [&'a str; {most}]) {{\n        match self {{"
    );
    for (index, (key, pieces)) in phrases.iter().enumerate() {
        let mut values: Vec<&str> = placeholders(pieces).into_iter().collect();
        let names = values.join(", ");
        values.resize(most, "\"\"");
        let _ = writeln!(
            out,
            "            Self::{} {{ {names} }} => ({index}, [{}]),",
            variant(key),
            values.join(", ")
        );
    }
    let _ = writeln!(out, "        }}\n    }}\n}}\n");
}

fn write_tables(
    out: &mut String,
    languages: &BTreeMap<String, Sentences>,
    words: &[Entry<'_>],
    phrases: &[Entry<'_>],
) {
    write_table(out, "WORDS", languages, words, |_, words| as_written(words));
    write_table(out, "PHRASES", languages, phrases, marked);
}

/// A table of sentences: for each language one text, in which they stand one after the other.
fn write_table(
    out: &mut String,
    name: &str,
    languages: &BTreeMap<String, Sentences>,
    entries: &[Entry<'_>],
    sentence: impl Fn(&[&str], &[Piece]) -> String,
) {
    let _ = writeln!(out, "static {name}: [Sentences; {}] = [", languages.len());
    for sentences in languages.values() {
        let all: Vec<String> = entries
            .iter()
            .map(|(key, pieces)| {
                let order: Vec<&str> = placeholders(pieces).into_iter().collect();
                sentence(&order, &sentences[*key])
            })
            .collect();
        let _ = writeln!(out, "    Sentences::new({:?}),", all.join("\n"));
    }
    let _ = writeln!(out, "];\n");
}

/// A sentence with a sign for each value in it: the control character of its place, from 1.
fn marked(order: &[&str], pieces: &[Piece]) -> String {
    pieces
        .iter()
        .map(|piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Value(name) => {
                let place = order.iter().position(|other| other == name).unwrap_or(0);
                let sign = u8::try_from(place + 1).unwrap_or(u8::MAX);
                char::from(sign).to_string()
            }
        })
        .collect()
}
