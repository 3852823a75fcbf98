//! Pails, readings and a newcomer as they were typed, and what can be read of them.

use crate::speech::language;
use crate::trouble;
use combgate_core::honey::Scale;
use combgate_core::record::{MemberRegisteredV1, PailV1, ReadingV1};
use combgate_core::units::{Celsius, Code, Grams, Label};
use combgate_ui::figures;
use combgate_ui::words::{Word, text};
use serde::{Deserialize, Serialize};

/// Decimals of a mass in kilograms: whole grams.
pub const KILOGRAM_PLACES: usize = 3;
/// Decimals of a temperature: tenths of a degree.
pub const CELSIUS_PLACES: usize = 1;

/// Decimals of a reading: hundred-thousandths of index, hundredths of Brix and of percent.
pub const fn reading_places(scale: Scale) -> usize {
    match scale {
        Scale::RefractiveIndex => 5,
        Scale::Brix | Scale::Water => 2,
    }
}

/// A pail as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedPail {
    /// Number painted on it.
    pub number: String,
    /// Seal, if any.
    pub seal: String,
    /// Empty, in kilograms.
    pub tare: String,
    /// Full, in kilograms.
    pub gross: String,
}

/// A reading as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedReading {
    /// What the scale shows.
    pub value: String,
    /// Degrees Celsius.
    pub temperature: String,
}

/// Somebody who is to be put on the register, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Newcomer {
    /// Name.
    pub name: String,
    /// Village.
    pub village: String,
    /// Telephone.
    pub phone: String,
    /// Agrees to be on the register.
    pub consent: bool,
    /// Agrees to photos.
    pub photos: bool,
    /// Agrees to be shown to buyers.
    pub sharing: bool,
    /// The number under which the entry was to be written: once it is in the journal, this is the
    /// member, even if the page ended in between.
    pub number: Option<Code>,
}

impl TypedPail {
    /// Whether nothing was typed.
    pub fn is_blank(&self) -> bool {
        [&self.number, &self.seal, &self.tare, &self.gross]
            .into_iter()
            .all(|typed| typed.trim().is_empty())
    }

    /// Whether something is typed of it and no number: what is weighed then would be nobody's.
    pub fn lacks_number(&self) -> bool {
        self.number.trim().is_empty() && !self.is_blank()
    }

    pub(super) fn is_readable(&self) -> bool {
        !self.lacks_number()
            && or_blank(&self.number, |typed| Code::new(typed).is_ok())
            && or_blank(&self.seal, |typed| Code::new(typed).is_ok())
            && or_blank(&self.tare, |typed| grams(typed).is_some())
            && or_blank(&self.gross, |typed| grams(typed).is_some())
    }

    pub(super) fn read(&self) -> Option<PailV1> {
        Some(PailV1 {
            number: Code::new(&self.number).ok()?,
            seal: match self.seal.trim() {
                "" => None,
                typed => Some(Code::new(typed).ok()?),
            },
            gross_g: grams(&self.gross)?,
            tare_g: grams(&self.tare)?,
        })
    }
}

impl TypedReading {
    pub(super) fn is_blank(&self) -> bool {
        self.value.trim().is_empty() && self.temperature.trim().is_empty()
    }

    pub(super) fn is_readable(&self, scale: Scale) -> bool {
        or_blank(&self.value, |typed| {
            figures::parse(typed, reading_places(scale)).is_ok()
        }) && or_blank(&self.temperature, |typed| celsius(typed).is_some())
    }

    pub(super) fn read(&self, scale: Scale) -> Option<ReadingV1> {
        Some(ReadingV1 {
            value: figures::parse(&self.value, reading_places(scale)).ok()?,
            temperature_tenths_c: celsius(&self.temperature)?,
        })
    }
}

impl Newcomer {
    /// Whether nothing was typed or ticked.
    pub fn is_blank(&self) -> bool {
        *self == Self::default()
    }

    /// What goes on the register under this number.
    ///
    /// # Errors
    /// What is wrong, as a sentence.
    pub fn read(&self, number: Code) -> Result<MemberRegisteredV1, String> {
        let if_any = |typed: &str| match typed.trim() {
            "" => Ok(None),
            typed => Label::new(typed).map(Some),
        };
        if !self.consent {
            return Err(text(language(), Word::PurchaseConsentNeeded).to_owned());
        }
        let wrong = |error| trouble::of_text(&error);
        Ok(MemberRegisteredV1 {
            member: number,
            name: Label::new(&self.name).map_err(wrong)?,
            village: if_any(&self.village).map_err(wrong)?,
            phone: if_any(&self.phone).map_err(wrong)?,
            consent: true,
            photos: self.photos,
            sharing: self.sharing,
        })
    }
}

fn grams(typed: &str) -> Option<Grams> {
    Grams::new(figures::parse(typed, KILOGRAM_PLACES).ok()?).ok()
}

fn celsius(typed: &str) -> Option<Celsius> {
    Celsius::new(figures::parse(typed, CELSIUS_PLACES).ok()?).ok()
}

fn or_blank(typed: &str, good: impl FnOnce(&str) -> bool) -> bool {
    typed.trim().is_empty() || good(typed)
}
