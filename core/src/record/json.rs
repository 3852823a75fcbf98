//! Strict JSON: bounded, an object, no unknown fields, no duplicate keys.
//!
//! The wire types deny unknown fields and hold no maps, so serde refuses a key that stands twice.

use crate::units::misleads;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// A document that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DocumentError {
    /// Too large to be what it says.
    #[error("the {what} has {found} bytes, at most {limit} are read: ask for a smaller one")]
    TooLarge {
        /// Which document.
        what: &'static str,
        /// Its size.
        found: usize,
        /// The limit.
        limit: usize,
    },
    /// Not what the format says.
    #[error("the {what} is damaged or not of this kind ({detail}): ask for it again")]
    Malformed {
        /// Which document.
        what: &'static str,
        /// Where and why.
        detail: String,
    },
    /// A version that this program does not know.
    #[error(
        "the {what} says it is '{found}' but '{expected}' is read here: update the program or ask for an older file"
    )]
    UnknownVersion {
        /// Which document.
        what: &'static str,
        /// What it says.
        found: String,
        /// What is read.
        expected: &'static str,
    },
}

impl DocumentError {
    pub(crate) fn malformed(what: &'static str, detail: impl std::fmt::Display) -> Self {
        Self::Malformed {
            what,
            detail: plain(&detail.to_string()),
        }
    }
}

/// Most characters of a hostile text that a message repeats.
const REPEATED_AT_MOST: usize = 240;
/// How many of them are its end, where a reader says at what place it stopped.
const END_REPEATED: usize = 60;

/// A text that came from outside, as a message may repeat it: short, and without characters that
/// a terminal or a screen would obey.
pub(super) fn plain(text: &str) -> String {
    let shown = |c: char| if misleads(c) { '\u{FFFD}' } else { c };
    let length = text.chars().count();
    if length <= REPEATED_AT_MOST {
        return text.chars().map(shown).collect();
    }
    let start = text.chars().take(REPEATED_AT_MOST - END_REPEATED);
    let end = text.chars().skip(length - END_REPEATED);
    start
        .map(shown)
        .chain(std::iter::once('…'))
        .chain(end.map(shown))
        .collect()
}

/// Reads a wire type strictly.
pub fn from_text<T: DeserializeOwned>(
    what: &'static str,
    text: &str,
    limit: usize,
) -> Result<T, DocumentError> {
    if text.len() > limit {
        return Err(DocumentError::TooLarge {
            what,
            found: text.len(),
            limit,
        });
    }
    // serde would also take a list of the fields' values, which other programs do not.
    if !text.trim_start().starts_with('{') {
        return Err(DocumentError::malformed(what, "it is not a JSON object"));
    }
    serde_json::from_str(text).map_err(|error| DocumentError::malformed(what, error))
}

/// Writes a wire type on one line.
pub fn to_text<T: Serialize>(what: &'static str, value: &T) -> Result<String, DocumentError> {
    serde_json::to_string(value).map_err(|error| DocumentError::malformed(what, error))
}

pub(crate) fn check_version(
    what: &'static str,
    found: &str,
    expected: &'static str,
) -> Result<(), DocumentError> {
    if found == expected {
        return Ok(());
    }
    Err(DocumentError::UnknownVersion {
        what,
        found: plain(&found.chars().take(40).collect::<String>()),
        expected,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

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
        let text = serde_json::json!({ name: 1 }).to_string();
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
}
