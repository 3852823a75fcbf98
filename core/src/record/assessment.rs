//! An assessment on the wire. It is written, shown and compared, never turned back into a rule's
//! result: the desk judges the delivery anew and compares what comes out with what was signed.

use super::ground::GroundCode;
use crate::honey::Basis;
use crate::intake::{
    Assessment, Decision, Fault, FaultWeight, Ground, LineKind, PriceLine, Rate, Settle, Verdict,
    WeightMark,
};
use crate::units::{
    Code, Currency, ExactMinor, Grams, Label, Moisture, MoistureUncertainty, Share, UnitPrice,
};
use serde::{Deserialize, Serialize};

/// See [`Assessment`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AssessmentV1 {
    /// Buy, hold or refuse.
    pub decision: Decision,
    /// All reasons.
    pub grounds: Vec<GroundV1>,
    /// What would settle a hold or change a refusal.
    pub settled_by: Vec<Settle>,
    /// The grade, when bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grade: Option<Code>,
    /// Moisture, when determined.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moisture: Option<MoistureV1>,
    /// Capped share, when counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capped: Option<CappedV1>,
    /// Full pails, when weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross_g: Option<Grams>,
    /// Empty pails, when weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tare_g: Option<Grams>,
    /// Net, when weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub net_g: Option<Grams>,
    /// What the clerk should know of the weighing.
    pub marks: Vec<MarkV1>,
    /// Price lines, when bought.
    pub lines: Vec<LineV1>,
    /// What the member is to get, when bought.
    #[serde(
        default,
        deserialize_with = "super::minor::minor_if_any",
        skip_serializing_if = "Option::is_none"
    )]
    pub payable_minor: Option<i64>,
    /// In which currency, when bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub currency: Option<Currency>,
}

impl AssessmentV1 {
    /// Whether it is held only because something was not looked at, read, counted or weighed yet.
    pub fn is_unfinished(&self) -> bool {
        let missing = |ground: &GroundV1| {
            matches!(
                ground.code,
                GroundCode::Unanswered
                    | GroundCode::MoistureNotRead
                    | GroundCode::CappedNotCounted
                    | GroundCode::NotWeighed
            )
        };
        let mut holding = self
            .grounds
            .iter()
            .filter(|ground| ground.leads_to == Decision::Hold);
        self.decision == Decision::Hold && holding.all(missing)
    }

    /// What the purchase took back of an advance, minor units.
    pub fn repaid_minor(&self) -> i64 {
        self.lines
            .iter()
            .filter(|line| self.decision == Decision::Buy && line.line == LineCode::Advance)
            .filter_map(|line| line.amount_minor.parse::<ExactMinor>().ok()?.whole_minor())
            // A deduction is written with a minus; whole and bounded amounts do not overflow here.
            .fold(0, |sum: i64, amount| sum.saturating_sub(amount))
    }
}

/// Moisture with its standard uncertainty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoistureV1 {
    /// Mean of the corrected readings, hundredths of a percent.
    pub moisture_hundredths: Moisture,
    /// One standard deviation, hundredths of a percent.
    pub standard_uncertainty_hundredths: MoistureUncertainty,
    /// What it rests on.
    pub basis: Basis,
}

impl MoistureV1 {
    /// Where the true value lies with about 95 %, hundredths of a percent: the value and twice the
    /// standard uncertainty on either side (JCGM 100:2008, 6.2 and G.6.6, k = 2), within 0 to 100 %.
    pub fn interval_hundredths(&self) -> (i64, i64) {
        let value = self.moisture_hundredths.get();
        let twice = 2 * self.standard_uncertainty_hundredths.get();
        ((value - twice).max(0), (value + twice).min(10_000))
    }
}

/// Capped share with its interval.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CappedV1 {
    /// Hundredths of a percent.
    pub share_hundredths: Share,
    /// Lower end of the 95 % interval.
    pub low_hundredths: Share,
    /// Upper end of the 95 % interval.
    pub high_hundredths: Share,
    /// Points on honey.
    pub honey_points: i64,
    /// Too few points for a count.
    pub estimate: bool,
}

