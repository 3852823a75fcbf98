//! Rows of what is measured: sucrose, moisture, comb, probability, weight.

use super::{Family, Row, bits, told};
use combgate_core::honey::{
    Reading, Refractometer, Scale, ScaleReading, UncertaintyBudget, brix_at, determine_moisture,
    determine_unrounded, refractive_index_at,
};
use combgate_core::intake::{
    Bound, CombCount, Pail, ScaleCheck, WeighingScale, capped_share, conformance_probability,
    maximum_permissible_error, weigh, wilson_interval,
};
use combgate_core::units::{
    Brix, Celsius, Code, Grams, Moisture, MoistureUncertainty, Offset, Points, RefractiveIndex,
    ScaleInterval,
};
use fastrand::Rng;

const SCALES: [Scale; 3] = [Scale::RefractiveIndex, Scale::Brix, Scale::Water];

pub(super) fn sucrose() -> Family {
    let there = (0..=84_50).step_by(13).map(|hundredths| {
        let index = refractive_index_at(Brix::new(hundredths).unwrap());
        Row::new(format!("index at {hundredths}"), told(index, bits))
    });
    let back = (133_000..=150_200).step_by(97).map(|index| {
        let brix = brix_at(RefractiveIndex::new(index).unwrap());
        let told = told(brix, |brix| brix.get().to_string());
        Row::new(format!("Brix at {index}"), told)
    });
    Family {
        name: "sucrose",
        rows: there.chain(back).collect(),
    }
}

/// One of these. The library's own choice draws as many bits as the machine's addresses have.
pub(super) fn pick<'a, T>(random: &mut Rng, of: &'a [T]) -> &'a T {
    let place = random.u64(0..u64::try_from(of.len()).unwrap());
    &of[usize::try_from(place).unwrap()]
}

/// A reading on a scale: mostly of honey, some beyond the table.
pub(super) fn reading(random: &mut Rng, scale: Scale, temperature: i64) -> Reading {
    let value = match scale {
        Scale::RefractiveIndex => {
            let index = RefractiveIndex::new(random.i64(147_200..=150_600)).unwrap();
            ScaleReading::RefractiveIndex(index)
        }
        Scale::Brix => ScaleReading::Brix(Brix::new(random.i64(73_00..=84_20)).unwrap()),
        Scale::Water => ScaleReading::Water(Moisture::new(random.i64(12_50..=26_00)).unwrap()),
    };
    Reading {
        value,
        temperature: Celsius::new(temperature).unwrap(),
    }
}

pub(super) fn instrument(random: &mut Rng, scale: Scale) -> Refractometer {
    let checked = random.i64(0..4) > 0;
    Refractometer {
        scale,
        compensated: random.bool(),
        offset: checked.then(|| Offset::new(random.i64(-60..=60)).unwrap()),
    }
}

fn budget(random: &mut Rng) -> UncertaintyBudget {
    let mut points = |most| MoistureUncertainty::new(random.i64(0..=most)).unwrap();
    UncertaintyBudget {
        checked_half_width: points(60),
        unchecked_half_width: points(200),
        repeatability: points(40),
        temperature_half_width_tenths: random.u16(0..=30),
    }
}

pub(super) fn moisture() -> Family {
    let mut random = Rng::with_seed(1955);
    let mut rows = Vec::new();
    for scale in SCALES {
        for round in 0..400 {
            let tool = instrument(&mut random, scale);
            let temperature = if round % 4 == 0 {
                200
            } else {
                random.i64(-10..=460)
            };
            let first = reading(&mut random, scale, temperature);
            let mut readings = vec![first];
            for _ in 0..random.u64(0..5) {
                // One sample, read again: near the first, at nearly the same temperature.
                let warmer = temperature + random.i64(-5..=5);
                readings.push(near(&mut random, first.value, warmer));
            }
            let budget = if round % 2 == 0 {
                UncertaintyBudget::default()
            } else {
                budget(&mut random)
            };
            rows.push(moisture_row(&readings, tool, &budget));
        }
    }
    Family {
        name: "moisture",
        rows,
    }
}

fn near(random: &mut Rng, value: ScaleReading, temperature: i64) -> Reading {
    let away = random.i64(-30..=30);
    let value = match value {
        ScaleReading::RefractiveIndex(index) => {
            ScaleReading::RefractiveIndex(RefractiveIndex::new(index.get() + away).unwrap())
        }
        ScaleReading::Brix(brix) => ScaleReading::Brix(Brix::new(brix.get() + away).unwrap()),
        ScaleReading::Water(water) => {
            ScaleReading::Water(Moisture::new(water.get() + away).unwrap())
        }
    };
    Reading {
        value,
        temperature: Celsius::new(temperature).unwrap(),
    }
}

