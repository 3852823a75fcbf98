//! A cooperative's policy: limits, weights of faults and grades, each line with its source.

use super::delivery::{Bee, Form};
use super::fault::{Fault, FaultWeight};
use crate::honey::UncertaintyBudget;
use crate::units::{Code, Grams, Label, Moisture, Share};
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// Days on which something is in force, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Period {
    /// First day.
    pub from: NaiveDate,
    /// Last day; `None` until further notice.
    pub until: Option<NaiveDate>,
}

impl Period {
    /// Whether a day lies within.
    pub fn contains(&self, day: NaiveDate) -> bool {
        self.from <= day && self.until.is_none_or(|until| day <= until)
    }
}

/// Limits of one product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProductRule {
    /// Which bee.
    pub bee: Bee,
    /// Which form.
    pub form: Form,
    /// Most water; `None` when moisture decides nothing.
    pub moisture_at_most: Option<Moisture>,
    /// Least capped share; `None` when it cannot be counted or decides nothing.
    pub capped_at_least: Option<Share>,
    /// Where the limits come from.
    pub source: Label,
}

/// Weight of one fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaultRule {
    /// Which fault.
    pub fault: Fault,
    /// How much it weighs.
    pub weight: FaultWeight,
    /// Where that comes from.
    pub source: Label,
}

/// One row of the grade table; the first row that fits gives the grade.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GradeRule {
    /// The grade it gives.
    pub grade: Code,
    /// Which bee.
    pub bee: Bee,
    /// Which form.
    pub form: Form,
    /// Most water for this grade.
    pub moisture_at_most: Option<Moisture>,
    /// Least capped share for this grade.
    pub capped_at_least: Option<Share>,
    /// Faults that bar this grade.
    pub barred_by: BTreeSet<Fault>,
    /// Where the row comes from.
    pub source: Label,
}

/// What honey of one form may lose between the gate and the store: it drips, and wax keeps some.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShrinkRule {
    /// Which form.
    pub form: Form,
    /// At most this share of the net mass.
    pub share_at_most: Share,
    /// So much is always allowed, however small the pail.
    pub least: Grams,
    /// Where the row comes from.
    pub source: Label,
}

/// The fields of a policy before they are checked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyParts {
    /// Its name, such as `POL-2026-1`.
    pub id: Code,
    /// What people call it.
    pub title: Label,
    /// When it is in force.
    pub period: Period,
    /// How sure one must be to buy; its complement refuses.
    pub confidence: Share,
    /// Within this distance of a limit a single reading never refuses, hundredths of a percent.
    pub guard_band_hundredths: u16,
    /// Uncertainty of measuring.
    pub budget: UncertaintyBudget,
    /// Limits.
    pub products: Vec<ProductRule>,
    /// Weights of faults, each fault once.
    pub faults: Vec<FaultRule>,
    /// Grades, best first.
    pub grades: Vec<GradeRule>,
    /// What may be lost on the way to the store; a form without a row loses nothing.
    pub shrink: Vec<ShrinkRule>,
}

/// A checked policy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Policy(PolicyParts);

/// A policy that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PolicyError {
    /// Ends before it begins.
    #[error("policy {0} ends before it begins: correct its dates")]
    PeriodBackwards(Code),
    /// Buying on even odds or less.
    #[error("a confidence of {} % buys on even odds: set one above 50 and below 100 %", crate::units::decimal(.0.get(), 2, 2))]
    ConfidenceOutOfRange(Share),
    /// Nothing may be bought.
    #[error("the policy names no product: add at least one row of limits")]
    NoProduct,
    /// Two rows for one product.
    #[error("{0:?} {1:?} has two rows of limits: keep one")]
    ProductTwice(Bee, Form),
    /// A fault without a weight.
    #[error("the fault {0:?} has no weight: add a row for it")]
    FaultWithoutWeight(Fault),
    /// A fault with two weights.
    #[error("the fault {0:?} has two weights: keep one")]
    FaultTwice(Fault),
    /// A product that no grade fits.
    #[error("{0:?} {1:?} has no grade: add at least one row to the grade table")]
    ProductWithoutGrade(Bee, Form),
    /// A grade for something not bought.
    #[error(
        "grade {0} is for {1:?} {2:?}, which has no row of limits: add one or remove the grade"
    )]
    GradeWithoutProduct(Code, Bee, Form),
    /// A capped share asked of honey in which no comb can be seen.
    #[error("{0:?} {1:?} asks for a capped share, but there is no comb to count: remove the limit")]
    CappedWithoutComb(Bee, Form),
    /// Two allowances for one form.
    #[error("{0:?} has two rows of shrink: keep one")]
    ShrinkTwice(Form),
}

