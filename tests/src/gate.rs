//! The least policy and delivery that let a price be asked for, all invented.
//!
//! The policy limits nothing and knows one grade, so that a check of prices depends on no
//! judgement.

use chrono::NaiveDate;
use combgate_core::honey::{Reading, Refractometer, Scale, ScaleReading, UncertaintyBudget};
use combgate_core::intake::{
    Answer, Bee, Delivery, Fault, FaultRule, FaultWeight, Form, GradeRule, Hive, Pail, Period,
    Policy, PolicyParts, ProductRule, ScaleCheck, WeighingScale,
};
use combgate_core::units::{Celsius, Code, Grams, Label, Moisture, Offset, ScaleInterval, Share};
use std::collections::BTreeSet;

/// The bee of every delivery here.
pub const BEE: Bee = Bee::Honeybee;
/// The form of every delivery here.
pub const FORM: Form = Form::RunHoney;
/// The one grade.
pub const GRADE: &str = "ONE";

/// A code.
///
/// # Panics
/// When it is none.
pub fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

/// A line of text.
///
/// # Panics
/// When it is none.
pub fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

/// In force for ever.
///
/// # Panics
/// Never: the day exists.
pub fn always() -> Period {
    Period {
        from: NaiveDate::from_ymd_opt(2026, 1, 1).unwrap(),
        until: None,
    }
}

/// A policy that buys everything in one grade.
///
/// # Panics
/// When the policy is refused.
pub fn policy() -> Policy {
    let source = label("invented for checks of prices");
    Policy::new(PolicyParts {
        id: code("POL-CHECK"),
        title: label("Buys everything"),
        period: always(),
        confidence: Share::new(95_00).unwrap(),
        guard_band_hundredths: 100,
        budget: UncertaintyBudget::default(),
        products: vec![ProductRule {
            bee: BEE,
            form: FORM,
            moisture_at_most: None,
            capped_at_least: None,
            source: source.clone(),
        }],
        faults: Fault::ALL
            .map(|fault| FaultRule {
                fault,
                weight: FaultWeight::Hard,
                source: source.clone(),
            })
            .to_vec(),
        grades: vec![GradeRule {
            grade: code(GRADE),
            bee: BEE,
            form: FORM,
            moisture_at_most: None,
            capped_at_least: None,
            barred_by: BTreeSet::new(),
            source,
        }],
        shrink: Vec::new(),
    })
    .unwrap()
}

/// A faultless delivery of pails (net and tare, in intervals of the scale), with the moisture read
/// on a compensated water scale.
///
/// # Panics
/// When a figure is out of its range.
pub fn delivery(
    interval_g: i64,
    pails: &[(i64, i64)],
    moisture_hundredths: Option<i64>,
) -> Delivery {
    let mut delivery = Delivery::begun(BEE, FORM, Hive::TopBar);
    delivery.answers = Fault::ALL.map(|fault| (fault, Answer::Clear)).into();
    delivery.scale = Some(WeighingScale {
        interval: ScaleInterval::new(interval_g).unwrap(),
        check: ScaleCheck::Passed,
    });
    delivery.pails = pails
        .iter()
        .enumerate()
        .map(|(position, (net, tare))| Pail {
            number: code(&format!("P{position}")),
            seal: None,
            gross: Grams::new((net + tare) * interval_g).unwrap(),
            tare: Grams::new(tare * interval_g).unwrap(),
        })
        .collect();
    if let Some(hundredths) = moisture_hundredths {
        delivery.refractometer = Some(Refractometer {
            scale: Scale::Water,
            compensated: true,
            offset: Some(Offset::new(0).unwrap()),
        });
        delivery.readings = vec![Reading {
            value: ScaleReading::Water(Moisture::new(hundredths).unwrap()),
            temperature: Celsius::new(250).unwrap(),
        }];
    }
    delivery
}
