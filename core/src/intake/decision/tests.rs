//! The decision, case by case: what was found, what follows, and what would settle it.

use super::super::sample;
use super::Decision::{Buy, Hold, Refuse};
use super::Verdict::{Fails, FailsOnTooLittle, Meets, TooNear};
use super::*;
use crate::honey::{Reading, ScaleReading};
use crate::units::{Celsius, RefractiveIndex};

fn judged(delivery: &Delivery) -> Judgement {
    judge(delivery, &sample::policy()).unwrap()
}

/// The grounds that stand in the way.
fn obstacles(judgement: &Judgement) -> Vec<Ground> {
    let mut grounds = judgement.grounds.clone();
    grounds.retain(|ground| ground.leads_to() != Buy);
    grounds
}

fn moisture_verdict(judgement: &Judgement) -> Option<Verdict> {
    judgement.grounds.iter().find_map(|ground| match ground {
        Ground::Moisture { verdict, .. } => Some(*verdict),
        _ => None,
    })
}

fn capped_verdict(judgement: &Judgement) -> Option<Verdict> {
    judgement.grounds.iter().find_map(|ground| match ground {
        Ground::Capped { verdict, .. } => Some(*verdict),
        _ => None,
    })
}

/// Confidence 95 % is 1.6449 standard uncertainties (table of the normal distribution): 0.444
/// points for one reading of u = 0.27, 0.378 for two of u = 0.23. The guard band is 1 point.
#[test]
fn moisture_just_under_at_and_just_over() {
    let ripen = Settle::LeaveToRipen;
    let again = Settle::ReadMoistureAgain;
    let other = Settle::OtherRefractometer;
    #[rustfmt::skip]
    let rows: &[(&[i64], Decision, Verdict, &[Settle])] = &[
        // one reading
        (&[19_55],               Buy,    Meets,            &[]),
        (&[19_56],               Hold,   TooNear,          &[other]),
        (&[20_00],               Hold,   TooNear,          &[other]),
        (&[20_44],               Hold,   TooNear,          &[other]),
        (&[20_45],               Hold,   FailsOnTooLittle, &[again]),
        (&[21_00],               Hold,   FailsOnTooLittle, &[again]),
        (&[21_01],               Refuse, Fails,            &[ripen]),
        // two that agree
        (&[19_62, 19_62],        Buy,    Meets,            &[]),
        (&[19_63, 19_63],        Hold,   TooNear,          &[other]),
        (&[20_00, 20_00],        Hold,   TooNear,          &[other]),
        (&[20_37, 20_37],        Hold,   TooNear,          &[other]),
        (&[20_38, 20_38],        Refuse, Fails,            &[ripen]),
        // two that do not: scatter of 1.41 points, mean u = 1.02
        (&[19_60, 21_60],        Hold,   TooNear,          &[other]),
        (&[17_00, 19_00],        Buy,    Meets,            &[]),
    ];
    for (readings, decision, verdict, settled) in rows {
        let found = judged(&sample::run_honey(readings));
        assert_eq!(
            (found.decision, moisture_verdict(&found)),
            (*decision, Some(*verdict)),
            "{readings:?}"
        );
        assert_eq!(found.settled_by(), *settled, "{readings:?}");
    }
}

/// Stingless-bee honey is judged by its own row: limit 35 %.
#[test]
fn stingless_honey_by_its_own_limit() {
    #[rustfmt::skip]
    let rows: &[(&[i64], Decision)] = &[
        (&[30_00],        Buy),
        (&[34_62, 34_62], Buy),
        (&[34_63, 34_63], Hold),
        (&[35_37, 35_37], Hold),
        (&[35_38, 35_38], Refuse),
    ];
    for (readings, decision) in rows {
        let found = judged(&sample::stingless_honey(readings));
        assert_eq!(found.decision, *decision, "{readings:?}");
    }
    let same_from_honeybees = judged(&sample::run_honey(&[30_00, 30_00]));
    assert_eq!(same_from_honeybees.decision, Refuse);
}

/// Capped and open points of each comb; what follows.
type CountRow<'a> = (&'a [(i64, i64)], Decision, Verdict, &'a [Settle]);

