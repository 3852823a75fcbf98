//! An invented policy, price list and deliveries that the tests of this room share.
//!
//! One reading on the checked, compensated instrument of [`run_honey`] has a standard uncertainty
//! of `√((0.30/√3)² + 0.20²)` = 0.265, rounded up to 0.27 points; two that agree, of
//! `√((0.30/√3)² + 0.20²/2)` = 0.224, rounded up to 0.23.

use super::{
    Answer, Bee, CombCount, Delivery, Fault, FaultRule, FaultWeight, Form, GradeRule, Hive, Levy,
    LevyRate, MoistureStep, Pail, Period, Policy, PolicyParts, Premium, PriceList, PriceListParts,
    PriceRow, ProductRule, ScaleCheck, ShrinkRule, WeighingScale,
};
use crate::honey::{Reading, Refractometer, Scale, ScaleReading, UncertaintyBudget};
use crate::units::{
    Celsius, Code, Currency, Grams, Label, Moisture, Offset, Points, ScaleInterval, Share,
    UnitPrice,
};
use chrono::NaiveDate;
use std::collections::BTreeSet;

pub(super) fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

pub(super) fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

pub(super) fn moisture(hundredths: i64) -> Moisture {
    Moisture::new(hundredths).unwrap()
}

pub(super) fn share(hundredths: i64) -> Share {
    Share::new(hundredths).unwrap()
}

pub(super) fn unit_price(minor: i64) -> UnitPrice {
    UnitPrice::new(minor).unwrap()
}

pub(super) fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

pub(super) fn currency(letters: &str) -> Currency {
    Currency::new(letters).unwrap()
}

fn source() -> Label {
    label("invented for tests")
}

fn weight_of(fault: Fault) -> FaultWeight {
    match fault {
        Fault::ChemicalContainer
        | Fault::BareMetalContainer
        | Fault::Fermenting
        | Fault::ChemicalSmell
        | Fault::MetalTaste => FaultWeight::Hard,
        Fault::UnmarkedContainer | Fault::SmokeTaint => FaultWeight::Noted,
        _ => FaultWeight::Soft,
    }
}

fn product(
    bee: Bee,
    form: Form,
    moisture_at_most: i64,
    capped_at_least: Option<i64>,
) -> ProductRule {
    ProductRule {
        bee,
        form,
        moisture_at_most: Some(moisture(moisture_at_most)),
        capped_at_least: capped_at_least.map(share),
        source: source(),
    }
}

pub(super) fn grade(name: &str, bee: Bee, form: Form) -> GradeRule {
    GradeRule {
        grade: code(name),
        bee,
        form,
        moisture_at_most: None,
        capped_at_least: None,
        barred_by: BTreeSet::new(),
        source: source(),
    }
}

/// Buys run honey up to 20 % water, cut comb up to 20 % and from 75 % capped, and stingless-bee
/// honey up to 35 %. Smoke bars grade A of run honey; wet or uncapped comb is grade B.
pub(super) fn policy_parts() -> PolicyParts {
    PolicyParts {
        id: code("POL-TEST"),
        title: label("Policy for tests"),
        period: Period {
            from: day(1, 1),
            until: Some(day(12, 31)),
        },
        confidence: share(95_00),
        guard_band_hundredths: 100,
        budget: UncertaintyBudget::default(),
        products: vec![
            product(Bee::Honeybee, Form::RunHoney, 20_00, None),
            product(Bee::Honeybee, Form::CutComb, 20_00, Some(75_00)),
            product(Bee::StinglessBee, Form::RunHoney, 35_00, None),
        ],
        faults: Fault::ALL
            .map(|fault| FaultRule {
                fault,
                weight: weight_of(fault),
                source: source(),
            })
            .to_vec(),
        grades: vec![
            GradeRule {
                barred_by: BTreeSet::from([Fault::SmokeTaint]),
                ..grade("A", Bee::Honeybee, Form::RunHoney)
            },
            grade("B", Bee::Honeybee, Form::RunHoney),
            GradeRule {
                moisture_at_most: Some(moisture(18_00)),
                capped_at_least: Some(share(85_00)),
                ..grade("A", Bee::Honeybee, Form::CutComb)
            },
            grade("B", Bee::Honeybee, Form::CutComb),
            grade("S", Bee::StinglessBee, Form::RunHoney),
        ],
        shrink: vec![ShrinkRule {
            form: Form::RunHoney,
            share_at_most: share(50),
            least: Grams::new(100).unwrap(),
            source: source(),
        }],
    }
}

pub(super) fn policy() -> Policy {
    Policy::new(policy_parts()).unwrap()
}

