//! Types of every shape, read and written beside `serde_json`, a library for the same standard
//! (RFC 8259) by the same rules for types (serde's).

use super::super::{from_open_text, from_text, to_text};
use proptest::prelude::*;
use proptest::sample::Index;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Name {
    First,
    SecondOne,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Kind {
    Plain,
    #[serde(rename = "of one")]
    One(i64),
    Two(i64, bool),
    Fields {
        a: u16,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        b: Option<String>,
    },
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Shapes {
    whole: i64,
    small: u8,
    long: u64,
    yes: bool,
    text: String,
    #[serde(rename = "other text")]
    other: Option<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    kinds: Vec<Kind>,
    pair: (i64, String),
    names: BTreeMap<Name, u32>,
    texts: BTreeMap<String, Option<bool>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    inner: Option<Box<Shapes>>,
}

fn kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        Just(Kind::Plain),
        any::<i64>().prop_map(Kind::One),
        any::<(i64, bool)>().prop_map(|(one, two)| Kind::Two(one, two)),
        any::<(u16, Option<String>)>().prop_map(|(a, b)| Kind::Fields { a, b }),
    ]
}

fn shapes() -> impl Strategy<Value = Shapes> {
    let names = prop_oneof![Just(Name::First), Just(Name::SecondOne)];
    let leaf = (
        any::<(i64, u8, u64, bool, String, Option<String>)>(),
        prop::collection::vec(kind(), 0..4),
        any::<(i64, String)>(),
        prop::collection::btree_map(names, any::<u32>(), 0..3),
        prop::collection::btree_map(any::<String>(), any::<Option<bool>>(), 0..3),
    )
        .prop_map(|(plain, kinds, pair, names, texts)| {
            let (whole, small, long, yes, text, other) = plain;
            let inner = None;
            Shapes {
                whole,
                small,
                long,
                yes,
                text,
                other,
                kinds,
                pair,
                names,
                texts,
                inner,
            }
        });
    leaf.prop_recursive(3, 4, 1, |inner| {
        (inner.clone(), inner).prop_map(|(around, inner)| Shapes {
            inner: Some(Box::new(inner)),
            ..around
        })
    })
}

/// What is done to an object's names on the way.
#[derive(Debug, Clone, Copy)]
enum Change {
    None,
    Unknown,
    Twice,
    Without,
    Null,
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        10 => Just(Change::None),
        1 => Just(Change::Unknown),
        1 => Just(Change::Twice),
        1 => Just(Change::Without),
        1 => Just(Change::Null),
    ]
}

/// A value as a text, with the names of its objects in some order and some of them changed.
fn written(value: &Value, changes: &mut impl Iterator<Item = (Change, Index)>) -> String {
    match value {
        Value::Object(members) => {
            let next = changes.next();
            let mut all: Vec<(String, String)> = members
                .iter()
                .map(|(name, value)| (name.clone(), written(value, changes)))
                .collect();
            if let Some((change, index)) = next.filter(|_| !all.is_empty()) {
                let at = index.index(all.len());
                match change {
                    Change::None => {}
                    Change::Unknown => all.push(("what is this".to_owned(), "1".to_owned())),
                    Change::Twice => all.push(all[at].clone()),
                    Change::Without => drop(all.remove(at)),
                    Change::Null => all[at].1 = "null".to_owned(),
                }
                let middle = at.min(all.len());
                all.rotate_left(middle);
            }
            let all: Vec<String> = all
                .iter()
                .map(|(name, value)| format!("{}:{value}", serde_json::to_string(name).unwrap()))
                .collect();
            format!("{{{}}}", all.join(","))
        }
        Value::Array(values) => {
            let all: Vec<String> = values.iter().map(|value| written(value, changes)).collect();
            format!("[{}]", all.join(","))
        }
        plain => plain.to_string(),
    }
}