/// Limit 75 %. 400 points: the standard error at the limit is `√(0.75·0.25/400)` = 0.02165, and
/// 1.6449 of it 0.0356: bought from 0.7856, refused from 0.7144 down.
#[test]
fn capped_share_just_under_at_and_just_over() {
    let ripen = Settle::LeaveToRipen;
    let count = Settle::CountMoreComb;
    #[rustfmt::skip]
    let rows: &[CountRow] = &[
        (&[(315, 85)],           Buy,    Meets,            &[]),
        (&[(314, 86)],           Hold,   TooNear,          &[count]),
        (&[(300, 100)],          Hold,   TooNear,          &[count]),
        (&[(286, 114)],          Hold,   TooNear,          &[count]),
        (&[(285, 115)],          Refuse, Fails,            &[ripen]),
        // fewer than 50 points are an estimate, which may buy but never refuses
        (&[(49, 0)],             Buy,    Meets,            &[]),
        (&[(0, 49)],             Hold,   FailsOnTooLittle, &[count]),
        (&[(0, 50)],             Refuse, Fails,            &[ripen]),
        // 90 % of 100 points: sure on one comb; two combs that differ are worth 9 points
        (&[(90, 10)],            Buy,    Meets,            &[]),
        (&[(50, 0), (40, 10)],   Hold,   TooNear,          &[count]),
    ];
    for (counts, decision, verdict, settled) in rows {
        let combs: Vec<_> = counts.iter().map(|(c, o)| sample::comb(*c, *o)).collect();
        let found = judged(&sample::cut_comb(&combs));
        assert_eq!(
            (found.decision, capped_verdict(&found)),
            (*decision, Some(*verdict)),
            "{counts:?}"
        );
        assert_eq!(found.settled_by(), *settled, "{counts:?}");
    }
}

/// Each obstacle alone, with what follows and what settles it.
#[test]
fn each_ground_alone() {
    let faulty = |fault| {
        let mut delivery = sample::run_honey(&[17_00]);
        delivery.answers.insert(fault, Answer::Found);
        delivery
    };
    let changed = |change: fn(&mut Delivery)| {
        let mut delivery = sample::run_honey(&[17_00]);
        change(&mut delivery);
        delivery
    };
    let hard = |fault| Ground::FaultFound(fault, FaultWeight::Hard);
    let soft = |fault| Ground::FaultFound(fault, FaultWeight::Soft);
    let limit = sample::moisture(20_00);
    let no_rule = changed(|delivery| delivery.form = crate::intake::Form::CrushedComb);
    let lid_not_looked_at = changed(|delivery| {
        delivery.answers.remove(&Fault::LooseLid);
    });
    let no_refractometer = changed(|delivery| {
        delivery.refractometer = None;
        delivery.readings.clear();
    });
    let not_read_yet = changed(|delivery| delivery.readings.clear());
    let no_scale = changed(|delivery| {
        delivery.scale = None;
        delivery.pails.clear();
    });
    let not_weighed_yet = changed(|delivery| delivery.pails.clear());
    #[rustfmt::skip]
    let rows = [
        (no_rule,                               Refuse, Ground::ProductNotBought,            Settle::AskOffice),
        (lid_not_looked_at,                     Hold,   Ground::Unanswered(Fault::LooseLid), Settle::FinishChecklist),
        (faulty(Fault::Fermenting),             Refuse, hard(Fault::Fermenting),             Settle::Nothing),
        (faulty(Fault::ChemicalContainer),      Refuse, hard(Fault::ChemicalContainer),      Settle::Nothing),
        (faulty(Fault::ChemicalSmell),          Refuse, hard(Fault::ChemicalSmell),          Settle::Nothing),
        (faulty(Fault::WetContainer),           Hold,   soft(Fault::WetContainer),           Settle::MendContainer),
        (faulty(Fault::BroodOrPollen),          Hold,   soft(Fault::BroodOrPollen),          Settle::CleanHoney),
        (faulty(Fault::HarvestedInRain),        Hold,   soft(Fault::HarvestedInRain),        Settle::ReadMoistureAgain),
        (faulty(Fault::BitterOrBurning),        Hold,   soft(Fault::BitterOrBurning),        Settle::LaboratorySample),
        (no_refractometer,                      Hold,   Ground::MoistureNotRead { limit },   Settle::ReadMoisture),
        (not_read_yet,                          Hold,   Ground::MoistureNotRead { limit },   Settle::ReadMoisture),
        (no_scale,                              Hold,   Ground::NotWeighed,                  Settle::Weigh),
        (not_weighed_yet,                       Hold,   Ground::NotWeighed,                  Settle::Weigh),
        (sample::cut_comb(&[]),                 Hold,   Ground::CappedNotCounted { limit: sample::share(75_00) }, Settle::CountComb),
        (sample::cut_comb(&[sample::comb(0, 0)]), Hold, Ground::CappedNotCounted { limit: sample::share(75_00) }, Settle::CountComb),
    ];
    for (delivery, decision, ground, settle) in rows {
        let found = judged(&delivery);
        assert_eq!(found.decision, decision, "{ground:?}");
        assert_eq!(obstacles(&found), [ground]);
        assert_eq!(found.settled_by(), [settle]);
        assert_eq!(found.grade, None);
    }
}

