//! Quantities: each is stated once here, with its unit, its range and the reason for the range.
//!
//! Every quantity is a whole number of its smallest useful unit, so that phone and desk agree
//! to the bit. The only door is the checked `new`; deserialisation goes through it.

mod decimal;
mod money;
mod text;

pub use decimal::decimal;
pub use money::{Currency, ExactMinor, Money, MoneyError};
pub(crate) use text::misleads;
pub use text::{Code, Label, TextError};

use serde::{Deserialize, Serialize};

/// Milligrams in a gram.
pub const MILLIGRAMS_PER_GRAM: i64 = 1_000;
/// Grams in a kilogram.
pub const GRAMS_PER_KILOGRAM: i64 = 1_000;
/// Hundredths of a percent in the whole.
pub const WHOLE_SHARE: i64 = 10_000;

/// A value that the quantity cannot take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "{quantity} of {value} {unit} is outside {min} to {max}: check the figure and enter it again"
)]
pub struct RangeError {
    /// Which quantity, in plain words.
    pub quantity: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The value refused.
    pub value: i64,
    /// Least value allowed.
    pub min: i64,
    /// Greatest value allowed.
    pub max: i64,
}

/// One row of the table of quantities.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quantity {
    /// Plain name.
    pub name: &'static str,
    /// Smallest unit, which the whole number counts.
    pub unit: &'static str,
    /// Least value allowed.
    pub min: i64,
    /// Greatest value allowed.
    pub max: i64,
    /// Why the range is what it is.
    pub reason: &'static str,
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $Name:ident: $name:literal in $unit:literal, $min:literal to $max:literal, $reason:literal;)*) => {
        $(
            $(#[$doc])*
            #[doc = concat!("\n\nUnit: ", $unit, ". Range: `", $min, "` to `", $max, "`: ", $reason, ".")]
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
            #[serde(try_from = "i64", into = "i64")]
            pub struct $Name(i64);

            impl $Name {
                /// The row of the table of quantities.
                pub const QUANTITY: Quantity = Quantity {
                    name: $name, unit: $unit, min: $min, max: $max, reason: $reason,
                };
                /// Least value.
                pub const MIN: Self = Self($min);
                /// Greatest value.
                pub const MAX: Self = Self($max);

                #[doc = concat!("Takes a count of ", $unit, "; refuses what is out of range.")]
                pub const fn new(value: i64) -> Result<Self, RangeError> {
                    if value < $min || value > $max {
                        return Err(RangeError {
                            quantity: $name, unit: $unit, value, min: $min, max: $max,
                        });
                    }
                    Ok(Self(value))
                }

                #[doc = concat!("The count of ", $unit, ".")]
                pub const fn get(self) -> i64 {
                    self.0
                }
            }

            impl TryFrom<i64> for $Name {
                type Error = RangeError;
                fn try_from(value: i64) -> Result<Self, RangeError> {
                    Self::new(value)
                }
            }

            impl From<$Name> for i64 {
                fn from(value: $Name) -> i64 {
                    value.0
                }
            }
        )*

        /// Every quantity, its unit, its range and the reason for it.
        pub const QUANTITIES: &[Quantity] = &[$($Name::QUANTITY),*];
    };
}

