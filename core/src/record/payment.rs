//! Paying later what a receipt left owed.

use super::entry::{Means, PaymentV1, ReceiptV1};
use crate::units::Code;
use chrono::NaiveDate;

/// Why a payment is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PaymentError {
    /// The receipt is paid.
    #[error("nothing is owed on this receipt: look at what was paid on it")]
    NothingOwed,
    /// Nothing, or less.
    #[error("a payment of {0} minor units is none: type what is handed over")]
    NotPositive(i64),
    /// More than there is to pay.
    #[error("only {left_minor} minor units are owed: type that or less")]
    TooMuch {
        /// What is owed, minor units.
        left_minor: i64,
    },
    /// A telephone's money is found again by its reference alone.
    #[error("the reference is missing: take it from the payment message")]
    NoReference,
}

impl Means {
    /// Whether money handed over by these means is found again: cash in the count at the day's
    /// end, a telephone's money by its reference.
    pub const fn is_traced_by(self, reference: Option<&Code>) -> bool {
        match self {
            Self::Cash => true,
            Self::MobileMoney => reference.is_some(),
        }
    }
}

impl ReceiptV1 {
    /// What is still owed in minor units, after so much was paid on it since it was issued.
    pub const fn owed_after(&self, paid_later_minor: i64) -> i64 {
        self.settlement.owed_minor.saturating_sub(paid_later_minor)
    }
}

impl PaymentV1 {
    /// Pays all or a part of what is owed; amounts in minor units. `paid_later_minor` is what was
    /// paid on the receipt before, after it was issued.
    ///
    /// # Errors
    /// See [`PaymentError`].
    pub fn of(
        receipt: &ReceiptV1,
        paid_later_minor: i64,
        paid_minor: i64,
        means: Means,
        reference: Option<Code>,
        day: NaiveDate,
    ) -> Result<Self, PaymentError> {
        let left_minor = receipt.owed_after(paid_later_minor);
        if left_minor <= 0 {
            return Err(PaymentError::NothingOwed);
        }
        if paid_minor <= 0 {
            return Err(PaymentError::NotPositive(paid_minor));
        }
        if paid_minor > left_minor {
            return Err(PaymentError::TooMuch { left_minor });
        }
        if !means.is_traced_by(reference.as_ref()) {
            return Err(PaymentError::NoReference);
        }
        Ok(Self {
            number: receipt.number.clone(),
            day,
            paid_minor,
            means,
            // Cash has none, whatever was typed before the means were changed.
            reference: reference.filter(|_| means == Means::MobileMoney),
        })
    }
}