impl Policy {
    /// Checks a policy.
    pub fn new(parts: PolicyParts) -> Result<Self, PolicyError> {
        if parts
            .period
            .until
            .is_some_and(|until| until < parts.period.from)
        {
            return Err(PolicyError::PeriodBackwards(parts.id));
        }
        if !(5_001..=9_999).contains(&parts.confidence.get()) {
            return Err(PolicyError::ConfidenceOutOfRange(parts.confidence));
        }
        check_faults(&parts.faults)?;
        check_products(&parts.products, &parts.grades)?;
        for (position, rule) in parts.shrink.iter().enumerate() {
            if parts.shrink[..position]
                .iter()
                .any(|other| other.form == rule.form)
            {
                return Err(PolicyError::ShrinkTwice(rule.form));
            }
        }
        Ok(Self(parts))
    }

    /// Its fields.
    pub const fn parts(&self) -> &PolicyParts {
        &self.0
    }

    /// Limits of a product; `None` when it is not bought.
    pub fn product(&self, bee: Bee, form: Form) -> Option<&ProductRule> {
        self.0
            .products
            .iter()
            .find(|rule| rule.bee == bee && rule.form == form)
    }

    /// Weight of a fault.
    pub fn weight_of(&self, fault: Fault) -> FaultWeight {
        // OK because `new` saw every fault once; the hardest weight is the safe answer regardless.
        self.0
            .faults
            .iter()
            .find(|rule| rule.fault == fault)
            .map_or(FaultWeight::Hard, |rule| rule.weight)
    }

    /// What a form may lose on its way to the store, if the policy allows anything.
    pub fn shrink_of(&self, form: Form) -> Option<&ShrinkRule> {
        self.0.shrink.iter().find(|rule| rule.form == form)
    }

    /// Grade rows of a product, best first.
    pub fn grades_of(&self, bee: Bee, form: Form) -> impl Iterator<Item = &GradeRule> {
        self.0
            .grades
            .iter()
            .filter(move |rule| rule.bee == bee && rule.form == form)
    }
}

fn check_faults(rules: &[FaultRule]) -> Result<(), PolicyError> {
    for fault in Fault::ALL {
        match rules.iter().filter(|rule| rule.fault == fault).count() {
            0 => return Err(PolicyError::FaultWithoutWeight(fault)),
            1 => {}
            _ => return Err(PolicyError::FaultTwice(fault)),
        }
    }
    Ok(())
}