quantities! {
    /// A mass, weighed or summed.
    Grams: "mass" in "g", 0 to 1_000_000_000_000,
        "a mass is never negative, and a million tonnes is beyond any district's seasons";
    /// Water content of honey, as a share of mass.
    Moisture: "moisture" in "hundredths of a percent", 500 to 6_000,
        "published honeys lie between 13 and 46 %; outside 5 to 60 % the figure is a slip of the pen";
    /// Standard uncertainty (one standard deviation) of a moisture value.
    MoistureUncertainty: "moisture uncertainty" in "hundredths of a percent", 0 to 3_000,
        "a value less certain than 30 points says nothing";
    /// Part of a whole: capped share, confidence, levy rate.
    Share: "share" in "hundredths of a percent", 0 to 10_000,
        "a part lies between nothing and the whole";
    /// A temperature.
    Celsius: "temperature" in "tenths of a degree Celsius", -300 to 1_500,
        "from deep cold storage to well above any warming bath";
    /// Refractive index nD at the sodium line.
    RefractiveIndex: "refractive index" in "hundred-thousandths", 133_000 to 153_000,
        "from water to beyond the driest honey";
    /// Sucrose scale of a refractometer, grams of sucrose in 100 g.
    Brix: "sucrose reading" in "hundredths of a degree Brix", 0 to 9_500,
        "the scale is defined up to saturation";
    /// What a refractometer's last check found: its reading less the reference value.
    Offset: "check offset" in "smallest units of the instrument's scale", -1_000 to 1_000,
        "an instrument off by more than ten points (or 0.01 in index) needs mending, not correcting";
    /// Verification scale interval e of a weighing scale.
    ScaleInterval: "scale interval" in "g", 1 to 1_000,
        "field scales for pails read in steps of one gram to one kilogram";
    /// Price of one kilogram.
    UnitPrice: "price per kilogram" in "minor units", 0 to 10_000_000_000,
        "a hundred million to the kilogram is beyond any currency in use";
    /// A count of points scored on comb.
    Points: "comb points" in "points", 0 to 10_000,
        "nobody counts more on one comb";
}

impl Grams {
    /// Nothing on the scale.
    pub const ZERO: Self = Self(0);

    /// Sum, refused when it leaves the range.
    pub const fn plus(self, other: Self) -> Result<Self, RangeError> {
        Self::new(self.0 + other.0)
    }

    /// Difference; `None` when `other` is heavier.
    pub const fn minus(self, other: Self) -> Option<Self> {
        if other.0 > self.0 {
            None
        } else {
            Some(Self(self.0 - other.0))
        }
    }

    /// Sum of many.
    pub fn sum(all: impl IntoIterator<Item = Self>) -> Result<Self, RangeError> {
        all.into_iter().try_fold(Self::ZERO, Self::plus)
    }
}

impl Share {
    /// The whole as a fraction of one, for probability.
    pub(crate) fn fraction(self) -> f64 {
        as_float(self.0) / as_float(WHOLE_SHARE)
    }

    /// The nearest share to a fraction, held between nothing and the whole.
    pub(crate) fn nearest(fraction: f64) -> Self {
        Self(nearest_integer(
            fraction.clamp(0.0, 1.0) * as_float(WHOLE_SHARE),
        ))
    }
}

/// A quantity's count as a float. Exact: every range above lies within 2^53.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn as_float(count: i64) -> f64 {
    count as f64
}

/// Rounds half away from zero; saturates outside the range of `i64`.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn nearest_integer(value: f64) -> i64 {
    libm::round(value) as i64
}

/// Rounds up; saturates outside the range of `i64`.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn integer_above(value: f64) -> i64 {
    libm::ceil(value) as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_quantity_takes_its_edges_and_nothing_beyond() {
        for row in QUANTITIES {
            assert!(row.min < row.max, "{}", row.name);
            assert!(!row.reason.is_empty(), "{}", row.name);
        }
        assert_eq!(Moisture::new(500).map(Moisture::get), Ok(500));
        assert_eq!(Moisture::new(6_000).map(Moisture::get), Ok(6_000));
        assert!(Moisture::new(499).is_err());
        assert!(Moisture::new(6_001).is_err());
        assert!(Grams::new(-1).is_err());
    }

    #[test]
    fn an_error_says_what_to_do() {
        let message = Moisture::new(9_999).unwrap_err().to_string();
        assert_eq!(
            message,
            "moisture of 9999 hundredths of a percent is outside 500 to 6000: \
             check the figure and enter it again"
        );
    }

    #[test]
    fn deserialisation_goes_through_the_constructor() {
        assert!(serde_json::from_str::<Grams>("-5").is_err());
        assert_eq!(
            serde_json::from_str::<Grams>("5").unwrap(),
            Grams::new(5).unwrap()
        );
        assert!(serde_json::from_str::<Grams>("5.0").is_err());
    }

    #[test]
    fn a_tare_above_the_gross_has_no_difference() {
        let (light, heavy) = (Grams::new(1).unwrap(), Grams::new(2).unwrap());
        assert_eq!(light.minus(heavy), None);
        assert_eq!(heavy.minus(light), Some(light));
    }
}
