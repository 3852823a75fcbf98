//! What a member brings at one time, as the officer sees, reads and weighs it.

use super::comb::{COMBS_AT_MOST, CombCount};
use super::fault::{Answer, Fault};
use super::weight::WeighingScale;
use crate::honey::{Reading, Refractometer};
use crate::units::{Code, Grams};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Most pails in one delivery.
pub const PAILS_AT_MOST: usize = 40;

/// Which bee made it. Asked first: the limits differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bee {
    /// Apis mellifera.
    Honeybee,
    /// Meliponini, whose honey is wetter by nature.
    StinglessBee,
}

impl Bee {
    /// Both, in the order asked.
    pub const ALL: [Self; 2] = [Self::Honeybee, Self::StinglessBee];
}

/// In what form the honey is brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Comb still in its frame.
    CombInFrame,
    /// Comb cut from top bar or log, whole.
    CutComb,
    /// Comb crushed with its honey.
    CrushedComb,
    /// Honey run or pressed out of the comb, with little or no wax.
    RunHoney,
}

impl Form {
    /// All, in the order asked.
    pub const ALL: [Self; 4] = [
        Self::CombInFrame,
        Self::CutComb,
        Self::CrushedComb,
        Self::RunHoney,
    ];

    /// Whether capped cells can be seen and counted.
    pub const fn has_comb_to_count(self) -> bool {
        matches!(self, Self::CombInFrame | Self::CutComb)
    }
}

/// What hive it came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hive {
    /// With frames.
    Frame,
    /// With top bars.
    TopBar,
    /// A hollow log or bark cylinder.
    Log,
    /// A box, pot or trunk for stingless bees.
    StinglessBox,
}

impl Hive {
    /// All, in the order asked.
    pub const ALL: [Self; 4] = [Self::Frame, Self::TopBar, Self::Log, Self::StinglessBox];
}

/// One container of a delivery, weighed full and empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pail {
    /// Number painted on it.
    pub number: Code,
    /// Seal put on after weighing, if one was.
    pub seal: Option<Code>,
    /// Full.
    pub gross: Grams,
    /// Empty.
    pub tare: Grams,
}

/// Everything known of a delivery. Parts may be missing while the officer still works: judging
/// an unfinished delivery says what is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct Delivery {
    /// Which bee.
    pub bee: Bee,
    /// In what form.
    pub form: Form,
    /// From what hive.
    pub hive: Hive,
    /// Point counts, one a comb or comb side.
    pub combs: Vec<CombCount>,
    /// The instrument, when there was one.
    pub refractometer: Option<Refractometer>,
    /// Its readings.
    pub readings: Vec<Reading>,
    /// The checklist.
    pub answers: BTreeMap<Fault, Answer>,
    /// The weighing scale, when there was one.
    pub scale: Option<WeighingScale>,
    /// The pails.
    pub pails: Vec<Pail>,
}

/// A delivery that cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DeliveryError {
    /// Too many pails.
    #[error("a delivery takes at most {PAILS_AT_MOST} pails: make a second delivery")]
    TooManyPails,
    /// Too many combs.
    #[error("a count takes at most {COMBS_AT_MOST} combs: leave the rest out")]
    TooManyCombs,
    /// One pail entered twice.
    #[error("pail {0} is entered twice: remove one of the two")]
    SamePailTwice(Code),
    /// Comb points for honey without comb.
    #[error(
        "comb was counted but the honey is crushed or run: choose the form again or clear the count"
    )]
    CombWithoutComb,
    /// Readings without the instrument they were made with.
    #[error("there are moisture readings but no refractometer: choose the refractometer")]
    ReadingsWithoutInstrument,
    /// Weights without the scale they were made with.
    #[error("there are weights but no weighing scale: choose the scale")]
    WeightsWithoutScale,
}

