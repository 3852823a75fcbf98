//! A sum of money as a finding names it.

use crate::units::{Currency, decimal};
use std::fmt;

/// A sum that somebody signed or that comes out, in minor units; what a journal adds up may lie
/// beyond [`crate::units::Money`], and a paper may name no currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sum {
    /// Minor units.
    pub minor: i64,
    /// Of which currency, if it is said.
    pub currency: Option<Currency>,
}

/// The currency's letters and the amount with its decimals (ISO 4217): `KES 1234.50`, `UGX 1234`;
/// bare minor units where no currency is said.
impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some(currency) = self.currency else {
            return write!(f, "{} minor units", self.minor);
        };
        let decimals = usize::try_from(currency.decimals()).unwrap_or(0);
        let amount = decimal(self.minor, decimals, decimals);
        write!(f, "{currency} {amount}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(minor: i64, code: &str) -> String {
        let currency = Currency::new(code).ok();
        Sum { minor, currency }.to_string()
    }

    #[test]
    fn a_sum_has_the_decimals_of_its_currency() {
        // ISO 4217, list one: KES 2, UGX 0, TND 3.
        assert_eq!(told(12_345, "KES"), "KES 123.45");
        assert_eq!(told(-5, "KES"), "KES -0.05");
        assert_eq!(told(12_345, "UGX"), "UGX 12345");
        assert_eq!(told(12_345, "TND"), "TND 12.345");
        assert_eq!(told(i64::MIN, "KES"), "KES -92233720368547758.08");
        assert_eq!(told(7, ""), "7 minor units");
    }
}
