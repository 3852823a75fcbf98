//! The build must stop on a word that is missing or cannot be filled in.

#[path = "../build/table.rs"]
mod table;

use std::collections::BTreeMap;
use table::{Piece, check, read, rust_source, split};

fn languages(english: &str, swahili: &str) -> Result<BTreeMap<String, table::Sentences>, String> {
    Ok(BTreeMap::from([
        ("en".to_owned(), read("en", english)?),
        ("sw".to_owned(), read("sw", swahili)?),
    ]))
}

fn problem(english: &str, swahili: &str) -> String {
    languages(english, swahili)
        .and_then(|all| check(&all))
        .err()
        .unwrap_or_default()
}

#[test]
fn a_missing_key_is_named_with_its_file() {
    let problem = problem(
        "pail.number = \"Pail\"\npail.seal = \"Seal\"",
        "pail.number = \"Ndoo\"",
    );
    assert_eq!(
        problem,
        "words/sw.toml lacks key pail.seal; add its sentence"
    );
}

#[test]
fn a_key_too_many_is_named() {
    let problem = problem("a = \"A\"", "a = \"A\"\nb = \"B\"");
    assert!(problem.contains("has no key b"), "{problem}");
}

#[test]
fn placeholders_must_be_the_same_in_any_order() {
    let swapped = languages("a = \"{x} of {y}\"", "a = \"{y}: {x}\"").unwrap();
    assert_eq!(check(&swapped), Ok(()));
    let problem = problem("a = \"{x} of {y}\"", "a = \"{x} ya {z}\"");
    assert!(
        problem.contains("words/sw.toml, key a: placeholders"),
        "{problem}"
    );
}

#[test]
fn keys_that_would_get_one_name_are_refused() {
    let problem = problem("a.b = \"1\"\na_b = \"2\"", "a.b = \"1\"\na_b = \"2\"");
    assert!(problem.contains("get the same name"), "{problem}");
}

#[test]
fn a_lone_brace_an_empty_sentence_and_a_number_are_refused() {
    for (source, part) in [
        ("a = \"50 } kg\"", "brace stands alone"),
        ("a = \"50 { kg\"", "brace stands alone"),
        ("a = \"{Two Words}\"", "is no placeholder"),
        ("a = \"  \"", "is empty"),
        ("a = \"two\\nlines\"", "control character"),
        ("a = 5", "quotation marks"),
        ("a = ", "not valid TOML"),
        ("Ab = \"x\"", "use only a-z"),
    ] {
        let problem = read("en", source).unwrap_err();
        assert!(problem.contains(part), "{source}: {problem}");
    }
}

#[test]
fn a_sentence_is_cut_at_its_placeholders() {
    assert_eq!(
        split("{a}, {b}!"),
        Ok(vec![
            Piece::Value("a".into()),
            Piece::Text(", ".into()),
            Piece::Value("b".into()),
            Piece::Text("!".into()),
        ])
    );
}

#[test]
fn each_language_keeps_its_own_order_of_values() {
    let all = languages("a = \"{x} of {y}\"", "a = \"{y}: {x}\"").unwrap();
    let source = rust_source(&all, true).unwrap();
    let english = source.find(r#"Sentences::new("\u{1} of \u{2}")"#);
    let swahili = source.find(r#"Sentences::new("\u{2}: \u{1}")"#);
    assert!(english.is_some() && swahili > english, "{source}");
}

#[test]
fn a_second_table_names_its_languages_and_defines_none() {
    let all = languages("a = \"A\"", "a = \"B\"").unwrap();
    let source = rust_source(&all, false).unwrap();
    assert!(source.contains(r#"const ROWS: [&str; 2] = ["en", "sw"];"#));
    assert!(!source.contains("pub enum Language"), "{source}");
}
