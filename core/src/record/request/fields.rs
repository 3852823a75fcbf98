//! The two header fields, as far as they are used: structured fields (RFC 8941) with one member.

use super::RequestError;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

const FIELD_BYTES_AT_MOST: usize = 1_024;
const COMPONENTS_AT_MOST: usize = 8;
/// The longest that is used has 14; a refusal repeats them.
const COMPONENT_BYTES_AT_MOST: usize = 40;
const INPUT: &str = "Signature-Input";

/// What `Signature-Input` says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Input {
    /// The signature's label.
    pub(super) label: String,
    /// Names of the components, in order, each once.
    pub(super) components: Vec<String>,
    /// All that stands behind the label, as received: it is signed as it stands.
    pub(super) parameters: String,
    /// When it was signed, seconds since 1970.
    pub(super) created: i64,
    /// Name of the key.
    pub(super) key: String,
    /// The algorithm, if it is named.
    pub(super) algorithm: Option<String>,
}

impl Input {
    pub(super) fn parse(field: &str) -> Result<Self, RequestError> {
        let bad = |reason| RequestError::Malformed {
            field: INPUT,
            reason,
        };
        if field.len() > FIELD_BYTES_AT_MOST {
            return Err(bad("is too long"));
        }
        let (label, parameters) = field
            .split_once('=')
            .filter(|(label, _)| is_key(label))
            .ok_or_else(|| bad("does not begin with a label"))?;
        let (list, rest) = parameters
            .strip_prefix('(')
            .and_then(|rest| rest.split_once(')'))
            .ok_or_else(|| bad("holds no list of what is signed"))?;
        let mut components: Vec<String> = Vec::new();
        for item in list.split(' ') {
            let name = quoted(item).ok_or_else(|| bad("holds a list with a damaged name"))?;
            if components.iter().any(|known| known == name) {
                return Err(bad("names something twice"));
            }
            if components.len() == COMPONENTS_AT_MOST || name.len() > COMPONENT_BYTES_AT_MOST {
                return Err(bad("names too much"));
            }
            components.push(name.to_owned());
        }
        let (mut created, mut key, mut algorithm) = (None, None, None);
        let rest = rest
            .strip_prefix(';')
            .ok_or_else(|| bad("says neither when nor by which key it was signed"))?;
        for parameter in rest.split(';') {
            let (name, value) = parameter
                .split_once('=')
                .ok_or_else(|| bad("holds a parameter without a value"))?;
            let twice = match name {
                "created" => {
                    let seconds = whole(value).ok_or_else(|| bad("holds a damaged time"))?;
                    created.replace(seconds).is_some()
                }
                "keyid" => {
                    let name = quoted(value).ok_or_else(|| bad("holds a damaged key name"))?;
                    key.replace(name.to_owned()).is_some()
                }
                "alg" => {
                    let name = quoted(value).ok_or_else(|| bad("holds a damaged algorithm"))?;
                    algorithm.replace(name.to_owned()).is_some()
                }
                _ => return Err(bad("holds a parameter that is not used here")),
            };
            if twice {
                return Err(bad("holds a parameter twice"));
            }
        }
        Ok(Self {
            label: label.to_owned(),
            components,
            parameters: parameters.to_owned(),
            created: created.ok_or_else(|| bad("does not say when it was signed"))?,
            key: key.ok_or_else(|| bad("does not say by which key it was signed"))?,
            algorithm,
        })
    }
}

/// The signature of a label, from the `Signature` field.
pub(super) fn signature(field: &str, label: &str) -> Result<[u8; 64], RequestError> {
    let bad = |reason| RequestError::Malformed {
        field: "Signature",
        reason,
    };
    let encoded = field
        .strip_prefix(label)
        .and_then(|rest| rest.strip_prefix("=:"))
        .and_then(|rest| rest.strip_suffix(':'))
        .ok_or_else(|| bad("does not hold the one signature that Signature-Input describes"))?;
    STANDARD
        .decode(encoded)
        .ok()
        .and_then(|bytes| bytes.try_into().ok())
        .ok_or_else(|| bad("is not 64 bytes of base64"))
}

/// Names as an inner list (RFC 8941, 3.1.1).
pub(super) fn inner_list(names: &[impl AsRef<str>]) -> String {
    let quoted: Vec<String> = names
        .iter()
        .map(|name| format!("\"{}\"", name.as_ref()))
        .collect();
    format!("({})", quoted.join(" "))
}

/// RFC 8941, 3.1.2: a key of a dictionary.
fn is_key(text: &str) -> bool {
    text.starts_with(|first: char| first.is_ascii_lowercase() || first == '*')
        && text.bytes().all(|byte| {
            byte.is_ascii_lowercase() || byte.is_ascii_digit() || b"_-.*".contains(&byte)
        })
}

/// A string (RFC 8941, 3.3.3) that needs no escapes, and none of the signs that divide the field.
fn quoted(text: &str) -> Option<&str> {
    let inside = text.strip_prefix('"')?.strip_suffix('"')?;
    let plain = |byte: u8| byte.is_ascii_graphic() && !b"\"\\;()".contains(&byte);
    (!inside.is_empty() && inside.bytes().all(plain)).then_some(inside)
}

/// A whole number (RFC 8941, 3.3.1), without sign or leading zeros.
fn whole(text: &str) -> Option<i64> {
    let number: i64 = text.parse().ok()?;
    (number >= 0 && text.len() <= 15 && number.to_string() == text).then_some(number)
}
