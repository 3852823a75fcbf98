//! Numbers of receipts and slips: handset code, two-digit year, running number: `K7-26-00041`.
//!
//! Receipts and slips of a handset share one series that never restarts and has no gap.

use crate::units::Code;
use serde::{Deserialize, Serialize};

/// A number that is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NumberError {
    /// Not of the form.
    #[error("'{0}' is not a receipt number: it looks like K7-26-00041")]
    Form(String),
    /// The series is used up.
    #[error("the series of this handset is used up: enrol the handset again to begin a new one")]
    UsedUp,
}

/// Number of a receipt or a slip.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ReceiptNumber {
    handset: Code,
    year: u8,
    running: u32,
}

impl ReceiptNumber {
    /// Highest running number.
    pub const LAST: u32 = 9_999_999;

    /// Takes the handset's code, the last two digits of the year and the running number from 1.
    pub fn new(handset: &Code, year: u8, running: u32) -> Result<Self, NumberError> {
        if running > Self::LAST {
            return Err(NumberError::UsedUp);
        }
        if year > 99 || running == 0 || handset.as_str().contains('-') {
            return Err(NumberError::Form(format!("{handset}-{year}-{running}")));
        }
        Ok(Self {
            handset: handset.clone(),
            year,
            running,
        })
    }

    /// The handset's code.
    pub const fn handset(&self) -> &Code {
        &self.handset
    }

    /// The running number.
    pub const fn running(&self) -> u32 {
        self.running
    }
}

impl std::fmt::Display for ReceiptNumber {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{:02}-{:05}", self.handset, self.year, self.running)
    }
}

impl TryFrom<String> for ReceiptNumber {
    type Error = NumberError;
    fn try_from(text: String) -> Result<Self, NumberError> {
        let refused = || NumberError::Form(text.chars().take(Code::MAX).collect());
        let mut parts = text.split('-');
        let (Some(handset), Some(year), Some(running), None) =
            (parts.next(), parts.next(), parts.next(), parts.next())
        else {
            return Err(refused());
        };
        let number = Self::new(
            &Code::new(handset).map_err(|_| refused())?,
            year.parse().map_err(|_| refused())?,
            running.parse().map_err(|_| refused())?,
        )?;
        // One number, one spelling.
        if number.to_string() == text {
            Ok(number)
        } else {
            Err(refused())
        }
    }
}

impl From<ReceiptNumber> for String {
    fn from(number: ReceiptNumber) -> Self {
        number.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_has_one_spelling() {
        let number = ReceiptNumber::new(&Code::new("K7").unwrap(), 26, 41).unwrap();
        assert_eq!(number.to_string(), "K7-26-00041");
        assert_eq!(
            ReceiptNumber::try_from("K7-26-00041".to_owned()),
            Ok(number)
        );
        for bad in [
            "K7-26-41",
            "K7-26-000041",
            "K7-26-+0041",
            "K7-126-00041",
            "K7-26-00000",
            "K7",
            "K7-26-00041-1",
        ] {
            assert!(ReceiptNumber::try_from(bad.to_owned()).is_err(), "{bad}");
        }
    }
}
