//! Money in minor units, and exact amounts between the minor units.

use serde::{Deserialize, Serialize};

/// What cannot be done with money.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    /// The code is in no published list.
    #[error("'{0}' is not a currency of ISO 4217: write its three capital letters, such as KES")]
    UnknownCurrency(String),
    /// Two currencies met in one sum.
    #[error("{0} and {1} cannot be added: keep one currency to a price list")]
    MixedCurrencies(Currency, Currency),
    /// Not a plain decimal.
    #[error("'{0}' is not an amount: write a plain decimal in minor units, such as -1234.5")]
    NotAnAmount(String),
    /// Too large to pay.
    #[error("the amount is beyond what can be counted: check the price and the weight")]
    TooLarge,
}

/// A currency of ISO 4217, with its number of decimals from the published list.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// Takes the three capital letters of ISO 4217.
    pub fn new(code: &str) -> Result<Self, MoneyError> {
        iso_currency::Currency::from_code(code)
            .filter(|currency| currency.exponent().is_some())
            .map(Self)
            .ok_or_else(|| MoneyError::UnknownCurrency(code.chars().take(8).collect()))
    }

    /// The three letters.
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Decimals of the minor unit: 2 for KES, 0 for UGX (ISO 4217).
    pub fn decimals(self) -> u32 {
        // OK because `new` admits only currencies that have an exponent.
        u32::from(self.0.exponent().unwrap_or(0))
    }
}

impl std::fmt::Debug for Currency {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.code())
    }
}

impl std::fmt::Display for Currency {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.code())
    }
}

impl TryFrom<String> for Currency {
    type Error = MoneyError;
    fn try_from(code: String) -> Result<Self, MoneyError> {
        Self::new(&code)
    }
}

impl From<Currency> for String {
    fn from(currency: Currency) -> Self {
        currency.code().to_owned()
    }
}

/// A whole number of minor units of one currency; negative for a sum owed back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    /// Greatest amount either way, in minor units: exact in every program that reads JSON.
    pub const MAX_MINOR: i64 = 1_000_000_000_000_000;

    /// Takes minor units (cents, or whole shillings where there are none).
    pub const fn new(minor: i64, currency: Currency) -> Result<Self, MoneyError> {
        if minor > Self::MAX_MINOR || minor < -Self::MAX_MINOR {
            return Err(MoneyError::TooLarge);
        }
        Ok(Self { minor, currency })
    }

    /// Nothing.
    pub const fn zero(currency: Currency) -> Self {
        Self { minor: 0, currency }
    }

    /// Minor units.
    pub const fn minor(self) -> i64 {
        self.minor
    }

    /// Its currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// Sum within one currency.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::MixedCurrencies(self.currency, other.currency));
        }
        Self::new(self.minor + other.minor, self.currency)
    }

    /// Difference within one currency.
    pub fn minus(self, other: Self) -> Result<Self, MoneyError> {
        self.plus(Self {
            minor: -other.minor,
            ..other
        })
    }
}

/// An exact amount between the minor units: ten-millionths of one.
///
/// Grams times minor units per kilogram times a rate in hundredths of a percent is a whole
/// number of these, so no line of a price is ever rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ExactMinor(i128);

impl ExactMinor {
    /// Parts in one minor unit: 1,000 grams in a kilogram times 10,000 parts in the whole.
    pub const PARTS: i128 = 10_000_000;
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// From whole minor units.
    pub fn from_minor(minor: i64) -> Self {
        Self(i128::from(minor) * Self::PARTS)
    }

    /// From ten-millionths of a minor unit.
    pub const fn from_parts(parts: i128) -> Self {
        Self(parts)
    }

    /// Ten-millionths of a minor unit.
    pub const fn parts(self) -> i128 {
        self.0
    }

    /// Sum; `None` on overflow.
    pub fn plus(self, other: Self) -> Option<Self> {
        self.0.checked_add(other.0).map(Self)
    }

    /// The same with the sign turned.
    #[must_use]
    pub const fn negated(self) -> Self {
        Self(-self.0)
    }