impl Delivery {
    /// A delivery of which only the product is known.
    pub const fn begun(bee: Bee, form: Form, hive: Hive) -> Self {
        Self {
            bee,
            form,
            hive,
            combs: Vec::new(),
            refractometer: None,
            readings: Vec::new(),
            answers: BTreeMap::new(),
            scale: None,
            pails: Vec::new(),
        }
    }

    /// Checks what no delivery can be.
    pub fn check(&self) -> Result<(), DeliveryError> {
        if self.pails.len() > PAILS_AT_MOST {
            return Err(DeliveryError::TooManyPails);
        }
        if self.combs.len() > COMBS_AT_MOST {
            return Err(DeliveryError::TooManyCombs);
        }
        for (position, pail) in self.pails.iter().enumerate() {
            if self.pails[..position]
                .iter()
                .any(|earlier| earlier.number == pail.number)
            {
                return Err(DeliveryError::SamePailTwice(pail.number.clone()));
            }
        }
        if !self.combs.is_empty() && !self.form.has_comb_to_count() {
            return Err(DeliveryError::CombWithoutComb);
        }
        if !self.readings.is_empty() && self.refractometer.is_none() {
            return Err(DeliveryError::ReadingsWithoutInstrument);
        }
        if !self.pails.is_empty() && self.scale.is_none() {
            return Err(DeliveryError::WeightsWithoutScale);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{self, code, comb, pail};
    use super::*;

    fn changed(change: fn(&mut Delivery)) -> Result<(), DeliveryError> {
        let mut delivery = sample::run_honey(&[17_00]);
        change(&mut delivery);
        delivery.check()
    }

    fn pails(count: usize) -> Vec<Pail> {
        (0..count)
            .map(|number| pail(&format!("P{number}"), 5_000, 1_000))
            .collect()
    }

    #[test]
    fn an_unfinished_delivery_can_be() {
        let begun = Delivery::begun(Bee::Honeybee, Form::CutComb, Hive::Log);
        assert_eq!(begun.check(), Ok(()));
        assert_eq!(changed(|_| ()), Ok(()));
    }

    #[test]
    fn what_no_delivery_can_be() {
        type Row = (fn(&mut Delivery), DeliveryError);
        let rows: [Row; 6] = [
            (
                |delivery| delivery.pails = pails(PAILS_AT_MOST + 1),
                DeliveryError::TooManyPails,
            ),
            (
                |delivery| {
                    delivery.form = Form::CutComb;
                    delivery.combs = vec![comb(1, 1); COMBS_AT_MOST + 1];
                },
                DeliveryError::TooManyCombs,
            ),
            (
                |delivery| delivery.pails.push(pail("P1", 9_000, 1_000)),
                DeliveryError::SamePailTwice(code("P1")),
            ),
            (
                |delivery| delivery.combs = vec![comb(1, 1)],
                DeliveryError::CombWithoutComb,
            ),
            (
                |delivery| delivery.refractometer = None,
                DeliveryError::ReadingsWithoutInstrument,
            ),
            (
                |delivery| delivery.scale = None,
                DeliveryError::WeightsWithoutScale,
            ),
        ];
        for (change, error) in rows {
            assert_eq!(changed(change), Err(error));
        }
    }

    #[test]
    fn as_many_pails_and_combs_as_allowed() {
        assert_eq!(
            changed(|delivery| delivery.pails = pails(PAILS_AT_MOST)),
            Ok(())
        );
        assert_eq!(
            changed(|delivery| {
                delivery.form = Form::CombInFrame;
                delivery.combs = vec![comb(1, 1); COMBS_AT_MOST];
            }),
            Ok(())
        );
    }

    /// A pail counted twice is found wherever the two stand.
    #[test]
    fn the_same_pail_is_found_at_both_ends() {
        let mut delivery = sample::run_honey(&[17_00]);
        delivery.pails = pails(5);
        delivery.pails.push(pail("P0", 8_000, 1_000));
        assert_eq!(
            delivery.check(),
            Err(DeliveryError::SamePailTwice(code("P0")))
        );
    }
}
