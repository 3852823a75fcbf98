//! A price list document.

use super::TERMS_BYTES_AT_MOST;
use super::json::{DocumentError, check_version, from_text};
use crate::intake::{
    Bee, Form, Levy, LevyRate, MoistureStep, Period, Premium, PriceList, PriceListParts, PriceRow,
};
use crate::units::{Code, Currency, Label, Moisture, Share, UnitPrice};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-price-list/1";

/// See [`PriceListParts`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PriceListV1 {
    /// `combgate-price-list/1`.
    pub format: String,
    /// Its name.
    pub id: Code,
    /// What people call it.
    pub title: Label,
    /// First day in force.
    #[serde(with = "super::time::day")]
    pub from: NaiveDate,
    /// Last day in force.
    #[serde(
        default,
        with = "super::time::day_if_any",
        skip_serializing_if = "Option::is_none"
    )]
    pub until: Option<NaiveDate>,
    /// ISO 4217.
    pub currency: Currency,
    /// Smallest coin handed over, minor units.
    pub coin_minor: i64,
    /// Most of the value that may go to an advance, hundredths of a percent.
    pub advance_share_at_most_hundredths: Share,
    /// Prices.
    pub prices: Vec<PriceV1>,
    /// Deductions for moisture.
    pub moisture_steps: Vec<MoistureStepV1>,
    /// Additions.
    pub premiums: Vec<PremiumV1>,
    /// Levies.
    pub levies: Vec<LevyV1>,
}

/// See [`PriceRow`]. Several forms may share a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PriceV1 {
    /// Which bee.
    pub bee: Bee,
    /// Which forms.
    pub forms: Vec<Form>,
    /// Which grade.
    pub grade: Code,
    /// Minor units a kilogram.
    pub per_kg_minor: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// See [`MoistureStep`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoistureStepV1 {
    /// Which bee.
    pub bee: Bee,
    /// Which forms.
    pub forms: Vec<Form>,
    /// Applies above this, hundredths of a percent.
    pub above_hundredths: Moisture,
    /// Taken off each kilogram, minor units.
    pub per_kg_minor: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// See [`Premium`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PremiumV1 {
    /// Its code.
    pub code: Code,
    /// What it is called.
    pub label: Label,
    /// Added to each kilogram, minor units.
    pub per_kg_minor: UnitPrice,
    /// Who set it and when.
    pub source: Label,
}

/// See [`Levy`]: exactly one of the two rates.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevyV1 {
    /// Its code.
    pub code: Code,
    /// What it is called.
    pub label: Label,
    /// Who gets it.
    pub payee: Label,
    /// Off each kilogram, minor units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_kg_minor: Option<UnitPrice>,
    /// Of the value, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of_value_hundredths: Option<Share>,
    /// On what authority.
    pub source: Label,
}

impl PriceListV1 {
    /// Reads and checks a price list document.
    pub fn read(text: &str) -> Result<PriceList, DocumentError> {
        let wire: Self = from_text("price list", text, TERMS_BYTES_AT_MOST)?;
        check_version("price list", &wire.format, FORMAT)?;
        PriceList::new(wire.into_parts()?)
            .map_err(|error| DocumentError::malformed("price list", error))
    }

    fn into_parts(self) -> Result<PriceListParts, DocumentError> {
        Ok(PriceListParts {
            id: self.id,
            title: self.title,
            period: Period {
                from: self.from,
                until: self.until,
            },
            currency: self.currency,
            coin_minor: self.coin_minor,
            advance_share_at_most: self.advance_share_at_most_hundredths,
            rows: self.prices.iter().flat_map(PriceV1::rows).collect(),
            moisture_steps: self
                .moisture_steps
                .iter()
                .flat_map(MoistureStepV1::steps)
                .collect(),
            premiums: self
                .premiums
                .into_iter()
                .map(|premium| Premium {
                    code: premium.code,
                    label: premium.label,
                    per_kg: premium.per_kg_minor,
                    source: premium.source,
                })
                .collect(),
            levies: self
                .levies
                .into_iter()
                .map(LevyV1::levy)
                .collect::<Result<_, _>>()?,
        })
    }
}

impl PriceV1 {
    fn rows(&self) -> impl Iterator<Item = PriceRow> {
        self.forms.iter().map(|form| PriceRow {
            bee: self.bee,
            form: *form,
            grade: self.grade.clone(),
            per_kg: self.per_kg_minor,
            source: self.source.clone(),
        })
    }
}

impl MoistureStepV1 {
    fn steps(&self) -> impl Iterator<Item = MoistureStep> {
        self.forms.iter().map(|form| MoistureStep {
            bee: self.bee,
            form: *form,
            above: self.above_hundredths,
            per_kg: self.per_kg_minor,
            source: self.source.clone(),
        })
    }
}

impl LevyV1 {
    fn levy(self) -> Result<Levy, DocumentError> {
        let rate = match (self.per_kg_minor, self.of_value_hundredths) {
            (Some(price), None) => LevyRate::PerKilogram(price),
            (None, Some(share)) => LevyRate::OfValue(share),
            _ => {
                return Err(DocumentError::malformed(
                    "price list",
                    format!("levy {} needs exactly one of the two rates", self.code),
                ));
            }
        };
        Ok(Levy {
            code: self.code,
            label: self.label,
            payee: self.payee,
            rate,
            source: self.source,
        })
    }
}
