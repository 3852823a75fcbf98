//! Rows of whole deliveries: what is decided, and what is paid.

use super::measures::{comb, instrument, pails, pick, reading, scale};
use super::{Family, Row, told};
use combgate_core::honey::Scale;
use combgate_core::intake::{
    Advance, Answer, Bee, Delivery, Fault, Form, GradeRule, Hive, Levy, LevyRate, MoistureStep,
    Period, Policy, Premium, PriceList, PriceListParts, PriceRow, Terms,
};
use combgate_core::record::{AssessmentV1, DeliveryV1, PolicyV1, PriceListV1, to_text};
use combgate_core::units::{Code, Currency, Label, Moisture, Money, Share, UnitPrice};
use fastrand::Rng;
use std::collections::BTreeSet;

const POLICY: &str = include_str!("../../../demo-fixtures/cooperative/policy.json");
const PRICES: &str = include_str!("../../../demo-fixtures/cooperative/prices.json");

fn code(text: &str) -> Code {
    Code::new(text).unwrap()
}

fn label(text: &str) -> Label {
    Label::new(text).unwrap()
}

fn delivery(random: &mut Rng) -> Delivery {
    let form = *pick(random, &Form::ALL);
    let bee = *pick(random, &Bee::ALL);
    let mut delivery = Delivery::begun(bee, form, *pick(random, &Hive::ALL));
    if form.has_comb_to_count() {
        delivery.combs = (0..random.u64(0..5)).map(|_| comb(random)).collect();
    }
    let on = [Scale::RefractiveIndex, Scale::Brix, Scale::Water];
    let on = *pick(random, &on);
    delivery.refractometer = Some(instrument(random, on));
    let temperature = random.i64(180..=320);
    for _ in 0..random.u64(0..4) {
        delivery.readings.push(reading(random, on, temperature));
    }
    for fault in Fault::ALL {
        match random.u64(0..60) {
            0 => {}
            1 => drop(delivery.answers.insert(fault, Answer::Found)),
            _ => drop(delivery.answers.insert(fault, Answer::Clear)),
        }
    }
    let weighed_on = scale(random);
    delivery.scale = Some(weighed_on);
    if random.u64(0..20) > 0 {
        delivery.pails = pails(random, weighed_on.interval.get(), 3);
    }
    delivery
}

fn row(terms: &Terms, delivery: &Delivery, premiums: &[Code], advance: Option<&Advance>) -> Row {
    let answer = told(terms.assess(delivery, premiums, advance), |assessment| {
        to_text("assessment", &AssessmentV1::from(&assessment)).unwrap()
    });
    let asked = to_text("delivery", &DeliveryV1::from(delivery)).unwrap();
    Row::new(format!("{asked} {premiums:?} {advance:?}"), answer)
}

pub(super) fn decisions() -> Family {
    let terms = Terms::new(
        PolicyV1::read(POLICY).unwrap(),
        PriceListV1::read(PRICES).unwrap(),
    )
    .unwrap();
    let mut random = Rng::with_seed(106);
    let rows = (0..600).map(|_| row(&terms, &delivery(&mut random), &[], None));
    Family {
        name: "decisions",
        rows: rows.collect(),
    }
}

/// The cooperative's policy with one grade a product, so that a price depends on no grade.
fn one_grade() -> Policy {
    let mut parts = PolicyV1::read(POLICY).unwrap().parts().clone();
    parts.grades = parts
        .products
        .iter()
        .map(|product| GradeRule {
            grade: code("ONE"),
            bee: product.bee,
            form: product.form,
            moisture_at_most: None,
            capped_at_least: None,
            barred_by: BTreeSet::new(),
            source: label("invented"),
        })
        .collect();
    Policy::new(parts).unwrap()
}

fn price_list(random: &mut Rng, policy: &Policy) -> PriceList {
    let source = label("invented");
    let currency = Currency::new(pick::<&str>(random, &["KES", "UGX", "TZS"])).unwrap();
    let mut price = |range| UnitPrice::new(random.i64(range)).unwrap();
    let products = &policy.parts().products;
    let rows = products
        .iter()
        .map(|product| PriceRow {
            bee: product.bee,
            form: product.form,
            grade: code("ONE"),
            per_kg: price(20_000..=90_000),
            source: source.clone(),
        })
        .collect();
    let steps = products.iter().map(|product| MoistureStep {
        bee: product.bee,
        form: product.form,
        above: Moisture::new(18_00).unwrap(),
        per_kg: price(1..=4_000),
        source: source.clone(),
    });
    let moisture_steps = steps.collect();
    let premium = |name: &str, per_kg| Premium {
        code: code(name),
        label: label(name),
        per_kg,
        source: source.clone(),
    };
    let premiums = vec![
        premium("ORG", price(1..=5_000)),
        premium("FAIR", price(1..=3_333)),
    ];
    let levy = |name: &str, rate| Levy {
        code: code(name),
        label: label(name),
        payee: label("Somebody named"),
        rate,
        source: source.clone(),
    };
    let levies = vec![
        levy("UNION", LevyRate::PerKilogram(price(0..=777))),
        levy(
            "CESS",
            LevyRate::OfValue(Share::new(random.i64(0..=900)).unwrap()),
        ),
    ];
    PriceList::new(PriceListParts {
        id: code("PL-SAME"),
        title: label("Invented prices"),
        period: Period {
            from: policy.parts().period.from,
            until: None,
        },
        currency,
        coin_minor: *pick(random, &[1, 5, 50, 100, 500, 1_000]),
        advance_share_at_most: Share::new(random.i64(0..=10_000)).unwrap(),
        rows,
        moisture_steps,
        premiums,
        levies,
    })
    .unwrap()
}

pub(super) fn prices() -> Family {
    let mut random = Rng::with_seed(4217);
    let policy = one_grade();
    let mut rows = Vec::new();
    while rows.len() < 300 {
        let terms = Terms::new(policy.clone(), price_list(&mut random, &policy)).unwrap();
        let mut brought = delivery(&mut random);
        // Faultless, so that most of them are bought and priced.
        brought.answers = Fault::ALL.map(|fault| (fault, Answer::Clear)).into();
        let premiums: &[Code] = match random.u64(0..3) {
            0 => &[],
            1 => &[code("ORG")],
            _ => &[code("ORG"), code("FAIR")],
        };
        let currency = terms.prices().parts().currency;
        let advance = random.bool().then(|| Advance {
            payee: label("Savings group"),
            outstanding: Money::new(random.i64(0..=3_000_000), currency).unwrap(),
        });
        let priced = terms.assess(&brought, premiums, advance.as_ref());
        if priced.is_ok_and(|found| found.price.is_some()) {
            rows.push(row(&terms, &brought, premiums, advance.as_ref()));
        }
    }
    Family {
        name: "prices",
        rows,
    }
}
