//! The tree and its reader beside `serde_json`, a library that reads the same standard (RFC 8259).

use super::super::parse::parse;
use super::super::tree::{Kind, Node};
use super::super::{Verbatim, from_text, to_text};
use proptest::prelude::*;
use serde::{Deserialize, Serialize};
use serde_json::Value as Other;

/// Whether both readers see the same in a text; numbers as they are written.
fn same(node: Node<'_>, other: &Other) -> bool {
    let text = |node: Node<'_>| node.text().map(|text| text.to_string());
    match (node.kind(), other) {
        (Kind::Null, Other::Null) => true,
        (Kind::True, Other::Bool(other)) => *other,
        (Kind::False, Other::Bool(other)) => !other,
        // Of fractions the other keeps the nearest it has; here none is ever worked with.
        (Kind::Number, Other::Number(other)) => match other.as_i64() {
            Some(other) => node.written().parse() == Ok(other),
            None => node.written().parse::<f64>().is_ok(),
        },
        (Kind::Text | Kind::Escaped, Other::String(other)) => text(node).as_ref() == Some(other),
        (Kind::List, Other::Array(others)) => {
            let all: Vec<Node<'_>> = node.values().collect();
            all.len() == others.len() && all.iter().zip(others).all(|(a, b)| same(*a, b))
        }
        // Of a name that stands twice the other keeps the last.
        (Kind::Object, Other::Object(others)) => {
            let all: Vec<Node<'_>> = node.values().collect();
            let (all, rest) = all.as_chunks::<2>();
            rest.is_empty()
                && others.iter().all(|(name, other)| {
                    let named = |[key, _]: &&[Node<'_>; 2]| text(*key).as_ref() == Some(name);
                    all.iter()
                        .rfind(named)
                        .is_some_and(|[_, node]| same(*node, other))
                })
        }
        _ => false,
    }
}

fn agree(text: &str) {
    let other = serde_json::from_str::<Other>(text);
    match (parse(text, Kind::Object), other) {
        (Ok(tree), Ok(other)) => assert!(same(tree.root(), &other), "{text}: {tree:?}"),
        (Err(_), Err(_)) => {}
        // The other one reads no number beyond the largest of its kind.
        (Ok(_), Err(error)) if error.to_string().contains("number out of range") => {}
        (tree, other) => panic!("{text}: {tree:?} but {other:?}"),
    }
}

#[test]
fn both_readers_see_the_same() {
    for text in [
        "null",
        "true",
        "false",
        "nul",
        "truely",
        "0",
        "-0",
        "01",
        "-",
        "+1",
        "1.",
        ".5",
        "1.5",
        "1e5",
        "1E+5",
        "1e-",
        "1e400",
        "9223372036854775807",
        "9223372036854775808",
        r#""""#,
        r#""\u00e9\n\/""#,
        r#""\ud83c\udf6f""#,
        r#""\ud83c""#,
        r#""\ud83cx""#,
        r#""\udf6f""#,
        r#""\ud83c\u0041""#,
        r#""\x""#,
        r#""\u12""#,
        "\"\t\"",
        "\"\u{7f}\u{2028}\"",
        "\"a",
        "[]",
        "[1,]",
        "[,1]",
        "[1 2]",
        "[1,[2,{}]]",
        "{}",
        r#"{"a":1,}"#,
        r#"{"a" 1}"#,
        r"{a:1}",
        r#"{"a":1,"a":2}"#,
        r#" { "a" : [ ] } "#,
        "1 1",
        "\u{feff}1",
        "\u{a0}1",
        "",
        " ",
        "//x\n1",
    ] {
        agree(text);
    }
}

/// Strings are gone through in pieces: whatever ends one is seen wherever it stands in a piece, and
/// what only resembles it is passed over.
#[test]
fn what_ends_a_string_is_seen_at_every_place() {
    for sign in [
        '"', '\\', '\u{1f}', '\0', '\n', ' ', '!', '#', '[', ']', '\u{7f}', '\u{a2}', '\u{dc}',
        'é', '蜜',
    ] {
        for before in 0..20 {
            for after in 0..20 {
                let inner = format!("{}{sign}{}", "a".repeat(before), "b".repeat(after));
                agree(&format!("\"{inner}\""));
                agree(&format!("[\"{inner}\",1]"));
            }
        }
    }
}

#[test]
fn values_inside_each_other_have_an_end() {
    for depth in [1, 127, 129, 100_000] {
        let text = "[".repeat(depth) + &"]".repeat(depth);
        assert_eq!(parse(&text, Kind::Object).is_ok(), depth < 129, "{depth}");
    }
}

#[derive(Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Tally {
    count: i64,
    #[serde(default)]
    note: Option<String>,
    #[serde(default)]
    rows: Vec<Tally>,
}