#[test]
fn readings_and_weights_that_cannot_be_used_hold_and_say_why() {
    let mut misread = sample::run_honey(&[17_00]);
    misread.readings = vec![Reading {
        value: ScaleReading::RefractiveIndex(RefractiveIndex::new(149_000).unwrap()),
        temperature: Celsius::new(200).unwrap(),
    }];
    let found = judged(&misread);
    assert_eq!(found.decision, Hold);
    assert_eq!(
        obstacles(&found),
        [Ground::MoistureUnusable(RefractometerError::MixedScales)]
    );
    assert_eq!(found.settled_by(), [Settle::ReadMoistureAgain]);

    let mut misweighed = sample::run_honey(&[17_00]);
    misweighed.pails = vec![sample::pail("P1", 1_000, 1_200)];
    let found = judged(&misweighed);
    assert_eq!(found.decision, Hold);
    assert!(
        matches!(
            obstacles(&found).as_slice(),
            [Ground::WeightUnusable(
                WeightError::TareNotBelowGross { .. }
            )]
        ),
        "{:?}",
        found.grounds
    );
    assert_eq!(found.settled_by(), [Settle::WeighAgain]);
}

#[test]
fn a_noted_fault_is_listed_and_lowers_the_grade_but_buys() {
    let mut smoky = sample::run_honey(&[17_00]);
    assert_eq!(judged(&smoky).grade, Some(sample::code("A")));
    smoky.answers.insert(Fault::SmokeTaint, Answer::Found);
    let found = judged(&smoky);
    assert_eq!(
        (found.decision, found.grade.clone()),
        (Buy, Some(sample::code("B")))
    );
    let noted = Ground::FaultFound(Fault::SmokeTaint, FaultWeight::Noted);
    assert!(found.grounds.contains(&noted));
    assert_eq!(found.settled_by(), []);
}

/// Grade A of cut comb: at most 18.00 % water and at least 85 % capped.
#[test]
fn the_first_row_that_fits_gives_the_grade() {
    #[rustfmt::skip]
    let rows = [
        (18_00, (345, 55), "A"),
        (18_01, (345, 55), "B"),
        (18_00, (340, 60), "A"),
        (18_00, (339, 61), "B"),
    ];
    for (water, (capped, open), grade) in rows {
        let mut delivery = sample::cut_comb(&[sample::comb(capped, open)]);
        sample::read(&mut delivery, &[water, water]);
        let found = judged(&delivery);
        assert_eq!(found.grade, Some(sample::code(grade)), "{water} {capped}");
    }
}

#[test]
fn honey_that_fits_no_grade_is_held_for_the_office() {
    let mut parts = sample::policy_parts();
    parts.grades.remove(1);
    let policy = Policy::new(parts).unwrap();
    let mut smoky = sample::run_honey(&[17_00]);
    smoky.answers.insert(Fault::SmokeTaint, Answer::Found);
    let found = judge(&smoky, &policy).unwrap();
    assert_eq!((found.decision, &found.grade), (Hold, &None));
    assert_eq!(obstacles(&found), [Ground::NoGradeFits]);
    assert_eq!(found.settled_by(), [Settle::AskOffice]);
}

