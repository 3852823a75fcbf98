//! A policy and a price list that fit together, and the whole assessment by both.

use super::decision::{Decision, Ground, Judgement, judge};
use super::delivery::{Bee, Delivery, DeliveryError, Form};
use super::policy::Policy;
use super::price::{Advance, PriceError, PriceStatement, Priced, price};
use super::price_list::PriceList;
use crate::units::{Code, Moisture};

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
    ///
    /// Where the price list takes something off for moisture, a delivery waits for the reading even
    /// if the policy sets no limit: the deduction cannot be avoided by not reading.
    pub fn assess(
        &self,
        delivery: &Delivery,
        premiums: &[Code],
        advance: Option<&Advance>,
    ) -> Result<Assessment, AssessError> {
        let mut judgement = judge(delivery, &self.policy)?;
        if let Some(limit) = self.unread_step(delivery, &judgement) {
            judgement = judgement.with(Ground::MoistureNotRead { limit });
        }
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

    /// The lowest moisture from which the price list takes something off, when nothing was read
    /// and the judgement does not say so yet.
    fn unread_step(&self, delivery: &Delivery, judgement: &Judgement) -> Option<Moisture> {
        self.policy.product(delivery.bee, delivery.form)?;
        let said = |ground: &Ground| {
            matches!(
                ground,
                Ground::MoistureNotRead { .. } | Ground::MoistureUnusable(_)
            )
        };
        if judgement.moisture.is_some() || judgement.grounds.iter().any(said) {
            return None;
        }
        let steps = self.prices.parts().moisture_steps.iter();
        steps
            .filter(|step| (step.bee, step.form) == (delivery.bee, delivery.form))
            .map(|step| step.above)
            .min()
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{
        self, code, comb, policy, policy_parts, price_list, price_list_parts, step,
    };
    use super::*;
    use crate::intake::{GradeRule, LineKind, PriceList};

    fn terms() -> Terms {
        Terms::new(policy(), price_list()).unwrap()
    }

    #[test]
    fn a_grade_that_can_be_given_must_have_a_price() {
        let mut parts = price_list_parts();
        parts.rows.retain(|row| row.grade != code("S"));
        assert_eq!(
            Terms::new(policy(), PriceList::new(parts).unwrap()),
            Err(TermsError::GradeWithoutPrice(
                code("S"),
                Bee::StinglessBee,
                Form::RunHoney
            ))
        );
        // A price for a grade that nothing gives harms nobody.
        let mut parts = policy_parts();
        parts.grades.remove(0);
        assert!(Terms::new(Policy::new(parts).unwrap(), price_list()).is_ok());
    }

    /// Cut comb is graded by moisture and run honey pays less when wet: each alone is sound.
    #[test]
    fn wet_honey_never_loses_twice() {
        let twice = Err(TermsError::DoubleDeduction(Bee::Honeybee, Form::CutComb));
        let mut parts = price_list_parts();
        parts.moisture_steps.push(step(Form::CutComb, 19_00, 1));
        assert_eq!(Terms::new(policy(), PriceList::new(parts).unwrap()), twice);

        let mut parts = policy_parts();
        parts.grades[0] = GradeRule {
            moisture_at_most: Some(Moisture::MAX),
            ..parts.grades[0].clone()
        };
        assert_eq!(
            Terms::new(Policy::new(parts).unwrap(), price_list()),
            Err(TermsError::DoubleDeduction(Bee::Honeybee, Form::RunHoney))
        );
    }

    #[test]
    fn what_is_bought_has_a_price_and_nothing_else_has() {
        let mut foaming = sample::run_honey(&[17_00]);
        foaming.answers.insert(
            crate::intake::Fault::Fermenting,
            crate::intake::Answer::Found,
        );
        #[rustfmt::skip]
        let rows = [
            (sample::run_honey(&[17_00]),            Decision::Buy,    true),
            (sample::cut_comb(&[comb(90, 10)]),      Decision::Buy,    true),
            (sample::stingless_honey(&[30_00]),      Decision::Buy,    true),
            (sample::run_honey(&[20_00]),            Decision::Hold,   false),
            (sample::run_honey(&[24_00, 24_00]),     Decision::Refuse, false),
            (foaming,                                Decision::Refuse, false),
        ];
        for (delivery, decision, priced) in rows {
            let found = terms().assess(&delivery, &[], None).unwrap();
            assert_eq!(found.judgement.decision, decision);
            assert_eq!(found.price.is_some(), priced);
        }
    }

    /// The grade and the net that were judged are the ones that are paid for.
    #[test]
    fn the_price_is_of_the_grade_and_net_that_were_judged() {
        let found = terms()
            .assess(&sample::stingless_honey(&[30_00]), &[], None)
            .unwrap();
        let price = found.price.unwrap();
        assert_eq!(Some(price.net), found.judgement.weight.map(|w| w.net));
        // 12.34 kg at 900.00 is 11,106.00; less 1.5 % (166.59) and 2.00 a kilogram (24.68) is
        // 10,914.73; to the shilling 10,915.
        assert_eq!(price.payable.minor(), 1_091_500);
    }

    /// A policy that leaves moisture alone does not let wet honey keep its full price unread.
    #[test]
    fn a_moisture_deduction_is_not_dodged_by_not_reading() {
        let mut parts = policy_parts();
        for rule in &mut parts.products {
            rule.moisture_at_most = None;
        }
        let terms = Terms::new(Policy::new(parts).unwrap(), price_list()).unwrap();
        let found = terms.assess(&sample::run_honey(&[]), &[], None).unwrap();
        assert_eq!(found.judgement.decision, Decision::Hold);
        assert_eq!(
            (found.judgement.grade.as_ref(), &found.price),
            (None, &None)
        );
        // The lower of the two steps: drier honey loses nothing.
        let limit = sample::moisture(18_50);
        assert_eq!(found.judgement.grounds, [Ground::MoistureNotRead { limit }]);
        let wet = terms.assess(&sample::run_honey(&[19_00]), &[], None);
        let lines = wet.unwrap().price.unwrap().lines;
        assert!(matches!(lines[1].kind, LineKind::MoistureStep(_)));
        // Where nothing is taken off for moisture, nothing waits for it.
        let unread = sample::stingless_honey(&[]);
        let found = terms.assess(&unread, &[], None).unwrap();
        assert_eq!(found.judgement.decision, Decision::Buy);
    }

    /// A reading that is missing anyway, or cannot be used, is asked for once.
    #[test]
    fn a_missing_reading_is_asked_for_once() {
        let mut misread = sample::run_honey(&[17_00]);
        misread.readings[0].temperature = crate::units::Celsius::new(500).unwrap();
        for delivery in [sample::run_honey(&[]), misread] {
            let found = terms().assess(&delivery, &[], None).unwrap();
            assert_eq!(found.judgement.grounds.len(), 1);
        }
    }

    #[test]
    fn an_impossible_delivery_and_an_unknown_premium_are_errors() {
        let mut impossible = sample::run_honey(&[17_00]);
        impossible.scale = None;
        assert_eq!(
            terms().assess(&impossible, &[], None),
            Err(AssessError::Delivery(DeliveryError::WeightsWithoutScale))
        );
        assert_eq!(
            terms().assess(&sample::run_honey(&[17_00]), &[code("NONE")], None),
            Err(AssessError::Price(PriceError::NoSuchPremium(code("NONE"))))
        );
    }
}