fn moisture_row(readings: &[Reading], tool: Refractometer, budget: &UncertaintyBudget) -> Row {
    let unrounded = told(determine_unrounded(readings, tool, budget), |result| {
        let waters: Vec<String> = result.waters.iter().map(|water| bits(*water)).collect();
        format!(
            "{} of {} give or take {}",
            bits(result.mean),
            waters.join(", "),
            bits(result.standard_uncertainty)
        )
    });
    let rounded = told(determine_moisture(readings, tool, budget), |result| {
        format!("{result:?}")
    });
    let asked = format!("{readings:?} on {tool:?} by {budget:?}");
    Row::new(asked, format!("{unrounded}; {rounded}"))
}

pub(super) fn comb(random: &mut Rng) -> CombCount {
    let points = |value| Points::new(value).unwrap();
    CombCount {
        capped: points(random.i64(0..=90)),
        open: points(random.i64(0..=30)),
        other: points(random.i64(0..=9)),
    }
}

pub(super) fn capped() -> Family {
    let mut random = Rng::with_seed(1927);
    let rows = (0..500).map(|_| {
        let combs: Vec<CombCount> = (0..random.u64(0..9)).map(|_| comb(&mut random)).collect();
        let answer = told(capped_share(&combs), |share| {
            format!(
                "{:?} to {:?} about {:?}, effect {}, worth {}",
                share.low,
                share.high,
                share.share,
                bits(share.design_effect),
                bits(share.effective_points())
            )
        });
        Row::new(format!("{combs:?}"), answer)
    });
    let intervals = (1..=60_u32).flat_map(|points| {
        (0..=points).step_by(7).map(move |capped| {
            let fraction = f64::from(capped) / f64::from(points);
            let (low, high) = wilson_interval(fraction, f64::from(points) / 1.37);
            let asked = format!("{capped} of {points}, effect 1.37");
            Row::new(asked, format!("{} to {}", bits(low), bits(high)))
        })
    });
    Family {
        name: "capped",
        rows: rows.chain(intervals).collect(),
    }
}

pub(super) fn conformance() -> Family {
    let mut rows = Vec::new();
    for bound in [Bound::AtMost, Bound::AtLeast] {
        for value in (1_600..=2_400).step_by(7) {
            for uncertainty in [0, 1, 13, 27, 64, 250] {
                let probability = conformance_probability(
                    f64::from(value),
                    f64::from(uncertainty),
                    2_000.0,
                    bound,
                );
                let asked = format!("{value} give or take {uncertainty} {bound:?} 2000");
                rows.push(Row::new(asked, bits(probability)));
            }
        }
    }
    Family {
        name: "conformance",
        rows,
    }
}

/// Pails on a scale: steps of its interval as a rule, now and then a figure it cannot show.
pub(super) fn pails(random: &mut Rng, interval: i64, most: u64) -> Vec<Pail> {
    let grams = |value| Grams::new(value).unwrap();
    (0..random.u64(1..=most))
        .map(|place| {
            let odd = i64::from(random.u64(0..40) == 0);
            let tare = random.i64(0..=200) * interval;
            Pail {
                number: Code::new(&format!("P{place}")).unwrap(),
                seal: None,
                gross: grams(tare + random.i64(0..=2_500) * interval + odd),
                tare: grams(tare),
            }
        })
        .collect()
}

pub(super) fn scale(random: &mut Rng) -> WeighingScale {
    let intervals = [1, 2, 5, 10, 20, 50, 100];
    let checks = [ScaleCheck::Passed, ScaleCheck::Failed, ScaleCheck::NotDone];
    WeighingScale {
        interval: ScaleInterval::new(*pick(random, &intervals)).unwrap(),
        check: *pick(random, &checks),
    }
}

pub(super) fn weights() -> Family {
    let mut random = Rng::with_seed(76);
    let rows = (0..300).map(|_| {
        let scale = scale(&mut random);
        let pails = pails(&mut random, scale.interval.get(), 6);
        let answer = told(weigh(&pails, scale), |result| format!("{result:?}"));
        let most = maximum_permissible_error(pails[0].gross, scale.interval);
        let most = told(most, |error| error.milligrams().to_string());
        Row::new(
            format!("{pails:?} on {scale:?}"),
            format!("{answer}; {most}"),
        )
    });
    Family {
        name: "weights",
        rows: rows.collect(),
    }
}
