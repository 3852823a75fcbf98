//! What holds of every decision, whatever was found.

use super::super::sample;
use super::*;
use crate::intake::{Bee, Form};
use proptest::prelude::*;

fn judged(delivery: &Delivery) -> Judgement {
    judge(delivery, &sample::policy()).unwrap()
}

/// Where a grade stands in the policy's table; nothing is worse than the last row.
fn rank(judgement: &Judgement, delivery: &Delivery) -> usize {
    let policy = sample::policy();
    let mut rows = policy.grades_of(delivery.bee, delivery.form);
    rows.position(|rule| Some(&rule.grade) == judgement.grade.as_ref())
        .unwrap_or(usize::MAX)
}

/// Neither the decision nor the grade gets better.
fn never_better(before: &Delivery, after: &Delivery) -> Result<(), TestCaseError> {
    let (first, second) = (judged(before), judged(after));
    prop_assert!(
        first.decision <= second.decision,
        "{:?} became {:?}",
        first.grounds,
        second.grounds
    );
    prop_assert!(rank(&first, before) <= rank(&second, after));
    Ok(())
}

fn any_answer() -> impl Strategy<Value = Option<Answer>> {
    prop_oneof![
        20 => Just(Some(Answer::Clear)),
        1 => Just(Some(Answer::Found)),
        1 => Just(None),
    ]
}

prop_compose! {
    /// A delivery at any stage of the work, possible by construction.
    fn any_delivery()(
        bee in prop::sample::select(Bee::ALL.to_vec()),
        form in prop::sample::select(Form::ALL.to_vec()),
        readings in prop::collection::vec(13_00..40_00_i64, 0..4),
        counts in prop::collection::vec((0..120_i64, 0..60_i64), 0..4),
        answers in prop::collection::vec(any_answer(), Fault::ALL.len()),
        weights in prop::collection::vec((1..2_000_i64, 0..200_i64), 0..3),
    ) -> Delivery {
        let mut delivery = sample::run_honey(&readings);
        (delivery.bee, delivery.form) = (bee, form);
        if form.has_comb_to_count() {
            delivery.combs = counts.iter().map(|(c, o)| sample::comb(*c, *o)).collect();
        }
        delivery.answers = Fault::ALL
            .into_iter()
            .zip(answers)
            .filter_map(|(fault, answer)| Some((fault, answer?)))
            .collect();
        delivery.pails = weights
            .iter()
            .enumerate()
            .map(|(i, (net, tare))| sample::pail(&format!("P{i}"), (net + tare) * 10, tare * 10))
            .collect();
        delivery
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn one_hard_fault_refuses_whatever_the_numbers(
        mut delivery in any_delivery(),
        fault in prop::sample::select(Fault::ALL.to_vec()),
    ) {
        delivery.answers.insert(fault, Answer::Found);
        if sample::policy().weight_of(fault) == FaultWeight::Hard {
            prop_assert_eq!(judged(&delivery).decision, Decision::Refuse);
        }
    }

    #[test]
    fn wetter_honey_never_does_better(dry in any_delivery(), wetter_by in 1..1_500_i64) {
        let mut wet = dry.clone();
        for reading in &mut wet.readings {
            let count = reading.value.count() + wetter_by;
            reading.value = crate::honey::ScaleReading::Water(sample::moisture(count));
        }
        never_better(&dry, &wet)?;
    }

    #[test]
    fn another_fault_never_does_better(
        mut clear in any_delivery(),
        fault in prop::sample::select(Fault::ALL.to_vec()),
    ) {
        clear.answers.insert(fault, Answer::Clear);
        let mut found = clear.clone();
        found.answers.insert(fault, Answer::Found);
        never_better(&clear, &found)?;
    }

    #[test]
    fn an_open_question_never_does_better_than_a_clear_one(
        mut clear in any_delivery(),
        fault in prop::sample::select(Fault::ALL.to_vec()),
    ) {
        clear.answers.insert(fault, Answer::Clear);
        let mut open = clear.clone();
        open.answers.remove(&fault);
        never_better(&clear, &open)?;
    }

    #[test]
    fn one_reading_within_the_guard_band_never_refuses(off in -100..=100_i64) {
        let near = sample::run_honey(&[20_00 + off]);
        prop_assert_ne!(judged(&near).decision, Decision::Refuse);
    }

    #[test]
    fn an_estimate_of_the_capped_share_never_refuses(capped in 0..50_i64, part in 0..50_i64) {
        let open = part.min(49 - capped);
        let estimate = sample::cut_comb(&[sample::comb(capped, open)]);
        prop_assert_ne!(judged(&estimate).decision, Decision::Refuse);
    }

    /// What is bought has a grade and nothing in its way; what is not says what would change it.
    #[test]
    fn every_decision_explains_itself(delivery in any_delivery()) {
        let found = judged(&delivery);
        let worst = found.grounds.iter().map(Ground::leads_to).max();
        prop_assert_eq!(found.decision, worst.unwrap_or(Decision::Buy));
        prop_assert_eq!(found.grade.is_some(), found.decision == Decision::Buy);
        prop_assert_eq!(found.settled_by().is_empty(), found.decision == Decision::Buy);
    }
}