#[test]
fn a_row_is_no_list_of_its_values_at_any_depth() {
    for text in [r"[1,null,[]]", r#"{"count":1,"rows":[[1,null,[]]]}"#] {
        assert!(from_text::<Tally>("row", text, 100).is_err(), "{text}");
    }
}

#[test]
fn what_does_not_fit_is_named_with_its_place() {
    let told = |text: &str| {
        from_text::<Tally>("row", text, 1_000)
            .unwrap_err()
            .to_string()
    };
    let text = "{\"count\":1,\n \"rows\":[{\"count\":\"x\"}]}";
    let message = told(text);
    assert!(
        message.contains("expected i64 in `rows.count` at line 2 column 19"),
        "{message}"
    );
    let message = told(r#"{"count":1,"kilos":2}"#);
    assert!(message.contains("unknown field `kilos`"), "{message}");
    assert!(message.contains("line 1 column 12"), "{message}");
    // A misspelt name is named itself, not the one that it stands for.
    let message = told(r#"{"rows":[],"cuont":1}"#);
    assert!(
        message.contains("unknown field `cuont`, expected one of `count`"),
        "{message}"
    );
    let message = told(r#"{"rows":[],"rows":[]}"#);
    assert!(message.contains("duplicate field `rows`"), "{message}");
    let message = told(r#"{"rows":[]}"#);
    assert!(
        message.contains("missing field `count` at line 1 column 1"),
        "{message}"
    );
}

#[test]
fn a_value_kept_verbatim_keeps_every_blank_within() {
    let text = " { \"a\" : [1.50, \"\\u00e9\"] }\n";
    let value = Verbatim::new("document", text).unwrap();
    assert_eq!(value.get(), text.trim());
    assert_eq!(to_text("document", &value).unwrap(), text.trim());
    assert!(Verbatim::new("document", "{} {}").is_err());
}

fn json() -> impl Strategy<Value = Other> {
    let leaf = prop_oneof![
        Just(Other::Null),
        any::<bool>().prop_map(Other::Bool),
        any::<i64>().prop_map(Other::from),
        any::<f64>()
            .prop_filter("JSON has no such number", |number| number.is_finite())
            .prop_map(Other::from),
        any::<String>().prop_map(Other::String),
    ];
    leaf.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Other::Array),
            prop::collection::btree_map(any::<String>(), inner, 0..6)
                .prop_map(|all| Other::Object(all.into_iter().collect())),
        ]
    })
}

proptest! {
    #[test]
    fn what_the_other_writes_is_read(value in json(), pretty in any::<bool>()) {
        let text = if pretty { serde_json::to_string_pretty(&value) } else { serde_json::to_string(&value) };
        agree(&text.unwrap());
    }

    #[test]
    fn a_changed_text_is_refused_by_both_or_by_none(value in json(), at in any::<prop::sample::Index>(), put in "[\\[\\]{}\",:0-9eE+.\\-\\\\u dtn]{0,2}") {
        let text = value.to_string();
        let places: Vec<usize> = text.char_indices().map(|(place, _)| place).collect();
        let place = places[at.index(places.len())];
        let rest = text[place..].chars().next().map_or(0, char::len_utf8);
        agree(&format!("{}{put}{}", &text[..place], &text[place + rest..]));
    }
}