/// A policy that limits nothing grades by what is measured: the honey waits for the reading that a
/// grade depends on, and is not sent to the office or passed down to a worse grade.
#[test]
fn a_grade_that_depends_on_a_reading_asks_for_it() {
    let mut parts = sample::policy_parts();
    for rule in &mut parts.products {
        rule.moisture_at_most = None;
        rule.capped_at_least = None;
    }
    let with_fallback = Policy::new(parts.clone()).unwrap();
    parts.grades.retain(|rule| {
        rule.form != crate::intake::Form::CutComb || rule.grade == sample::code("A")
    });
    let without = Policy::new(parts).unwrap();
    let unread = Ground::MoistureNotRead {
        limit: sample::moisture(18_00),
    };
    let uncounted = Ground::CappedNotCounted {
        limit: sample::share(85_00),
    };
    let brought = |readings: &[i64], combs: &[crate::intake::CombCount]| {
        let mut delivery = sample::cut_comb(combs);
        sample::read(&mut delivery, readings);
        delivery
    };
    let ripe = [sample::comb(90, 10)];
    let (moisture, count) = (Settle::ReadMoisture, Settle::CountComb);
    #[rustfmt::skip]
    let rows = [
        (brought(&[],      &ripe), vec![unread.clone()],            vec![moisture]),
        (brought(&[17_00], &[]),   vec![uncounted.clone()],         vec![count]),
        (brought(&[],      &[]),   vec![unread.clone(), uncounted], vec![moisture, count]),
    ];
    for policy in [&with_fallback, &without] {
        for (delivery, grounds, settled) in &rows {
            let found = judge(delivery, policy).unwrap();
            assert_eq!((found.decision, &found.grade), (Hold, &None));
            assert_eq!(found.grounds, *grounds);
            assert_eq!(found.settled_by(), *settled);
        }
    }
    // What is known to fail a row waits for nothing: wet comb is of the next grade, or of none.
    let wet = brought(&[19_00], &[]);
    let found = judge(&wet, &with_fallback).unwrap();
    assert_eq!(found.grade, Some(sample::code("B")));
    let found = judge(&wet, &without).unwrap();
    assert_eq!(found.grounds, [Ground::NoGradeFits]);
}

/// Everything wrong at once: the farmer hears all of it, in the order of the gate.
#[test]
fn all_grounds_are_listed_not_the_first() {
    let mut delivery = sample::cut_comb(&[sample::comb(0, 60)]);
    sample::read(&mut delivery, &[24_00, 24_00]);
    delivery.answers.insert(Fault::WetContainer, Answer::Found);
    delivery.answers.insert(Fault::Fermenting, Answer::Found);
    delivery.answers.insert(Fault::SmokeTaint, Answer::Found);
    delivery.answers.remove(&Fault::LooseLid);
    delivery.pails.clear();
    let found = judged(&delivery);
    assert_eq!(found.decision, Refuse);
    let zero = sample::share(0);
    assert_eq!(
        found.grounds,
        [
            Ground::FaultFound(Fault::WetContainer, FaultWeight::Soft),
            Ground::Unanswered(Fault::LooseLid),
            Ground::FaultFound(Fault::Fermenting, FaultWeight::Hard),
            Ground::FaultFound(Fault::SmokeTaint, FaultWeight::Noted),
            Ground::Moisture {
                limit: sample::moisture(20_00),
                probability: zero,
                verdict: Fails
            },
            Ground::Capped {
                limit: sample::share(75_00),
                probability: zero,
                verdict: Fails
            },
            Ground::NotWeighed,
        ]
    );
    // What would settle it speaks of the refusal alone, each once and in order.
    assert_eq!(found.settled_by(), [Settle::LeaveToRipen, Settle::Nothing]);
}

#[test]
fn a_policy_that_limits_nothing_buys_what_is_faultless() {
    let mut parts = sample::policy_parts();
    for rule in &mut parts.products {
        rule.moisture_at_most = None;
        rule.capped_at_least = None;
    }
    let policy = Policy::new(parts).unwrap();
    let found = judge(&sample::run_honey(&[]), &policy).unwrap();
    assert_eq!((found.decision, found.grounds), (Buy, vec![]));
    assert_eq!(found.grade, Some(sample::code("A")));
}

#[test]
fn a_delivery_that_cannot_be_is_an_error_not_a_decision() {
    let mut delivery = sample::run_honey(&[17_00]);
    delivery.combs = vec![sample::comb(10, 10)];
    assert_eq!(
        judge(&delivery, &sample::policy()),
        Err(DeliveryError::CombWithoutComb)
    );
}

/// A reading past the end of the honey table gives no moisture, so it cannot refuse: the officer
/// is told to read again, on a scale made for it.
#[test]
fn beyond_the_honey_table_nothing_is_guessed() {
    let mut delivery = sample::run_honey(&[17_00]);
    let index = |hundred_thousandths| Reading {
        value: ScaleReading::RefractiveIndex(RefractiveIndex::new(hundred_thousandths).unwrap()),
        temperature: Celsius::new(200).unwrap(),
    };
    if let Some(instrument) = &mut delivery.refractometer {
        instrument.scale = crate::honey::Scale::RefractiveIndex;
    }
    delivery.readings = vec![index(147_500), index(147_500)];
    assert_eq!(judged(&delivery).decision, Refuse);
    delivery.readings = vec![index(147_300), index(147_300)];
    let found = judged(&delivery);
    assert_eq!(found.decision, Hold);
    assert_eq!(
        obstacles(&found),
        [Ground::MoistureUnusable(RefractometerError::OutsideTable)]
    );
}