proptest! {
    #[test]
    fn a_type_is_written_as_by_the_other_and_read_again(shapes in shapes()) {
        let text = to_text("shapes", &shapes).unwrap();
        prop_assert_eq!(&text, &serde_json::to_string(&shapes).unwrap());
        prop_assert_eq!(from_text::<Shapes>("shapes", &text, text.len()).unwrap(), shapes);
    }

    #[test]
    fn names_may_stand_in_any_order_and_are_refused_by_both_or_by_none(
        shapes in shapes(),
        changes in prop::collection::vec((change(), any::<Index>()), 0..8),
    ) {
        let value = serde_json::to_value(&shapes).unwrap();
        let text = written(&value, &mut changes.into_iter());
        let ours = from_text::<Shapes>("shapes", &text, text.len());
        let theirs = serde_json::from_str::<Shapes>(&text);
        prop_assert_eq!(ours.ok(), theirs.ok(), "{}", text);
    }

    /// Ours is stricter: an object is no list of its values, and a number has one spelling.
    #[test]
    fn what_is_read_of_a_changed_text_the_other_reads_too(
        shapes in shapes(),
        at in any::<Index>(),
        put in "[\\[\\]{}\",:0-9eE+.\\-\\\\u dtn]{0,2}",
    ) {
        let text = to_text("shapes", &shapes).unwrap();
        let places: Vec<usize> = text.char_indices().map(|(place, _)| place).collect();
        let place = places[at.index(places.len())];
        let rest = text[place..].chars().next().map_or(0, char::len_utf8);
        let text = format!("{}{put}{}", &text[..place], &text[place + rest..]);
        if let Ok(ours) = from_text::<Shapes>("shapes", &text, text.len()) {
            prop_assert_eq!(ours, serde_json::from_str::<Shapes>(&text).unwrap(), "{}", text);
        }
    }

    #[test]
    fn every_sign_is_escaped_as_by_the_other(text in any::<String>(), sign in any::<char>()) {
        let all: String = (0..0x30).map(char::from).chain([sign]).chain(text.chars()).collect();
        prop_assert_eq!(to_text("text", &all).unwrap(), serde_json::to_string(&all).unwrap());
    }
}

#[test]
fn a_variant_that_a_type_does_not_have_is_named() {
    let told = |text: &str| {
        from_text::<Kind>("kind", text, 100)
            .unwrap_err()
            .to_string()
    };
    let message = told(r#"{"Three":1}"#);
    assert!(
        message.contains("expected one of `Plain`, `of one`"),
        "{message}"
    );
    assert!(message.contains("unknown variant `Three`"), "{message}");
    for bad in [
        r#""of one""#,
        r#"{"Plain":1}"#,
        r#"{"Two":[1]}"#,
        r#"{"Two":[1,true,2]}"#,
        r#"{"Fields":{"b":"x"}}"#,
        r#"{"Fields":[1,null]}"#,
        r#"{"Plain":null,"Two":[1,true]}"#,
        "{}",
        "1",
    ] {
        assert!(from_text::<Kind>("kind", bad, 100).is_err(), "{bad}");
    }
}

/// A document may leave room for more, as a newer program's own: all of it is then passed over, and a
/// name that stands twice is refused all the same.
#[test]
fn an_open_document_may_say_more() {
    let read = |text: &str| from_open_text::<Shapes>("shapes", text, text.len()).ok();
    let whole = r#"{"whole":1,"small":2,"long":3,"yes":true,"text":"","other text":null,"pair":[1,""],"names":{},"texts":{}"#;
    let plain = read(&format!("{whole}}}")).unwrap();
    let more = format!(r#"{whole},"more":{{"whole":[1,{{"a":null}}]}},"still more":0}}"#);
    assert_eq!(read(&more), Some(plain));
    assert!(from_text::<Shapes>("shapes", &more, more.len()).is_err());
    assert_eq!(read(&format!(r#"{whole},"whole":1}}"#)), None);
}

/// Neither has a place in a document, and a name that is no text would be no JSON.
#[test]
fn what_documents_do_not_have_is_not_written() {
    assert!(to_text("fraction", &1.5).is_err());
    assert!(to_text("map", &BTreeMap::from([(1, 2)])).is_err());
    assert_eq!(
        to_text("map", &BTreeMap::from([("1", 2)])).unwrap(),
        r#"{"1":2}"#
    );
}
