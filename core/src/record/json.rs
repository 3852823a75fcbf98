//! Strict JSON: bounded, no name that a type does not have, unless the document is open to more, and
//! none that stands twice.

mod parse;
mod read;
mod tree;
mod unfit;
mod write;

use crate::units::misleads;
use parse::Broken;
use serde::de::{DeserializeOwned, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use tree::{Kind, Node, Tree};

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
        /// Where and why, where reasons are told (see the feature `reasons`).
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
        let told = told(detail);
        // So that nothing to make it plain is compiled where nothing is told.
        let detail = if told.is_empty() { told } else { plain(&told) };
        Self::Malformed { what, detail }
    }
}

/// A reason, where reasons are told (see the feature `reasons`).
fn told(reason: impl std::fmt::Display) -> String {
    if cfg!(feature = "reasons") {
        reason.to_string()
    } else {
        String::new()
    }
}

/// Most characters of a hostile text that a message repeats.
const REPEATED_AT_MOST: usize = 240;
/// How many of them are its end, where a reader says at what place it stopped.
const END_REPEATED: usize = 60;

/// A text that came from outside, as a message may repeat it: short, and without characters that
/// a terminal or a screen would obey.
pub fn plain(text: &str) -> String {
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
    Opened::parse(what, text, limit)?.read()
}

/// Reads a wire type out of a document that may say more than is known here: one that another
/// version of the program kept for itself, or whose format leaves room for more.
pub fn from_open_text<T: DeserializeOwned>(
    what: &'static str,
    text: &str,
    limit: usize,
) -> Result<T, DocumentError> {
    let tree = parse(what, text, limit, Kind::OpenObject)?;
    Opened { what, text, tree }.read()
}

/// A document taken apart, of which more than one type is read.
pub(super) struct Opened<'a> {
    what: &'static str,
    text: &'a str,
    tree: Tree<'a>,
}

impl<'a> Opened<'a> {
    /// Takes a text apart.
    pub(super) fn parse(
        what: &'static str,
        text: &'a str,
        limit: usize,
    ) -> Result<Self, DocumentError> {
        let tree = parse(what, text, limit, Kind::Object)?;
        Ok(Self { what, text, tree })
    }

    /// Reads the whole, strictly.
    pub(super) fn read<T: DeserializeOwned>(&self) -> Result<T, DocumentError> {
        self.read_node(self.what, self.tree.root())
    }

    /// Reads the value of a name, strictly, as a document of its own kind.
    pub(super) fn read_member<T: DeserializeOwned>(
        &self,
        what: &'static str,
        name: &'static str,
    ) -> Result<T, DocumentError> {
        match self.tree.root().member(name) {
            Some(node) => self.read_node(what, node),
            None => Err(DocumentError::malformed(
                self.what,
                format_args!("missing field `{name}`"),
            )),
        }
    }

    fn read_node<T: DeserializeOwned>(
        &self,
        what: &'static str,
        node: Node<'_>,
    ) -> Result<T, DocumentError> {
        T::deserialize(node).map_err(|unfit| malformed_at(what, self.text, unfit.place(), &unfit))
    }
}

fn parse<'a>(
    what: &'static str,
    text: &'a str,
    limit: usize,
    object: Kind,
) -> Result<Tree<'a>, DocumentError> {
    if text.len() > limit {
        return Err(DocumentError::TooLarge {
            what,
            found: text.len(),
            limit,
        });
    }
    parse::parse(text, object)
        .map_err(|Broken { reason, at }| malformed_at(what, text, at, &reason))
}

fn malformed_at(
    what: &'static str,
    text: &str,
    at: usize,
    reason: &dyn std::fmt::Display,
) -> DocumentError {
    let before = text.get(..at).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
    DocumentError::malformed(
        what,
        format_args!("{reason} at line {line} column {column}"),
    )
}

/// The name by which [`Verbatim`] asks its reader and its writer for the text as it stands.
const VERBATIM: &str = "combgate verbatim";

/// A JSON value exactly as it is written, whose digest and meaning others look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verbatim(Box<str>);

impl Verbatim {
    /// A text that is one JSON value.
    pub fn new(what: &'static str, text: &str) -> Result<Self, DocumentError> {
        let tree = parse(what, text, text.len(), Kind::Object)?;
        // Blanks around it are no part of the value.
        Ok(Self(tree.root().written().into()))
    }

    /// The text.
    pub fn get(&self) -> &str {
        &self.0
    }
}

impl Serialize for Verbatim {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_newtype_struct(VERBATIM, &*self.0)
    }
}

impl<'de> Deserialize<'de> for Verbatim {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_newtype_struct(VERBATIM, AsWritten)
    }
}

struct AsWritten;

impl Visitor<'_> for AsWritten {
    type Value = Verbatim;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a value as it is written")
    }

    fn visit_str<E>(self, written: &str) -> Result<Verbatim, E> {
        Ok(Verbatim(written.into()))
    }
}

/// Writes a wire type on one line.
pub fn to_text<T: Serialize>(what: &'static str, value: &T) -> Result<String, DocumentError> {
    write::written(value).map_err(|error| DocumentError::malformed(what, error))
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
mod tests;
