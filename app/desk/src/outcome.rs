//! What a command says, how it ends, and what to do when it fails.
//!
//! Exit codes: 0 done, 1 done but something was questioned or refused, 2 unusable input.

use serde::Serialize;
use serde_json::value::RawValue;
use std::error::Error;

/// How a command ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// All is well.
    Done = 0,
    /// Something is questioned, or an import was refused.
    Questioned = 1,
    /// What was given cannot be used.
    Unusable = 2,
}

/// What a command that went through has to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// For standard output.
    pub text: String,
    /// What went wrong with part of it, for standard error; each ends with a hint.
    pub troubles: Vec<String>,
    /// How it ends.
    pub exit: Exit,
}

impl Outcome {
    /// Nothing to question.
    pub const fn done(text: String) -> Self {
        Self {
            text,
            troubles: Vec::new(),
            exit: Exit::Done,
        }
    }
}

/// An error that says what to do.
pub trait Advice: Error {
    /// What to do now, as one line.
    fn hint(&self) -> String;

    /// How the command ends.
    fn exit(&self) -> Exit {
        Exit::Unusable
    }
}

/// A command that could not be done.
#[derive(Debug)]
pub struct Failure(Box<dyn Advice>);

impl<E: Advice + 'static> From<E> for Failure {
    fn from(error: E) -> Self {
        Self(Box::new(error))
    }
}

impl Failure {
    /// How the command ends.
    pub fn exit(&self) -> Exit {
        self.0.exit()
    }

    /// What is said on standard error; its last line is the hint.
    pub fn told(&self) -> String {
        told(&self.0, &self.0.hint())
    }
}

/// An error and its hint as they stand on standard error.
pub fn told(error: &impl std::fmt::Display, hint: &str) -> String {
    format!("error: {error}\nhint: {hint}\n")
}

/// A value as JSON for another program.
pub fn json(value: &impl Serialize) -> Result<String, JsonError> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(JsonError)
}

/// An answer that cannot be written as JSON: a fault of this program.
#[derive(Debug, thiserror::Error)]
#[error("the answer cannot be written as JSON: {0}")]
pub struct JsonError(serde_json::Error);

impl Advice for JsonError {
    fn hint(&self) -> String {
        "leave --json out, and report this fault with the command you gave".to_owned()
    }
}

/// A count of small units as an exact JSON number: 1814 hundredths are `18.14`.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct Decimal(Box<RawValue>);

impl Decimal {
    /// A count of units of `10^-places`.
    pub fn new(count: i64, places: usize) -> Result<Self, JsonError> {
        RawValue::from_string(combgate_ui::figures::decimal(count, places, 0))
            .map(Self)
            .map_err(JsonError)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact_numbers() {
        for (count, places, written) in [
            (18_14, 2, "18.14"),
            (18_00, 2, "18"),
            (5, 3, "0.005"),
            (-25, 1, "-2.5"),
            (i64::MAX, 3, "9223372036854775.807"),
        ] {
            let value = Decimal::new(count, places).unwrap();
            assert_eq!(serde_json::to_string(&value).unwrap(), written);
        }
    }

    #[test]
    fn what_is_said_of_an_error_ends_with_its_hint() {
        let failure = Failure::from(JsonError(
            serde_json::from_str::<u8>("x").expect_err("not JSON"),
        ));
        let told = failure.told();
        assert!(told.starts_with("error: "), "{told}");
        assert!(
            told.lines()
                .last()
                .is_some_and(|line| line.starts_with("hint: "))
        );
        assert_eq!(failure.exit(), Exit::Unusable);
    }
}
