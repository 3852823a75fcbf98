//! Buy, hold or refuse, with every ground and what would settle a hold.
//!
//! # References
//! JCGM 106:2012: a value meets a limit with a probability; at or above the policy's confidence
//! it is bought, at or below the complement refused, in between held.
//!
//! A single reading near a limit never refuses, nor does an estimate of the capped share.

use super::comb::{CappedShare, capped_share};
use super::conformance::{Bound, conformance_probability};
use super::delivery::{Delivery, DeliveryError};
use super::fault::{Answer, Fault, FaultWeight};
use super::policy::{Policy, ProductRule};
use super::weight::{WeightError, WeightResult, weigh};
use crate::honey::{MoistureResult, RefractometerError, determine_moisture};
use crate::units::{Code, Moisture, Share, as_float};
use serde::{Deserialize, Serialize};

/// What is done with a delivery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// Bought and receipted.
    Buy,
    /// Kept aside or taken home until something is settled; a slip is given.
    Hold,
    /// Not bought; a slip is given.
    Refuse,
}

/// One reason for the decision. All are listed, not the first.
#[derive(Debug, Clone, PartialEq)]
pub enum Ground {
    /// The policy has no row for this bee and form.
    ProductNotBought,
    /// A question of the checklist is open.
    Unanswered(Fault),
    /// A fault was found.
    FaultFound(Fault, FaultWeight),
    /// A limit, a grade or a price depends on moisture, and none was read.
    MoistureNotRead {
        /// Most water allowed: by the product, by the grade, or without a deduction.
        limit: Moisture,
    },
    /// The readings give no moisture.
    MoistureUnusable(RefractometerError),
    /// Moisture against its limit.
    Moisture {
        /// Most water allowed.
        limit: Moisture,
        /// Probability of meeting it.
        probability: Share,
        /// What follows.
        verdict: Verdict,
    },
    /// A limit or a grade depends on the capped share, and none was counted.
    CappedNotCounted {
        /// Least share asked, by the product or by the grade.
        limit: Share,
    },
    /// Capped share against its limit.
    Capped {
        /// Least share asked.
        limit: Share,
        /// Probability of meeting it.
        probability: Share,
        /// What follows.
        verdict: Verdict,
    },
    /// Nothing was weighed.
    NotWeighed,
    /// The weights cannot be.
    WeightUnusable(WeightError),
    /// No row of the grade table fits.
    NoGradeFits,
}

/// How a measured value stands to its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Meets it with the policy's confidence.
    Meets,
    /// Too near to tell.
    TooNear,
    /// Would fail, but rests on one reading near the limit or on too few points.
    FailsOnTooLittle,
    /// Fails it with the policy's confidence.
    Fails,
}

/// What would settle a hold, or what the farmer can do after a refusal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Settle {
    /// Look, smell and taste: finish the checklist.
    FinishChecklist,
    /// Read the refractometer.
    ReadMoisture,
    /// Stir, and read again; a second person if there is one.
    ReadMoistureAgain,
    /// Read on another instrument, or one checked today.
    OtherRefractometer,
    /// Count points on the comb.
    CountComb,
    /// Count more points, on more combs.
    CountMoreComb,
    /// Weigh.
    Weigh,
    /// Weigh again.
    WeighAgain,
    /// Clean or change the container, then bring it again.
    MendContainer,
    /// Take out the brood, pollen or dirt, then weigh again.
    CleanHoney,
    /// Leave the comb on the hive until it is capped.
    LeaveToRipen,
    /// Keep a sealed sample for the laboratory.
    LaboratorySample,
    /// Ask the desk: the policy does not cover it.
    AskOffice,
    /// Nothing: this honey cannot be bought as food.
    Nothing,
}

impl Ground {
    /// What this ground alone leads to.
    pub const fn leads_to(&self) -> Decision {
        match self {
            Self::ProductNotBought | Self::FaultFound(_, FaultWeight::Hard) => Decision::Refuse,
            Self::FaultFound(_, FaultWeight::Noted) => Decision::Buy,
            Self::Moisture { verdict, .. } | Self::Capped { verdict, .. } => match verdict {
                Verdict::Meets => Decision::Buy,
                Verdict::TooNear | Verdict::FailsOnTooLittle => Decision::Hold,
                Verdict::Fails => Decision::Refuse,
            },
            _ => Decision::Hold,
        }
    }

