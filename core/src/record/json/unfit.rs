//! What in a document does not fit its type.

use super::told;
use super::tree::Node;
use serde::de::{Expected, Unexpected};
use std::fmt::Display;

const MISSING: &str = "a value is missing";

/// What does not fit, in what, and where; nothing where a value is missing. Behind a pointer, for it
/// is carried out through every value around it.
#[derive(Debug)]
pub(super) struct Unfit(Option<Box<Details>>);

#[derive(Debug)]
struct Details {
    reason: String,
    /// Names of the fields around it, the outermost first.
    inside: String,
    at: Option<usize>,
}

impl Details {
    fn of(reason: impl Display) -> Self {
        Self {
            reason: told(reason),
            inside: String::new(),
            at: None,
        }
    }
}

impl Unfit {
    /// For a reason, which is told where reasons are (see the feature `reasons`).
    #[cold]
    pub(super) fn because(reason: impl Display) -> Self {
        Self(Some(Box::new(Details::of(reason))))
    }

    /// For want of a value.
    pub(super) const fn missing() -> Self {
        Self(None)
    }

    /// Whether it is for want of a value, and nobody has said yet of which.
    pub(super) const fn is_missing(&self) -> bool {
        self.0.is_none()
    }

    fn with(mut self, change: impl FnOnce(&mut Details)) -> Self {
        let details = || Box::new(Details::of(MISSING));
        change(self.0.get_or_insert_with(details));
        self
    }

    /// The place is that of the innermost value; names are gathered on the way out.
    #[cold]
    pub(super) fn inside(self, name: &str, value: Node<'_>) -> Self {
        self.with(|details| {
            if cfg!(feature = "reasons") {
                let inside = &mut details.inside;
                let dot = if inside.is_empty() { "" } else { "." };
                *inside = [name.trim_matches('"'), dot, inside].concat();
            }
        })
        .at(value.at())
    }

    /// The place, where none is known yet.
    #[cold]
    pub(super) fn at(self, at: usize) -> Self {
        self.with(|details| {
            details.at.get_or_insert(at);
        })
    }

    /// Where, in bytes.
    pub(super) fn place(&self) -> usize {
        self.0.as_ref().and_then(|details| details.at).unwrap_or(0)
    }
}

impl Display for Unfit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Some(details) = &self.0 else {
            return f.write_str(MISSING);
        };
        f.write_str(&details.reason)?;
        if details.inside.is_empty() {
            return Ok(());
        }
        write!(f, " in `{}`", details.inside)
    }
}

impl std::error::Error for Unfit {}

impl serde::de::Error for Unfit {
    #[cold]
    fn custom<T: Display>(message: T) -> Self {
        Self::because(message)
    }

    // Whoever read the values of a type until they ended knows which one comes next.
    #[cold]
    fn invalid_length(_: usize, _: &dyn Expected) -> Self {
        Self::missing()
    }

    // What was found instead stands in the text, at the place that is named.
    #[cold]
    fn invalid_type(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::because(format_args!("expected {expected}"))
    }

    #[cold]
    fn invalid_value(_: Unexpected<'_>, expected: &dyn Expected) -> Self {
        Self::because(format_args!("expected {expected}"))
    }
}
