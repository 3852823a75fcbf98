//! Honey as it is brought: short words for whole deliveries.

use super::{code, delivery_id};
use combgate_core::honey::Scale;
use combgate_core::intake::{Answer, Bee, Fault, Form, Hive, ScaleCheck};
use combgate_core::record::{
    AnswerV1, CombV1, DeliveryV1, Issue, Keeper, Means, PailV1, ReadingV1, RefractometerV1,
    SettlementV1, WeighingScaleV1,
};
use combgate_core::units::{Celsius, Grams, Offset, Points, ScaleInterval};

/// The handset's refractometer: a water scale, compensated, 0.10 too low at the morning's check.
///
/// # Panics
/// Never: the offset is in range.
pub fn refractometer() -> RefractometerV1 {
    RefractometerV1 {
        scale: Scale::Water,
        compensated: true,
        offset: Some(Offset::new(-10).unwrap()),
    }
}

/// The handset's weighing scale: e = 10 g, its check passed.
///
/// # Panics
/// Never: the interval is in range.
pub fn scale() -> WeighingScaleV1 {
    WeighingScaleV1 {
        interval_g: ScaleInterval::new(10).unwrap(),
        check: ScaleCheck::Passed,
    }
}

/// A faultless delivery that was not yet counted, read or weighed.
pub fn brought(bee: Bee, form: Form, hive: Hive) -> DeliveryV1 {
    DeliveryV1 {
        bee,
        form,
        hive,
        combs: Vec::new(),
        refractometer: Some(refractometer()),
        readings: Vec::new(),
        answers: Fault::ALL
            .map(|fault| AnswerV1 {
                fault,
                answer: Answer::Clear,
            })
            .to_vec(),
        scale: Some(scale()),
        pails: Vec::new(),
    }
}

/// Steps of making a delivery. All panic when a figure is out of its range.
pub trait Brought: Sized {
    /// Points on capped, open and other cells, one row a comb.
    #[must_use]
    fn combs(self, rows: &[(i64, i64, i64)]) -> Self;
    /// What the water scale showed, hundredths of a percent, at 24.5 °C.
    #[must_use]
    fn read(self, hundredths: &[i64]) -> Self;
    /// A fault that was found.
    #[must_use]
    fn found(self, fault: Fault) -> Self;
    /// Pails: number, full and empty weight in grams; each gets the seal of its number.
    #[must_use]
    fn pails(self, rows: &[(u32, i64, i64)]) -> Self;
}

impl Brought for DeliveryV1 {
    fn combs(mut self, rows: &[(i64, i64, i64)]) -> Self {
        let points = |count| Points::new(count).unwrap();
        self.combs = rows
            .iter()
            .map(|(capped, open, other)| CombV1 {
                capped: points(*capped),
                open: points(*open),
                other: points(*other),
            })
            .collect();
        self
    }

    fn read(mut self, hundredths: &[i64]) -> Self {
        self.readings = hundredths
            .iter()
            .map(|value| ReadingV1 {
                value: *value,
                temperature_tenths_c: Celsius::new(245).unwrap(),
            })
            .collect();
        self
    }

    fn found(mut self, fault: Fault) -> Self {
        for given in &mut self.answers {
            if given.fault == fault {
                given.answer = Answer::Found;
            }
        }
        self
    }

    fn pails(mut self, rows: &[(u32, i64, i64)]) -> Self {
        self.pails = rows
            .iter()
            .map(|(number, gross, tare)| PailV1 {
                number: code(&format!("P-{number:03}")),
                seal: Some(code(&format!("S-{number:04}"))),
                gross_g: Grams::new(*gross).unwrap(),
                tare_g: Grams::new(*tare).unwrap(),
            })
            .collect();
        self
    }
}

/// How a purchase is paid.
#[derive(Debug, Clone, Copy)]
pub enum Paid<'a> {
    /// All of it in cash.
    Cash,
    /// All of it by telephone, under a reference.
    Telephone(&'a str),
    /// So many minor units in cash, the rest in a fortnight.
    Part(i64),
}

impl Paid<'_> {
    /// Paid and owed of a total.
    pub fn settle(self, payable: i64) -> SettlementV1 {
        let (paid_minor, means, reference) = match self {
            Self::Cash => (payable, Some(Means::Cash), None),
            Self::Telephone(reference) => {
                (payable, Some(Means::MobileMoney), Some(code(reference)))
            }
            Self::Part(paid) => (paid, (paid > 0).then_some(Means::Cash), None),
        };
        let owed_minor = payable - paid_minor;
        SettlementV1 {
            paid_minor,
            means,
            reference,
            owed_minor,
            due: (owed_minor > 0).then(|| super::day() + chrono::Days::new(14)),
        }
    }
}

/// A delivery of a member about to get its paper; nothing is settled yet.
pub fn issue(id: u64, member: &str, delivery: DeliveryV1) -> Issue {
    Issue {
        delivery_id: delivery_id(id),
        day: super::day(),
        member: code(member),
        delivery,
        premiums: Vec::new(),
        advance: None,
        settlement: Paid::Cash.settle(0),
        pails_with: Keeper::Member,
        replaces: None,
    }
}