    /// What would change it; `None` where nothing stands in the way.
    pub const fn settled_by(&self) -> Option<Settle> {
        Some(match self {
            Self::ProductNotBought | Self::NoGradeFits => Settle::AskOffice,
            Self::Unanswered(_) => Settle::FinishChecklist,
            Self::FaultFound(_, FaultWeight::Noted) => return None,
            Self::FaultFound(fault, _) => settled_fault(*fault),
            Self::MoistureNotRead { .. } => Settle::ReadMoisture,
            // No second reading on the same scale helps where it cannot be corrected.
            Self::MoistureUnusable(RefractometerError::BeyondTableUncorrected) => {
                Settle::OtherRefractometer
            }
            Self::MoistureUnusable(_) => Settle::ReadMoistureAgain,
            Self::Moisture { verdict, .. } => match verdict {
                Verdict::Meets => return None,
                Verdict::TooNear => Settle::OtherRefractometer,
                Verdict::FailsOnTooLittle => Settle::ReadMoistureAgain,
                Verdict::Fails => Settle::LeaveToRipen,
            },
            Self::CappedNotCounted { .. } => Settle::CountComb,
            Self::Capped { verdict, .. } => match verdict {
                Verdict::Meets => return None,
                Verdict::TooNear | Verdict::FailsOnTooLittle => Settle::CountMoreComb,
                Verdict::Fails => Settle::LeaveToRipen,
            },
            Self::NotWeighed => Settle::Weigh,
            Self::WeightUnusable(_) => Settle::WeighAgain,
        })
    }
}

const fn settled_fault(fault: Fault) -> Settle {
    match fault {
        Fault::DirtyContainer
        | Fault::WetContainer
        | Fault::LooseLid
        | Fault::UnmarkedContainer => Settle::MendContainer,
        Fault::BroodOrPollen | Fault::DirtInHoney => Settle::CleanHoney,
        Fault::HarvestedInRain => Settle::ReadMoistureAgain,
        Fault::BitterOrBurning | Fault::SuspectedAddition | Fault::SmokeTaint => {
            Settle::LaboratorySample
        }
        Fault::ChemicalContainer
        | Fault::BareMetalContainer
        | Fault::Fermenting
        | Fault::ChemicalSmell
        | Fault::MetalTaste => Settle::Nothing,
    }
}

/// What was judged of a delivery.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Moisture, when it could be determined.
    pub moisture: Option<MoistureResult>,
    /// Capped share, when combs were counted.
    pub capped: Option<CappedShare>,
    /// Weights, when they could be.
    pub weight: Option<WeightResult>,
    /// Buy, hold or refuse.
    pub decision: Decision,
    /// All reasons, those that meet their limit included.
    pub grounds: Vec<Ground>,
    /// The grade, when bought.
    pub grade: Option<Code>,
}

impl Judgement {
    /// The same with one more ground, which may turn a purchase into something worse.
    pub(super) fn with(mut self, ground: Ground) -> Self {
        self.grounds.push(ground);
        self.decision = worst(&self.grounds);
        if self.decision != Decision::Buy {
            self.grade = None;
        }
        self
    }