fn row(bee: Bee, form: Form, name: &str, per_kg: i64) -> PriceRow {
    PriceRow {
        bee,
        form,
        grade: code(name),
        per_kg: unit_price(per_kg),
        source: source(),
    }
}

pub(super) fn step(form: Form, above: i64, per_kg: i64) -> MoistureStep {
    MoistureStep {
        bee: Bee::Honeybee,
        form,
        above: moisture(above),
        per_kg: unit_price(per_kg),
        source: source(),
    }
}

pub(super) fn premium(name: &str, per_kg: i64) -> Premium {
    Premium {
        code: code(name),
        label: label("An addition"),
        per_kg: unit_price(per_kg),
        source: source(),
    }
}

pub(super) fn levy(name: &str, rate: LevyRate) -> Levy {
    Levy {
        code: code(name),
        label: label("A levy"),
        payee: label("Somebody named"),
        rate,
        source: source(),
    }
}

/// In Kenya shillings, to the whole shilling; prices in cents a kilogram.
pub(super) fn price_list_parts() -> PriceListParts {
    PriceListParts {
        id: code("PL-TEST"),
        title: label("Prices for tests"),
        period: Period {
            from: day(1, 1),
            until: Some(day(12, 31)),
        },
        currency: currency("KES"),
        coin_minor: 100,
        advance_share_at_most: share(30_00),
        rows: vec![
            row(Bee::Honeybee, Form::RunHoney, "A", 45_000),
            row(Bee::Honeybee, Form::RunHoney, "B", 38_000),
            row(Bee::Honeybee, Form::CutComb, "A", 30_000),
            row(Bee::Honeybee, Form::CutComb, "B", 25_000),
            row(Bee::StinglessBee, Form::RunHoney, "S", 90_000),
        ],
        moisture_steps: vec![
            step(Form::RunHoney, 18_50, 20_00),
            step(Form::RunHoney, 19_50, 50_00),
        ],
        premiums: vec![premium("ORG", 30_00)],
        levies: vec![
            levy("UNION", LevyRate::PerKilogram(unit_price(2_00))),
            levy("CESS", LevyRate::OfValue(share(1_50))),
        ],
    }
}

pub(super) fn price_list() -> PriceList {
    PriceList::new(price_list_parts()).unwrap()
}

/// Water readings at 25 °C on a compensated instrument checked that day.
pub(super) fn read(delivery: &mut Delivery, hundredths: &[i64]) {
    delivery.refractometer = Some(Refractometer {
        scale: Scale::Water,
        compensated: true,
        offset: Some(Offset::new(0).unwrap()),
    });
    delivery.readings = hundredths
        .iter()
        .map(|value| Reading {
            value: ScaleReading::Water(moisture(*value)),
            temperature: Celsius::new(250).unwrap(),
        })
        .collect();
}

pub(super) fn comb(capped: i64, open: i64) -> CombCount {
    CombCount {
        capped: Points::new(capped).unwrap(),
        open: Points::new(open).unwrap(),
        other: Points::new(0).unwrap(),
    }
}

pub(super) fn pail(number: &str, gross: i64, tare: i64) -> Pail {
    Pail {
        number: code(number),
        seal: None,
        gross: Grams::new(gross).unwrap(),
        tare: Grams::new(tare).unwrap(),
    }
}

/// Faultless, one pail of 12.34 kg net.
fn faultless(bee: Bee, form: Form, readings: &[i64]) -> Delivery {
    let mut delivery = Delivery::begun(bee, form, Hive::TopBar);
    delivery.answers = Fault::ALL.map(|fault| (fault, Answer::Clear)).into();
    delivery.scale = Some(WeighingScale {
        interval: ScaleInterval::new(10).unwrap(),
        check: ScaleCheck::Passed,
    });
    delivery.pails = vec![pail("P1", 13_540, 1_200)];
    read(&mut delivery, readings);
    delivery
}

/// Faultless run honey of honeybees.
pub(super) fn run_honey(readings: &[i64]) -> Delivery {
    faultless(Bee::Honeybee, Form::RunHoney, readings)
}

/// Faultless dry cut comb of honeybees.
pub(super) fn cut_comb(combs: &[CombCount]) -> Delivery {
    let mut delivery = faultless(Bee::Honeybee, Form::CutComb, &[17_00, 17_00]);
    delivery.combs = combs.to_vec();
    delivery
}

/// Faultless run honey of stingless bees.
pub(super) fn stingless_honey(readings: &[i64]) -> Delivery {
    faultless(Bee::StinglessBee, Form::RunHoney, readings)
}
