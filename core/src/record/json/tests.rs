use super::*;

mod against;
mod types;

#[derive(Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    grams: i64,
    #[serde(default)]
    more: Vec<Row>,
}

fn read(text: &str) -> Result<Row, DocumentError> {
    from_text("row", text, 100)
}

#[test]
fn only_one_whole_object_of_known_fields_is_read() {
    assert!(read(r#" {"grams":1} "#).is_ok());
    for bad in [
        "",
        "null",
        "[1,[]]",
        r#"{"grams":1}{"grams":1}"#,
        r#"{"grams":1},"#,
        r#"{"grams":1,"kilos":1}"#,
        r#"{"grams":1,"grams":1}"#,
        r#"{"grams":1,"more":[{"grams":1,"grams":2}]}"#,
        r#"{"grams":1,"more":[{"grams":1,"kilos":2}]}"#,
        r#"{"grams":1.0}"#,
        r#"{"grams":1e0}"#,
        r#"{"grams":"1"}"#,
        r#"{"grams":01}"#,
        r#"{"grams":-0}"#,
        r#"{"grams":9223372036854775808}"#,
        r#"{"grams":NaN}"#,
        r#"{"grams":1,}"#,
        r#"{"grams":1 // a comment
           }"#,
        r"{'grams':1}",
        "{\"\\ud800\":1}",
        "\u{FEFF}{\"grams\":1}",
    ] {
        let refused = read(bad);
        assert!(
            matches!(refused, Err(DocumentError::Malformed { .. })),
            "{bad}"
        );
    }
}

#[test]
fn size_is_looked_at_first() {
    let fitting = format!("{}{}", r#"{"grams":1}"#, " ".repeat(89));
    assert!(read(&fitting).is_ok());
    assert_eq!(
        read(&format!("{fitting} ")),
        Err(DocumentError::TooLarge {
            what: "row",
            found: 101,
            limit: 100
        })
    );
}

#[test]
fn nesting_without_end_is_refused() {
    let deep = format!("{}1", r#"{"grams":1,"more":["#.repeat(1_000));
    let refused = from_text::<Row>("row", &deep, deep.len());
    assert!(matches!(refused, Err(DocumentError::Malformed { .. })));
}

/// An unknown field's name is the sender's text: it must not reach a terminal as it is.
#[test]
fn a_message_repeats_no_more_than_is_safe_to_show() {
    let name = format!("\u{1b}[2J\u{202e}{}", "x".repeat(10_000));
    let text = serde_json::json!({ "grams": 1, name: 1 }).to_string();
    let error = from_text::<Row>("row", &text, text.len()).unwrap_err();
    let message = error.to_string();
    assert!(message.chars().count() < 400, "{message}");
    assert!(!message.contains(['\u{1b}', '\u{202e}']), "{message:?}");
    assert!(message.contains("unknown field"), "{message}");
    assert!(message.contains("line 1 column"), "{message}");
    let version = check_version("row", "\u{1b}[2J", "row/1").unwrap_err();
    assert!(!version.to_string().contains('\u{1b}'));
}

#[test]
fn a_long_version_is_not_repeated_in_full() {
    let found = "x".repeat(10_000);
    let error = check_version("bundle", &found, "combgate-bundle/1").unwrap_err();
    assert!(error.to_string().len() < 200, "{error}");
    assert!(check_version("bundle", "combgate-bundle/1", "combgate-bundle/1").is_ok());
}