    /// The parts of an amount as it is written, without a sign: no zero before the whole, none after
    /// the decimals.
    fn read(text: &str) -> Option<i128> {
        let is_number =
            |digits: &str| !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        let (whole, decimals) = match text.split_once('.') {
            None => (text, None),
            Some((whole, decimals)) => (whole, Some(decimals)),
        };
        if !is_number(whole) || (whole.len() > 1 && whole.starts_with('0')) {
            return None;
        }
        let parts = whole.parse::<i128>().ok()?.checked_mul(Self::PARTS)?;
        let Some(decimals) = decimals else {
            return Some(parts);
        };
        let places = u32::try_from(decimals.len()).ok()?;
        if !is_number(decimals) || decimals.ends_with('0') {
            return None;
        }
        let rest = decimals.parse::<i128>().ok()?;
        parts.checked_add(rest * 10_i128.pow(7_u32.checked_sub(places)?))
    }

    /// Whole minor units, if it is whole and can be paid.
    pub fn whole_minor(self) -> Option<i64> {
        (self.0 % Self::PARTS == 0).then(|| i64::try_from(self.0 / Self::PARTS).ok())?
    }
}

impl std::str::FromStr for ExactMinor {
    type Err = MoneyError;

    /// Reads what [`Display`](std::fmt::Display) writes, and nothing else.
    fn from_str(text: &str) -> Result<Self, MoneyError> {
        let read = match text.strip_prefix('-') {
            // One amount, one spelling.
            Some(digits) => Self::read(digits).and_then(|parts| (parts != 0).then_some(-parts)),
            None => Self::read(text),
        };
        read.map(Self)
            .ok_or_else(|| MoneyError::NotAnAmount(text.chars().take(40).collect()))
    }
}

/// Plain decimal in minor units, no more digits than needed: `4657512.5`.
impl std::fmt::Display for ExactMinor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let parts = self.0.unsigned_abs();
        let (whole, rest) = (
            parts / Self::PARTS.unsigned_abs(),
            parts % Self::PARTS.unsigned_abs(),
        );
        let sign = if self.0 < 0 { "-" } else { "" };
        if rest == 0 {
            return write!(f, "{sign}{whole}");
        }
        let digits = format!("{rest:07}");
        write!(f, "{sign}{whole}.{}", digits.trim_end_matches('0'))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: ISO 4217 list as copied in tests/reference/crypto_and_format_vectors.md, section 3.
    #[test]
    fn decimals_follow_iso_4217() {
        for (code, decimals) in [
            ("KES", 2),
            ("TZS", 2),
            ("UGX", 0),
            ("ETB", 2),
            ("RWF", 0),
            ("ZMW", 2),
            ("XOF", 0),
            ("MWK", 2),
            ("MGA", 2),
        ] {
            assert_eq!(Currency::new(code).unwrap().decimals(), decimals, "{code}");
        }
        assert!(Currency::new("kes").is_err());
        assert!(Currency::new("XXZ").is_err());
    }

    #[test]
    fn money_of_two_currencies_is_never_summed() {
        let kes = Money::new(1, Currency::new("KES").unwrap()).unwrap();
        let ugx = Money::new(1, Currency::new("UGX").unwrap()).unwrap();
        assert!(matches!(
            kes.plus(ugx),
            Err(MoneyError::MixedCurrencies(..))
        ));
        assert_eq!(kes.plus(kes).unwrap().minor(), 2);
        assert!(Money::new(Money::MAX_MINOR + 1, kes.currency()).is_err());
    }

    #[test]
    fn exact_amounts_print_as_plain_decimals() {
        for (parts, shown) in [
            (0, "0"),
            (10_000_000, "1"),
            (5_000_000, "0.5"),
            (-15_000_000, "-1.5"),
            (1, "0.0000001"),
        ] {
            assert_eq!(ExactMinor::from_parts(parts).to_string(), shown);
            assert_eq!(shown.parse(), Ok(ExactMinor::from_parts(parts)));
        }
        for bad in [
            "",
            "-",
            ".5",
            "1.",
            "01",
            "1.50",
            "-0",
            "+1",
            "1e3",
            "0.00000001",
            "1.-5",
            "1.+5",
            "00",
            "-00.5",
            "0.0",
            "-0.0",
            "1.2.3",
            " 1",
            "1 ",
            "١",
            "17014118346046923173168730371588.4105728",
            "170141183460469231731687303715884105728",
        ] {
            assert!(bad.parse::<ExactMinor>().is_err(), "{bad}");
        }
    }
}
