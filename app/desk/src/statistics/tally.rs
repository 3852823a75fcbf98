//! What is counted of a paper when it is booked: moisture against its limits, last digits of weights.

use crate::store::{Tallied, TallyRow};
use combgate_core::clerk::LastDigits;
use combgate_core::intake::Bee;
use combgate_core::record::{AssessmentV1, DayOpenedV1, DeliveryV1, EntryBody};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Width of a step of the moisture's distribution, hundredths of a percent.
pub(crate) const STEP: i64 = 25;

const HONEYBEE: &str = "honeybee";
const STINGLESS_BEE: &str = "stingless_bee";

/// Moisture of one kind of bee's honey.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Moistures {
    /// How many, by the lower end of their step, hundredths of a percent.
    pub(crate) counts: BTreeMap<i64, u64>,
    /// Limits that they were judged by, hundredths of a percent.
    pub(crate) limits: BTreeSet<i64>,
}

/// What was counted.
#[derive(Debug, Default)]
pub(crate) struct Tally {
    pub(crate) honeybee: Moistures,
    pub(crate) stingless_bee: Moistures,
    /// By officer and scale.
    pub(crate) digits: BTreeMap<(String, String), LastDigits>,
}

impl Tally {
    /// Counts an entry of a day that was opened so.
    pub(crate) fn count(&mut self, opening: Option<&DayOpenedV1>, body: &EntryBody) {
        let (delivery, assessment) = match body {
            EntryBody::Receipt(receipt) => (&receipt.delivery, &receipt.assessment),
            EntryBody::Slip(slip) => (&slip.delivery, &slip.assessment),
            _ => return,
        };
        self.count_moisture(delivery.bee, assessment);
        if let Some(opening) = opening {
            self.count_digits(opening, delivery);
        }
    }

    fn count_moisture(&mut self, bee: Bee, assessment: &AssessmentV1) {
        let moistures = match bee {
            Bee::Honeybee => &mut self.honeybee,
            Bee::StinglessBee => &mut self.stingless_bee,
        };
        let Some(moisture) = &assessment.moisture else {
            return;
        };
        let hundredths = moisture.moisture_hundredths.get();
        let step = hundredths.div_euclid(STEP) * STEP;
        *moistures.counts.entry(step).or_default() += 1;
        let grounds = assessment.grounds.iter();
        let limits = grounds.filter(|ground| ground.code.is_of_moisture());
        moistures
            .limits
            .extend(limits.filter_map(|ground| ground.limit_hundredths));
    }

    fn count_digits(&mut self, opening: &DayOpenedV1, delivery: &DeliveryV1) {
        let Some(scale) = &opening.scale else {
            return;
        };
        let of = (opening.officer.to_string(), scale.id.to_string());
        let counted = self.digits.entry(of).or_default();
        let interval = i64::from(scale.interval_g);
        for pail in &delivery.pails {
            counted.count(pail.gross_g.get() / interval.max(1));
        }
    }

    /// As it is kept.
    pub(crate) fn rows(&self) -> Vec<TallyRow> {
        let mut rows = Vec::new();
        let mut add = |what, about: &str, scale: &str, value, count| {
            rows.push(TallyRow {
                what,
                about: about.to_owned(),
                scale: scale.to_owned(),
                value,
                count,
            });
        };
        for (bee, moistures) in [
            (HONEYBEE, &self.honeybee),
            (STINGLESS_BEE, &self.stingless_bee),
        ] {
            for (step, count) in &moistures.counts {
                add(Tallied::Moisture, bee, "", *step, *count);
            }
            for limit in &moistures.limits {
                add(Tallied::Limit, bee, "", *limit, 1);
            }
        }
        for ((officer, scale), digits) in &self.digits {
            for (digit, count) in (0..).zip(digits.counts()) {
                if *count > 0 {
                    add(Tallied::Digit, officer, scale, digit, *count);
                }
            }
        }
        rows
    }

    /// Of what was kept, whatever days it is of.
    pub(crate) fn of(rows: Vec<TallyRow>) -> Self {
        let mut tally = Self::default();
        for row in rows {
            let moistures = if row.about == HONEYBEE {
                &mut tally.honeybee
            } else {
                &mut tally.stingless_bee
            };
            match row.what {
                Tallied::Moisture => {
                    *moistures.counts.entry(row.value).or_default() += row.count;
                }
                Tallied::Limit => {
                    moistures.limits.insert(row.value);
                }
                Tallied::Digit => {
                    let digits = tally.digits.entry((row.about, row.scale)).or_default();
                    digits.count_many(row.value, row.count);
                }
            }
        }
        tally
    }
}