    /// What would settle it, each once, in the order to do it.
    pub fn settled_by(&self) -> Vec<Settle> {
        let mut all: Vec<_> = self
            .grounds
            .iter()
            .filter(|ground| ground.leads_to() == self.decision)
            .filter_map(Ground::settled_by)
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// Judges a delivery, finished or not, by a policy.
///
/// The error is for a delivery that cannot be; one that is merely unfinished is held, and its
/// grounds say what is missing.
pub fn judge(delivery: &Delivery, policy: &Policy) -> Result<Judgement, DeliveryError> {
    delivery.check()?;
    let mut grounds = Vec::new();
    let product = policy.product(delivery.bee, delivery.form);
    if product.is_none() {
        grounds.push(Ground::ProductNotBought);
    }
    ground_faults(delivery, policy, &mut grounds);
    let moisture = ground_moisture(delivery, policy, product, &mut grounds);
    let capped = ground_capped(delivery, policy, product, &mut grounds);
    let weight = ground_weight(delivery, &mut grounds);
    let mut decision = worst(&grounds);
    let mut grade = None;
    if decision == Decision::Buy {
        match find_grade(policy, delivery, moisture.as_ref(), capped.as_ref()) {
            Ok(found) => grade = Some(found),
            Err(why) => {
                grounds.extend(why);
                decision = worst(&grounds);
            }
        }
    }
    Ok(Judgement {
        moisture,
        capped,
        weight,
        decision,
        grounds,
        grade,
    })
}

fn worst(grounds: &[Ground]) -> Decision {
    // A policy that limits nothing leaves no ground for a faultless delivery: nothing stands
    // against buying it, and a hold could not say what would settle it.
    grounds
        .iter()
        .map(Ground::leads_to)
        .max()
        .unwrap_or(Decision::Buy)
}

fn ground_faults(delivery: &Delivery, policy: &Policy, grounds: &mut Vec<Ground>) {
    for fault in Fault::ALL {
        match delivery.answers.get(&fault) {
            None => grounds.push(Ground::Unanswered(fault)),
            Some(Answer::Clear) => {}
            Some(Answer::Found) => {
                grounds.push(Ground::FaultFound(fault, policy.weight_of(fault)));
            }
        }
    }
}

fn ground_moisture(
    delivery: &Delivery,
    policy: &Policy,
    product: Option<&ProductRule>,
    grounds: &mut Vec<Ground>,
) -> Option<MoistureResult> {
    let limit = product.and_then(|rule| rule.moisture_at_most);
    let instrument = delivery
        .refractometer
        .filter(|_| !delivery.readings.is_empty());
    let Some(instrument) = instrument else {
        grounds.extend(limit.map(|limit| Ground::MoistureNotRead { limit }));
        return None;
    };
    let budget = &policy.parts().budget;
    let result = match determine_moisture(&delivery.readings, instrument, budget) {
        Ok(result) => result,
        Err(error) => {
            grounds.push(Ground::MoistureUnusable(error));
            return None;
        }
    };
    if let Some(limit) = limit {
        let value = as_float(result.moisture.get());
        let probability = conformance_probability(
            value,
            as_float(result.standard_uncertainty.get()),
            as_float(limit.get()),
            Bound::AtMost,
        );
        let near = (result.moisture.get() - limit.get()).abs()
            <= i64::from(policy.parts().guard_band_hundredths);
        let too_little = delivery.readings.len() < 2 && near;
        grounds.push(Ground::Moisture {
            limit,
            probability: Share::nearest(probability),
            verdict: verdict(probability, policy.parts().confidence, too_little),
        });
    }
    Some(result)
}

fn ground_capped(
    delivery: &Delivery,
    policy: &Policy,
    product: Option<&ProductRule>,
    grounds: &mut Vec<Ground>,
) -> Option<CappedShare> {
    let limit = product.and_then(|rule| rule.capped_at_least);
    // A count with no point on honey is no count yet.
    let Ok(result) = capped_share(&delivery.combs) else {
        grounds.extend(limit.map(|limit| Ground::CappedNotCounted { limit }));
        return None;
    };
    if let Some(limit) = limit {
        // The standard error at the limit, so that the verdict agrees with Wilson's interval.
        let at_limit = limit.fraction();
        let error = libm::sqrt(at_limit * (1.0 - at_limit) / result.effective_points());
        let probability =
            conformance_probability(result.share.fraction(), error, at_limit, Bound::AtLeast);
        grounds.push(Ground::Capped {
            limit,
            probability: Share::nearest(probability),
            verdict: verdict(probability, policy.parts().confidence, result.estimate),
        });
    }
    Some(result)
}

fn ground_weight(delivery: &Delivery, grounds: &mut Vec<Ground>) -> Option<WeightResult> {
    let scale = delivery.scale.filter(|_| !delivery.pails.is_empty());
    let Some(scale) = scale else {
        grounds.push(Ground::NotWeighed);
        return None;
    };
    match weigh(&delivery.pails, scale) {
        Ok(result) => Some(result),
        Err(error) => {
            grounds.push(Ground::WeightUnusable(error));
            None
        }
    }
}

fn verdict(probability: f64, confidence: Share, too_little: bool) -> Verdict {
    if probability >= confidence.fraction() {
        Verdict::Meets
    } else if probability > 1.0 - confidence.fraction() {
        Verdict::TooNear
    } else if too_little {
        Verdict::FailsOnTooLittle
    } else {
        Verdict::Fails
    }
}

/// The first row that fits, or why none is given. A row that only a missing reading leaves open is
/// not passed over: the honey may be of that grade, and the member loses by an officer's haste.
fn find_grade(
    policy: &Policy,
    delivery: &Delivery,
    moisture: Option<&MoistureResult>,
    capped: Option<&CappedShare>,
) -> Result<Code, Vec<Ground>> {
    for rule in policy.grades_of(delivery.bee, delivery.form) {
        let too_wet = |most| moisture.is_some_and(|result| result.moisture > most);
        let too_open = |least| capped.is_some_and(|result| result.share < least);
        let barred = |fault| delivery.answers.get(fault) == Some(&Answer::Found);
        if rule.moisture_at_most.is_some_and(too_wet)
            || rule.capped_at_least.is_some_and(too_open)
            || rule.barred_by.iter().any(barred)
        {
            continue;
        }
        let unread = rule.moisture_at_most.filter(|_| moisture.is_none());
        let uncounted = rule.capped_at_least.filter(|_| capped.is_none());
        let missing: Vec<Ground> = unread
            .map(|limit| Ground::MoistureNotRead { limit })
            .into_iter()
            .chain(uncounted.map(|limit| Ground::CappedNotCounted { limit }))
            .collect();
        return if missing.is_empty() {
            Ok(rule.grade.clone())
        } else {
            Err(missing)
        };
    }
    Err(vec![Ground::NoGradeFits])
}

#[cfg(test)]
mod properties;
#[cfg(test)]
mod tests;
