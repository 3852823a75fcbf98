//! A policy and a price list that fit together, and the whole assessment by both.

use super::decision::{Decision, Judgement, judge};
use super::delivery::{Bee, Delivery, DeliveryError, Form};
use super::policy::Policy;
use super::price::{Advance, PriceError, PriceStatement, Priced, price};
use super::price_list::PriceList;
use crate::units::Code;

/// A policy and a price list checked against each other; only such a pair can price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Terms {
    policy: Policy,
    prices: PriceList,
}

/// A policy and a price list that do not fit together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TermsError {
    /// A grade that could be given but not paid.
    #[error("grade {0} of {1:?} {2:?} can be given but has no price: add a price")]
    GradeWithoutPrice(Code, Bee, Form),
    /// Wet honey would be punished twice.
    #[error(
        "{0:?} {1:?} has both grades that depend on moisture and a moisture deduction: wet honey would lose twice; keep one of the two"
    )]
    DoubleDeduction(Bee, Form),
}

/// Judgement and, when bought, the price.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// What was judged.
    pub judgement: Judgement,
    /// What is paid; present exactly when the decision is to buy.
    pub price: Option<PriceStatement>,
}

/// A delivery that cannot be assessed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AssessError {
    /// The delivery cannot be.
    #[error(transparent)]
    Delivery(#[from] DeliveryError),
    /// It cannot be priced.
    #[error(transparent)]
    Price(#[from] PriceError),
}

impl Terms {
    /// Checks the pair.
    pub fn new(policy: Policy, prices: PriceList) -> Result<Self, TermsError> {
        for rule in &policy.parts().grades {
            if prices.price_of(rule.bee, rule.form, &rule.grade).is_none() {
                return Err(TermsError::GradeWithoutPrice(
                    rule.grade.clone(),
                    rule.bee,
                    rule.form,
                ));
            }
        }
        for step in &prices.parts().moisture_steps {
            if policy
                .grades_of(step.bee, step.form)
                .any(|rule| rule.moisture_at_most.is_some())
            {
                return Err(TermsError::DoubleDeduction(step.bee, step.form));
            }
        }
        Ok(Self { policy, prices })
    }

    /// The policy.
    pub const fn policy(&self) -> &Policy {
        &self.policy
    }

    /// The price list.
    pub const fn prices(&self) -> &PriceList {
        &self.prices
    }

    /// Judges a delivery and, when it is to be bought, prices it.
    pub fn assess(
        &self,
        delivery: &Delivery,
        premiums: &[Code],
        advance: Option<&Advance>,
    ) -> Result<Assessment, AssessError> {
        let judgement = judge(delivery, &self.policy)?;
        let price = match (&judgement.decision, &judgement.grade, &judgement.weight) {
            (Decision::Buy, Some(grade), Some(weight)) => Some(price(
                Priced {
                    bee: delivery.bee,
                    form: delivery.form,
                    grade,
                    moisture: judgement.moisture.as_ref().map(|result| result.moisture),
                    net: weight.net,
                },
                &self.prices,
                premiums,
                advance,
            )?),
            _ => None,
        };
        Ok(Assessment { judgement, price })
    }
}
