//! Text from people: short codes and labels, bounded and free of control characters.
//!
//! Text is data. It is never read as HTML, and an export escapes it for where it goes.

use serde::{Deserialize, Serialize};

/// Text that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TextError {
    /// Nothing was written.
    #[error("the field is empty: write something in it")]
    Empty,
    /// More than fits.
    #[error("the text is {0} characters, at most {1} fit: shorten it")]
    TooLong(usize, usize),
    /// A character that a code cannot hold.
    #[error("{0:?} cannot stand in a code: use letters, digits, '-' , '/' or '.'")]
    BadCharacter(char),
    /// A character that changes how text is shown rather than what it says.
    #[error("the text holds a control character (U+{0:04X}): type it again by hand")]
    Control(u32),
}

/// A short code: member number, pail, seal, grade, price list.
///
/// 1 to 32 ASCII letters, digits, `-`, `/` or `.`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Code(String);

impl Code {
    /// Most characters.
    pub const MAX: usize = 32;

    /// Takes a code; surrounding blanks are dropped.
    pub fn new(text: &str) -> Result<Self, TextError> {
        Self::checked(text).map(|text| Self(text.to_owned()))
    }

    fn checked(text: &str) -> Result<&str, TextError> {
        let text = text.trim();
        check_length(text, Self::MAX)?;
        match text
            .chars()
            .find(|c| !(c.is_ascii_alphanumeric() || "-/.".contains(*c)))
        {
            Some(c) => Err(TextError::BadCharacter(c)),
            None => Ok(text),
        }
    }

    /// The code itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// A line of text for people: a name, a village, a reason, a source.
///
/// 1 to 400 characters, no control or direction-changing characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Label(String);

impl Label {
    /// Most characters.
    pub const MAX: usize = 400;

    /// Takes a line of text; surrounding blanks are dropped.
    pub fn new(text: &str) -> Result<Self, TextError> {
        Self::checked(text).map(|text| Self(text.to_owned()))
    }

    fn checked(text: &str) -> Result<&str, TextError> {
        let text = text.trim();
        check_length(text, Self::MAX)?;
        match text.chars().find(|c| misleads(*c)) {
            Some(c) => Err(TextError::Control(u32::from(c))),
            None => Ok(text),
        }
    }

    /// The text itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Whether a character changes how text is shown rather than what it says.
pub(crate) fn misleads(c: char) -> bool {
    c.is_control() || changes_direction(c)
}

/// Unicode's explicit direction controls (UAX #9), which can make a figure read backwards.
fn changes_direction(c: char) -> bool {
    matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

fn check_length(text: &str, most: usize) -> Result<(), TextError> {
    if text.is_empty() {
        return Err(TextError::Empty);
    }
    let length = text.chars().count();
    if length > most {
        Err(TextError::TooLong(length, most))
    } else {
        Ok(())
    }
}

macro_rules! text_conversions {
    ($($Name:ident),*) => {$(
        impl TryFrom<String> for $Name {
            type Error = TextError;
            fn try_from(text: String) -> Result<Self, TextError> {
                let kept = Self::checked(&text)?;
                // What stands in documents has no blanks around it and is kept as it came.
                if kept.len() == text.len() {
                    return Ok(Self(text));
                }
                Ok(Self(kept.to_owned()))
            }
        }

        impl From<$Name> for String {
            fn from(text: $Name) -> Self {
                text.0
            }
        }

        impl std::fmt::Display for $Name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    )*};
}
text_conversions!(Code, Label);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_hold_no_blanks_and_no_formulas() {
        assert_eq!(Code::new(" K7-26-0001 ").unwrap().as_str(), "K7-26-0001");
        assert_eq!(
            Code::try_from(" K7-26-0001\t".to_owned()),
            Code::new("K7-26-0001")
        );
        assert_eq!(Code::try_from(" ".to_owned()), Err(TextError::Empty));
        assert_eq!(Code::new(""), Err(TextError::Empty));
        assert_eq!(Code::new("=1+1"), Err(TextError::BadCharacter('=')));
        assert_eq!(Code::new(&"a".repeat(33)), Err(TextError::TooLong(33, 32)));
    }

    #[test]
    fn labels_keep_any_script_but_no_controls() {
        assert_eq!(
            Label::new("<img src=x onerror=…>").unwrap().as_str(),
            "<img src=x onerror=…>"
        );
        assert_eq!(Label::new("a\u{202E}b"), Err(TextError::Control(0x202E)));
        assert_eq!(Label::new("a\nb"), Err(TextError::Control(0x0A)));
    }
}
