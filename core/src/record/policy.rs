//! A policy document: the limits, weights and grades that a cooperative judges by.

use super::TERMS_BYTES_AT_MOST;
use super::json::{DocumentError, check_version, from_text};
use crate::honey::UncertaintyBudget;
use crate::intake::{
    Bee, Fault, FaultRule, FaultWeight, Form, GradeRule, Period, Policy, PolicyParts, ProductRule,
    ShrinkRule,
};
use crate::units::{Code, Grams, Label, Moisture, MoistureUncertainty, Share};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

const FORMAT: &str = "combgate-policy/1";

/// See [`PolicyParts`]. Several forms may share a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PolicyV1 {
    /// `combgate-policy/1`.
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
    /// How sure one must be, hundredths of a percent.
    pub confidence_hundredths: Share,
    /// Within this of a limit a single reading never refuses, hundredths of a percent.
    pub guard_band_hundredths: u16,
    /// Uncertainty of measuring.
    pub measuring: MeasuringV1,
    /// Limits.
    pub products: Vec<ProductV1>,
    /// Weights of faults.
    pub faults: Vec<FaultV1>,
    /// Grades, best first.
    pub grades: Vec<GradeV1>,
    /// What may be lost on the way to the store.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shrink: Vec<ShrinkV1>,
}

/// See [`UncertaintyBudget`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuringV1 {
    /// Hundredths of a percent.
    pub checked_half_width_hundredths: MoistureUncertainty,
    /// Hundredths of a percent.
    pub unchecked_half_width_hundredths: MoistureUncertainty,
    /// Hundredths of a percent.
    pub repeatability_hundredths: MoistureUncertainty,
    /// Tenths of a degree.
    pub temperature_half_width_tenths_c: u16,
}

/// See [`ProductRule`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProductV1 {
    /// Which bee.
    pub bee: Bee,
    /// Which forms.
    pub forms: Vec<Form>,
    /// Most water, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moisture_at_most_hundredths: Option<Moisture>,
    /// Least capped share, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capped_at_least_hundredths: Option<Share>,
    /// Where the limits come from.
    pub source: Label,
}

/// See [`FaultRule`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultV1 {
    /// Which fault.
    pub fault: Fault,
    /// How much it weighs.
    pub weight: FaultWeight,
    /// Where that comes from.
    pub source: Label,
}

/// See [`GradeRule`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GradeV1 {
    /// The grade it gives.
    pub grade: Code,
    /// Which bee.
    pub bee: Bee,
    /// Which forms.
    pub forms: Vec<Form>,
    /// Most water, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moisture_at_most_hundredths: Option<Moisture>,
    /// Least capped share, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capped_at_least_hundredths: Option<Share>,
    /// Faults that bar it.
    pub barred_by: Vec<Fault>,
    /// Where the row comes from.
    pub source: Label,
}

/// See [`ShrinkRule`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShrinkV1 {
    /// Which forms.
    pub forms: Vec<Form>,
    /// At most this share of the net mass, hundredths of a percent.
    pub share_at_most_hundredths: Share,
    /// So much is always allowed, grams.
    pub least_g: Grams,
    /// Where the row comes from.
    pub source: Label,
}

impl PolicyV1 {
    /// Reads and checks a policy document.
    pub fn read(text: &str) -> Result<Policy, DocumentError> {
        let wire: Self = from_text("policy", text, TERMS_BYTES_AT_MOST)?;
        check_version("policy", &wire.format, FORMAT)?;
        Policy::new(wire.into_parts()).map_err(|error| DocumentError::malformed("policy", error))
    }

    fn into_parts(self) -> PolicyParts {
        PolicyParts {
            id: self.id,
            title: self.title,
            period: Period {
                from: self.from,
                until: self.until,
            },
            confidence: self.confidence_hundredths,
            guard_band_hundredths: self.guard_band_hundredths,
            budget: UncertaintyBudget {
                checked_half_width: self.measuring.checked_half_width_hundredths,
                unchecked_half_width: self.measuring.unchecked_half_width_hundredths,
                repeatability: self.measuring.repeatability_hundredths,
                temperature_half_width_tenths: self.measuring.temperature_half_width_tenths_c,
            },
            products: self.products.iter().flat_map(ProductV1::rules).collect(),
            faults: self
                .faults
                .into_iter()
                .map(|row| FaultRule {
                    fault: row.fault,
                    weight: row.weight,
                    source: row.source,
                })
                .collect(),
            grades: self.grades.iter().flat_map(GradeV1::rules).collect(),
            shrink: self.shrink.iter().flat_map(ShrinkV1::rules).collect(),
        }
    }
}

impl ProductV1 {
    fn rules(&self) -> impl Iterator<Item = ProductRule> {
        self.forms.iter().map(|form| ProductRule {
            bee: self.bee,
            form: *form,
            moisture_at_most: self.moisture_at_most_hundredths,
            capped_at_least: self.capped_at_least_hundredths,
            source: self.source.clone(),
        })
    }
}

impl ShrinkV1 {
    fn rules(&self) -> impl Iterator<Item = ShrinkRule> {
        self.forms.iter().map(|form| ShrinkRule {
            form: *form,
            share_at_most: self.share_at_most_hundredths,
            least: self.least_g,
            source: self.source.clone(),
        })
    }
}

impl GradeV1 {
    fn rules(&self) -> impl Iterator<Item = GradeRule> {
        self.forms.iter().map(|form| GradeRule {
            grade: self.grade.clone(),
            bee: self.bee,
            form: *form,
            moisture_at_most: self.moisture_at_most_hundredths,
            capped_at_least: self.capped_at_least_hundredths,
            barred_by: self.barred_by.iter().copied().collect(),
            source: self.source.clone(),
        })
    }
}