/// See [`Ground`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroundV1 {
    /// What it says.
    pub code: GroundCode,
    /// What it alone leads to.
    pub leads_to: Decision,
    /// Which fault.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fault: Option<Fault>,
    /// Which limit, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_hundredths: Option<i64>,
    /// Probability of meeting it, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probability_hundredths: Option<Share>,
}

/// See [`WeightMark`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkV1 {
    /// A pail under the scale's least load.
    UnderLeastLoad,
    /// The day's check of the scale failed.
    ScaleCheckFailed,
    /// The day's check of the scale was not made.
    ScaleCheckNotDone,
}

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineCode {
    /// Honey of a grade.
    Honey,
    /// Deduction for moisture.
    MoistureStep,
    /// Addition.
    Premium,
    /// Levy.
    Levy,
    /// Paid back of an advance.
    Advance,
    /// To the coin in use.
    Rounding,
}

/// See [`PriceLine`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineV1 {
    /// What for.
    pub line: LineCode,
    /// Grade, premium or levy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<Code>,
    /// What it is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// Who gets it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub payee: Option<Label>,
    /// Threshold of a moisture step, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above_hundredths: Option<Moisture>,
    /// Minor units a kilogram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_kg_minor: Option<UnitPrice>,
    /// Share of the value, hundredths of a percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of_value_hundredths: Option<Share>,
    /// Exactly how much, minor units as a plain decimal: `-1234.5`.
    pub amount_minor: String,
}

impl From<&Assessment> for AssessmentV1 {
    fn from(assessment: &Assessment) -> Self {
        let judgement = &assessment.judgement;
        let weight = judgement.weight.as_ref();
        let price = assessment.price.as_ref();
        Self {
            decision: judgement.decision,
            grounds: judgement.grounds.iter().map(GroundV1::from).collect(),
            settled_by: judgement.settled_by(),
            grade: judgement.grade.clone(),
            moisture: judgement.moisture.as_ref().map(|result| MoistureV1 {
                moisture_hundredths: result.moisture,
                standard_uncertainty_hundredths: result.standard_uncertainty,
                basis: result.basis,
            }),
            capped: judgement.capped.map(|result| CappedV1 {
                share_hundredths: result.share,
                low_hundredths: result.low,
                high_hundredths: result.high,
                honey_points: result.honey_points,
                estimate: result.estimate,
            }),
            gross_g: weight.map(|result| result.gross),
            tare_g: weight.map(|result| result.tare),
            net_g: weight.map(|result| result.net),
            marks: weight.map_or_else(Vec::new, |result| {
                result.marks.iter().map(MarkV1::from).collect()
            }),
            lines: price.map_or_else(Vec::new, |price| {
                price.lines.iter().map(LineV1::from).collect()
            }),
            payable_minor: price.map(|price| price.payable.minor()),
            currency: price.map(|price| price.payable.currency()),
        }
    }
}

impl From<&Ground> for GroundV1 {
    fn from(ground: &Ground) -> Self {
        let (code, fault, limit, probability) = match ground {
            Ground::ProductNotBought => (GroundCode::ProductNotBought, None, None, None),
            Ground::Unanswered(fault) => (GroundCode::Unanswered, Some(*fault), None, None),
            Ground::FaultFound(fault, weight) => {
                let code = match weight {
                    FaultWeight::Hard => GroundCode::HardFault,
                    FaultWeight::Soft => GroundCode::SoftFault,
                    FaultWeight::Noted => GroundCode::NotedFault,
                };
                (code, Some(*fault), None, None)
            }
            Ground::MoistureNotRead { limit } => {
                (GroundCode::MoistureNotRead, None, Some(limit.get()), None)
            }
            Ground::MoistureUnusable(_) => (GroundCode::MoistureUnusable, None, None, None),
            Ground::Moisture {
                limit,
                probability,
                verdict,
            } => {
                let code = match verdict {
                    Verdict::Meets => GroundCode::MoistureMeets,
                    Verdict::TooNear => GroundCode::MoistureTooNear,
                    Verdict::FailsOnTooLittle => GroundCode::MoistureFailsOnTooLittle,
                    Verdict::Fails => GroundCode::MoistureFails,
                };
                (code, None, Some(limit.get()), Some(*probability))
            }
            Ground::CappedNotCounted { limit } => {
                (GroundCode::CappedNotCounted, None, Some(limit.get()), None)
            }
            Ground::Capped {
                limit,
                probability,
                verdict,
            } => {
                let code = match verdict {
                    Verdict::Meets => GroundCode::CappedMeets,
                    Verdict::TooNear => GroundCode::CappedTooNear,
                    Verdict::FailsOnTooLittle => GroundCode::CappedFailsOnTooLittle,
                    Verdict::Fails => GroundCode::CappedFails,
                };
                (code, None, Some(limit.get()), Some(*probability))
            }
            Ground::NotWeighed => (GroundCode::NotWeighed, None, None, None),
            Ground::WeightUnusable(_) => (GroundCode::WeightUnusable, None, None, None),
            Ground::NoGradeFits => (GroundCode::NoGradeFits, None, None, None),
        };
        Self {
            code,
            leads_to: ground.leads_to(),
            fault,
            limit_hundredths: limit,
            probability_hundredths: probability,
        }
    }
}

