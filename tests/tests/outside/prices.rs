//! Prices against Python's exact arithmetic, on generated cases.
//!
//! Source: Python's `fractions` and `decimal`, every line reckoned anew from first principles.

use combgate_core::intake::{
    Advance, Levy, LevyRate, LineKind, MoistureStep, Premium, PriceList, PriceListError,
    PriceListParts, PriceRow, Terms,
};
use combgate_core::units::{Currency, Moisture, Money, Share, UnitPrice};
use combgate_tests::gate::{self, code, label};
use combgate_tests::outside::Outside;
use combgate_tests::python;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::error::Error;

#[derive(Debug, Serialize)]
struct PriceCase {
    interval_g: i64,
    /// Net and tare in intervals.
    pails: Vec<(i64, i64)>,
    grams: i64,
    per_kg: i64,
    coin: i64,
    moisture: Option<i64>,
    /// Above, and taken off a kilogram.
    steps: Vec<(i64, i64)>,
    premiums: Vec<i64>,
    levies: Vec<(&'static str, i64)>,
    advance: Option<i64>,
    advance_share: i64,
}

#[derive(Serialize)]
struct PriceQuestion {
    cases: Vec<PriceCase>,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(untagged)]
enum PriceAnswer {
    Paid {
        lines: Vec<(String, String)>,
        payable: i64,
    },
    Unusable {
        unusable: bool,
    },
}

fn any_case(random: &mut fastrand::Rng) -> PriceCase {
    let interval_g = random.choice([1, 5, 10, 50, 100, 200]).unwrap_or(10);
    let pails: Vec<(i64, i64)> = (0..random.usize(1..=5))
        .map(|_| (random.i64(1..=6_000), random.i64(0..=600)))
        .collect();
    // Plain prices and nothing taken off meet half a coin more often than figures at random.
    let plain = random.bool();
    let per_kg = if plain {
        random.i64(1..=90) * 1_000
    } else {
        random.i64(0..=10_000_000)
    };
    let mut steps = Vec::new();
    let (mut above, mut off) = (1_500, 0);
    for _ in 0..random.usize(0..=if plain { 0 } else { 3 }) {
        above += random.i64(1..=300);
        // Sometimes more is taken off than the honey is worth.
        off += random.i64(0..=per_kg / 2 + 1);
        steps.push((above, off));
    }
    let levies = (0..random.usize(0..=if plain { 0 } else { 3 }))
        .map(|_| {
            if random.bool() {
                ("of_value", random.i64(0..=2_500))
            } else {
                ("per_kg", random.i64(0..=per_kg / 5 + 1))
            }
        })
        .collect();
    // A delivery waits for its reading where something is taken off for moisture.
    let moisture = (!steps.is_empty() || random.bool()).then(|| {
        // Honey exactly at a step has not passed it.
        let at_a_step = random.choice(&steps).filter(|_| random.bool());
        at_a_step.map_or_else(|| random.i64(1_400..=2_600), |(above, _)| *above)
    });
    PriceCase {
        grams: pails.iter().map(|(net, _)| net * interval_g).sum(),
        interval_g,
        pails,
        per_kg,
        coin: random.choice([1, 5, 7, 50, 100, 500, 1_000]).unwrap_or(1),
        moisture,
        steps,
        premiums: (0..random.usize(0..=if plain { 0 } else { 2 }))
            .map(|_| random.i64(0..=5_000))
            .collect(),
        levies,
        advance: random.bool().then(|| random.i64(0..=100_000_000)),
        advance_share: random.i64(0..=10_000),
    }
}

fn list_of(case: &PriceCase, currency: Currency) -> Result<PriceList, Box<dyn Error>> {
    let source = label("invented for checks of prices");
    let levies = case
        .levies
        .iter()
        .enumerate()
        .map(|(position, (kind, rate))| {
            Ok::<_, Box<dyn Error>>(Levy {
                code: code(&format!("L{position}")),
                label: label("levy"),
                payee: label("payee"),
                rate: match *kind {
                    "of_value" => LevyRate::OfValue(Share::new(*rate)?),
                    _ => LevyRate::PerKilogram(UnitPrice::new(*rate)?),
                },
                source: source.clone(),
            })
        });
    let steps = case.steps.iter().map(|(above, off)| {
        Ok::<_, Box<dyn Error>>(MoistureStep {
            bee: gate::BEE,
            form: gate::FORM,
            above: Moisture::new(*above)?,
            per_kg: UnitPrice::new(*off)?,
            source: source.clone(),
        })
    });
    let premiums = case.premiums.iter().enumerate().map(|(position, per_kg)| {
        Ok::<_, Box<dyn Error>>(Premium {
            code: code(&format!("P{position}")),
            label: label("premium"),
            per_kg: UnitPrice::new(*per_kg)?,
            source: source.clone(),
        })
    });
    Ok(PriceList::new(PriceListParts {
        id: code("PL-CHECK"),
        title: label("Prices of a check"),
        period: gate::always(),
        currency,
        coin_minor: case.coin,
        advance_share_at_most: Share::new(case.advance_share)?,
        rows: vec![PriceRow {
            bee: gate::BEE,
            form: gate::FORM,
            grade: code(gate::GRADE),
            per_kg: UnitPrice::new(case.per_kg)?,
            source: source.clone(),
        }],
        moisture_steps: steps.collect::<Result<_, _>>()?,
        premiums: premiums.collect::<Result<_, _>>()?,
        levies: levies.collect::<Result<_, _>>()?,
    })?)
}

fn paid(case: &PriceCase) -> Result<PriceAnswer, Box<dyn Error>> {
    let currency = Currency::new("KES")?;
    let prices = match list_of(case, currency) {
        Ok(prices) => prices,
        Err(error) => {
            let error = error.downcast::<PriceListError>()?;
            assert!(
                matches!(*error, PriceListError::DeductionsAbovePrice(..)),
                "{error}"
            );
            return Ok(PriceAnswer::Unusable { unusable: true });
        }
    };
    let terms = Terms::new(gate::policy(), prices)?;
    let delivery = gate::delivery(case.interval_g, &case.pails, case.moisture);
    let premiums: Vec<_> = (0..case.premiums.len())
        .map(|position| code(&format!("P{position}")))
        .collect();
    let advance = case
        .advance
        .map(|outstanding| {
            Ok::<_, Box<dyn Error>>(Advance {
                payee: label("lender"),
                outstanding: Money::new(outstanding, currency)?,
            })
        })
        .transpose()?;
    let assessment = terms.assess(&delivery, &premiums, advance.as_ref())?;
    let grounds = assessment.judgement.grounds;
    let statement = assessment.price.ok_or(format!("not bought: {grounds:?}"))?;
    assert_eq!(statement.net.get(), case.grams);
    let lines = statement.lines.iter().map(|line| {
        let kind = match line.kind {
            LineKind::Honey(_) => "honey",
            LineKind::MoistureStep(_) => "step",
            LineKind::Premium(..) => "premium",
            LineKind::Levy(..) => "levy",
            LineKind::Advance(_) => "advance",
            LineKind::Rounding => "rounding",
        };
        (kind.to_owned(), line.amount.parts().to_string())
    });
    Ok(PriceAnswer::Paid {
        lines: lines.collect(),
        payable: statement.payable.minor(),
    })
}

/// Source: Python's `fractions` and `decimal`, four thousand generated deliveries, every line.
pub(crate) fn every_line_and_total() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "Every line and total of a price",
        "Python, fractions and decimal",
    );
    let mut random = fastrand::Rng::with_seed(0x0BEE);
    let question = PriceQuestion {
        cases: (0..4_000).map(|_| any_case(&mut random)).collect(),
    };
    let answers: Vec<PriceAnswer> = python::ask("prices.py", &question);
    assert_eq!(answers.len(), question.cases.len());
    let (mut refused, mut ties, mut at_a_step) = (0, 0, 0);
    let mut seen = BTreeMap::new();
    for (case, theirs) in question.cases.iter().zip(&answers) {
        let on = |step: &(i64, i64)| Some(step.0) == case.moisture;
        at_a_step += i32::from(case.steps.iter().any(on));
        check.same(&paid(case)?, theirs, case);
        match theirs {
            PriceAnswer::Unusable { .. } => refused += 1,
            PriceAnswer::Paid { lines, .. } => {
                for (kind, _) in lines {
                    *seen.entry(kind.as_str()).or_insert(0) += 1;
                }
                let rounding: i128 = lines.last().ok_or("no line")?.1.parse()?;
                ties += i32::from(rounding * 2 == i128::from(case.coin) * 10_000_000);
            }
        }
    }
    // The cases reach every kind of line, the refusal, the tie and the edge of a step.
    assert!(
        refused > 50 && ties > 20 && at_a_step > 100,
        "{refused} refused, {ties} ties, {at_a_step} at a step"
    );
    for kind in ["honey", "step", "premium", "levy", "advance", "rounding"] {
        assert!(seen.get(kind).is_some_and(|count| *count > 300), "{seen:?}");
    }
    Ok(check)
}