fn check_products(products: &[ProductRule], grades: &[GradeRule]) -> Result<(), PolicyError> {
    if products.is_empty() {
        return Err(PolicyError::NoProduct);
    }
    for (position, rule) in products.iter().enumerate() {
        let same = |other: &ProductRule| other.bee == rule.bee && other.form == rule.form;
        if products[..position].iter().any(same) {
            return Err(PolicyError::ProductTwice(rule.bee, rule.form));
        }
        if rule.capped_at_least.is_some() && !rule.form.has_comb_to_count() {
            return Err(PolicyError::CappedWithoutComb(rule.bee, rule.form));
        }
        if !grades
            .iter()
            .any(|grade| grade.bee == rule.bee && grade.form == rule.form)
        {
            return Err(PolicyError::ProductWithoutGrade(rule.bee, rule.form));
        }
    }
    for grade in grades {
        if grade.capped_at_least.is_some() && !grade.form.has_comb_to_count() {
            return Err(PolicyError::CappedWithoutComb(grade.bee, grade.form));
        }
        if !products
            .iter()
            .any(|rule| grade.bee == rule.bee && grade.form == rule.form)
        {
            return Err(PolicyError::GradeWithoutProduct(
                grade.grade.clone(),
                grade.bee,
                grade.form,
            ));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::sample::{code, day, grade, moisture, policy_parts, share};
    use super::*;

    fn changed(change: fn(&mut PolicyParts)) -> Result<Policy, PolicyError> {
        let mut parts = policy_parts();
        change(&mut parts);
        Policy::new(parts)
    }

    #[test]
    fn every_way_a_policy_can_be_unusable() {
        type Row = (fn(&mut PolicyParts), PolicyError);
        let (bee, form) = (Bee::Honeybee, Form::RunHoney);
        let rows: [Row; 12] = [
            (
                |parts| parts.period.until = Some(day(1, 1).pred_opt().unwrap()),
                PolicyError::PeriodBackwards(code("POL-TEST")),
            ),
            (
                |parts| parts.confidence = share(50_00),
                PolicyError::ConfidenceOutOfRange(share(50_00)),
            ),
            (
                |parts| parts.confidence = share(10_000),
                PolicyError::ConfidenceOutOfRange(share(10_000)),
            ),
            (
                |parts| {
                    parts.products.clear();
                    parts.grades.clear();
                },
                PolicyError::NoProduct,
            ),
            (
                |parts| parts.products.push(parts.products[0].clone()),
                PolicyError::ProductTwice(bee, form),
            ),
            (
                |parts| parts.faults.retain(|rule| rule.fault != Fault::LooseLid),
                PolicyError::FaultWithoutWeight(Fault::LooseLid),
            ),
            (
                |parts| parts.faults.push(parts.faults[0].clone()),
                PolicyError::FaultTwice(Fault::ChemicalContainer),
            ),
            (
                |parts| parts.grades.retain(|rule| rule.form != Form::CutComb),
                PolicyError::ProductWithoutGrade(bee, Form::CutComb),
            ),
            (
                |parts| {
                    let other = grade("C", Bee::Honeybee, Form::CombInFrame);
                    parts.grades.push(other);
                },
                PolicyError::GradeWithoutProduct(code("C"), bee, Form::CombInFrame),
            ),
            (
                |parts| parts.products[0].capped_at_least = Some(share(75_00)),
                PolicyError::CappedWithoutComb(bee, form),
            ),
            (
                |parts| parts.shrink.push(parts.shrink[0].clone()),
                PolicyError::ShrinkTwice(Form::RunHoney),
            ),
            (
                |parts| parts.grades[0].capped_at_least = Some(share(75_00)),
                PolicyError::CappedWithoutComb(bee, form),
            ),
        ];
        for (change, error) in rows {
            assert_eq!(changed(change), Err(error));
        }
    }

    #[test]
    fn confidence_just_inside_its_ends() {
        assert!(changed(|parts| parts.confidence = share(50_01)).is_ok());
        assert!(changed(|parts| parts.confidence = share(99_99)).is_ok());
    }

    #[test]
    fn a_period_holds_both_its_ends() {
        let season = policy_parts().period;
        assert!(season.contains(day(1, 1)) && season.contains(day(12, 31)));
        assert!(!season.contains(day(1, 1).pred_opt().unwrap()));
        assert!(!season.contains(day(12, 31).succ_opt().unwrap()));
        let one_day = Period {
            from: day(3, 1),
            until: Some(day(3, 1)),
        };
        assert!(one_day.contains(day(3, 1)) && !one_day.contains(day(3, 2)));
        let without_end = Period {
            from: day(3, 1),
            until: None,
        };
        assert!(without_end.contains(NaiveDate::MAX) && !without_end.contains(day(2, 28)));
        assert!(changed(|parts| parts.period.until = Some(parts.period.from)).is_ok());
        assert!(changed(|parts| parts.period.until = None).is_ok());
    }

    #[test]
    fn each_product_has_its_own_limits_and_grades_in_order() {
        let policy = Policy::new(policy_parts()).unwrap();
        let limit = |bee, form| policy.product(bee, form).map(|rule| rule.moisture_at_most);
        assert_eq!(
            limit(Bee::StinglessBee, Form::RunHoney),
            Some(Some(moisture(35_00)))
        );
        assert_eq!(
            limit(Bee::Honeybee, Form::RunHoney),
            Some(Some(moisture(20_00)))
        );
        assert_eq!(limit(Bee::StinglessBee, Form::CutComb), None);
        let names: Vec<_> = policy
            .grades_of(Bee::Honeybee, Form::RunHoney)
            .map(|rule| rule.grade.as_str())
            .collect();
        assert_eq!(names, ["A", "B"]);
    }
}