impl From<&WeightMark> for MarkV1 {
    fn from(mark: &WeightMark) -> Self {
        match mark {
            WeightMark::UnderLeastLoad { .. } => Self::UnderLeastLoad,
            WeightMark::CheckFailed => Self::ScaleCheckFailed,
            WeightMark::CheckNotDone => Self::ScaleCheckNotDone,
        }
    }
}

impl From<&PriceLine> for LineV1 {
    fn from(line: &PriceLine) -> Self {
        let mut wire = Self {
            line: LineCode::Rounding,
            code: None,
            label: None,
            payee: None,
            above_hundredths: None,
            per_kg_minor: None,
            of_value_hundredths: None,
            amount_minor: line.amount.to_string(),
        };
        match line.rate {
            Some(Rate::PerKilogram(price)) => wire.per_kg_minor = Some(price),
            Some(Rate::OfValue(share)) => wire.of_value_hundredths = Some(share),
            None => {}
        }
        match &line.kind {
            LineKind::Honey(grade) => {
                wire.line = LineCode::Honey;
                wire.code = Some(grade.clone());
            }
            LineKind::MoistureStep(above) => {
                wire.line = LineCode::MoistureStep;
                wire.above_hundredths = Some(*above);
            }
            LineKind::Premium(code, label) => {
                wire.line = LineCode::Premium;
                wire.code = Some(code.clone());
                wire.label = Some(label.clone());
            }
            LineKind::Levy(code, label, payee) => {
                wire.line = LineCode::Levy;
                wire.code = Some(code.clone());
                wire.label = Some(label.clone());
                wire.payee = Some(payee.clone());
            }
            LineKind::Advance(payee) => {
                wire.line = LineCode::Advance;
                wire.payee = Some(payee.clone());
            }
            LineKind::Rounding => {}
        }
        wire
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn held(codes: &[GroundCode]) -> AssessmentV1 {
        let ground = |code: &GroundCode| GroundV1 {
            code: *code,
            leads_to: Decision::Hold,
            fault: None,
            limit_hundredths: None,
            probability_hundredths: None,
        };
        AssessmentV1 {
            decision: Decision::Hold,
            grounds: codes.iter().map(ground).collect(),
            settled_by: Vec::new(),
            grade: None,
            moisture: None,
            capped: None,
            gross_g: None,
            tare_g: None,
            net_g: None,
            marks: Vec::new(),
            lines: Vec::new(),
            payable_minor: None,
            currency: None,
        }
    }

    #[test]
    fn a_hold_is_unfinished_only_while_nothing_else_holds_it() {
        assert!(held(&[GroundCode::Unanswered, GroundCode::NotWeighed]).is_unfinished());
        assert!(!held(&[GroundCode::Unanswered, GroundCode::SoftFault]).is_unfinished());
        assert!(!held(&[GroundCode::MoistureTooNear]).is_unfinished());
        let refused = AssessmentV1 {
            decision: Decision::Refuse,
            ..held(&[GroundCode::Unanswered])
        };
        assert!(!refused.is_unfinished());
    }
}
