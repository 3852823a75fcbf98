//! A delivery while it is being written down: what was typed, as it was typed.
//!
//! A draft is a convenience and no record. It is read into a delivery only where every figure is
//! one; it is kept at every change and given up when its paper is stored.

mod payment;
mod replacing;
mod typed;

pub use payment::Paying;
pub use replacing::replacing;
pub use typed::{
    CELSIUS_PLACES, KILOGRAM_PLACES, Newcomer, TypedPail, TypedReading, reading_places,
};

use crate::platform::drafts::{self, DraftError, Kind};
use crate::platform::identity;
use crate::register::Due;
use crate::route::Step;
use combgate_core::intake::{Answer, Bee, Decision, Fault, Form, Hive};
use combgate_core::record::{
    AnswerV1, AssessmentV1, Brief, CombV1, DeliveryV1, Issue, Keeper, Means, OpenDay,
    ReceiptNumber, SettlementV1,
};
use combgate_core::units::{Code, Points};
use combgate_ui::words::Word;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Readings that can be typed.
const READINGS: usize = 3;

/// Whose delivery it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bringer {
    /// Number on the register.
    pub number: Code,
    /// Name.
    pub name: String,
}

/// One tap while comb is counted; kept one by one, so that each can be undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tap {
    /// A point on capped honey.
    Capped,
    /// A point on open honey.
    Open,
    /// A point on no honey.
    Other,
    /// The next comb begins.
    NextComb,
}

/// Points on capped honey, on open honey and on none of one comb.
pub type Count = [i64; 3];

/// The draft.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Draft {
    /// The delivery's identity, kept through every restart.
    pub delivery: Uuid,
    /// The step that was worked at last.
    pub step: Step,
    /// Who is looked for on the register.
    pub search: String,
    /// Who is being put on the register.
    pub newcomer: Newcomer,
    /// Who brings it.
    pub member: Option<Bringer>,
    /// Which bee.
    pub bee: Option<Bee>,
    /// In what form.
    pub form: Option<Form>,
    /// From what hive.
    pub hive: Option<Hive>,
    /// The pails, one at least.
    pub pails: Vec<TypedPail>,
    /// The checklist.
    pub answers: BTreeMap<Fault, Answer>,
    /// The count of the comb.
    pub taps: Vec<Tap>,
    /// The readings.
    pub readings: Vec<TypedReading>,
    /// Paid now, in units of the currency; nothing typed is all of it.
    pub paid: Option<String>,
    /// By what means.
    pub means: Means,
    /// The provider's reference.
    pub reference: String,
    /// When the rest is due, as `2026-11-25`.
    pub due: String,
    /// Who keeps the pails of a hold or a refusal.
    pub keeper: Keeper,
    /// The cancelled receipt that this one replaces.
    #[serde(default)]
    pub replaces: Option<ReceiptNumber>,
}

/// Why there is no decision yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pending {
    /// Something is still to be asked.
    Undecided,
    /// Something typed cannot be.
    Impossible,
}

impl Pending {
    /// What to say.
    pub const fn word(self) -> Word {
        match self {
            Self::Undecided => Word::PurchaseUndecided,
            Self::Impossible => Word::PurchaseImpossible,
        }
    }
}

impl Draft {
    /// The draft that was kept, if there is one.
    ///
    /// # Errors
    /// See [`DraftError`].
    pub fn resume() -> Result<Option<Self>, DraftError> {
        drafts::load(Kind::Delivery)
    }

    /// Where a kept draft was left; the first step without one.
    pub fn left_at() -> Step {
        Self::resume()
            .ok()
            .flatten()
            .map_or(Step::Member, |draft| draft.step)
    }

    /// A new one. `None` where the clock shows a time that no calendar has.
    pub fn begin() -> Option<Self> {
        identity::new_delivery().map(Self::of)
    }

    fn of(delivery: Uuid) -> Self {
        Self {
            delivery,
            step: Step::Member,
            search: String::new(),
            newcomer: Newcomer::default(),
            member: None,
            bee: None,
            form: None,
            hive: None,
            pails: vec![TypedPail::default()],
            answers: BTreeMap::new(),
            taps: Vec::new(),
            readings: vec![TypedReading::default(); READINGS],
            paid: None,
            means: Means::Cash,
            reference: String::new(),
            due: String::new(),
            keeper: Keeper::Member,
            replaces: None,
        }
    }

    /// The count, comb by comb; the last one is the one being counted.
    pub fn combs(&self) -> Vec<Count> {
        let mut done = Vec::new();
        let mut current = [0; 3];
        for tap in &self.taps {
            match tap {
                Tap::Capped => current[0] += 1,
                Tap::Open => current[1] += 1,
                Tap::Other => current[2] += 1,
                Tap::NextComb => done.push(std::mem::take(&mut current)),
            }
        }
        done.push(current);
        done
    }

    /// What was brought, as far as it is written down. `None` before the product is chosen.
    pub fn delivery(&self, open: &OpenDay) -> Option<DeliveryV1> {
        let (bee, form, hive) = (self.bee?, self.form?, self.hive?);
        let combs = self.combs();
        let readings = open.refractometer.map_or_else(Vec::new, |instrument| {
            let typed = self.readings.iter();
            typed
                .filter_map(|each| each.read(instrument.scale))
                .collect()
        });
        let pails = open.scale.map_or_else(Vec::new, |_| {
            self.pails.iter().filter_map(TypedPail::read).collect()
        });
        Some(DeliveryV1 {
            bee,
            form,
            hive,
            combs: combs
                .into_iter()
                .filter(|_| form.has_comb_to_count())
                .filter(|points| points.iter().sum::<i64>() > 0)
                .filter_map(comb)
                .collect(),
            refractometer: open.refractometer,
            readings,
            answers: self
                .answers
                .iter()
                .map(|(fault, answer)| AnswerV1 {
                    fault: *fault,
                    answer: *answer,
                })
                .collect(),
            scale: open.scale,
            pails,
        })
    }

    /// The delivery with what comes of it, for a member to whom this is due; its settlement is
    /// still empty.
    ///
    /// # Errors
    /// [`Pending`]: no decision stands on a figure that was typed and not understood, and no
    /// purchase on half a pail or half a reading.
    pub fn judged(
        &self,
        brief: &Brief,
        open: &OpenDay,
        due: Option<&Due>,
    ) -> Result<(Issue, AssessmentV1), Pending> {
        let member = self.member.as_ref().ok_or(Pending::Undecided)?;
        let due = due.ok_or(Pending::Undecided)?;
        let delivery = self.delivery(open).ok_or(Pending::Undecided)?;
        if !self.is_readable(open) {
            return Err(Pending::Impossible);
        }
        let issue = Issue {
            delivery_id: self.delivery,
            day: open.day,
            member: member.number.clone(),
            delivery,
            premiums: due.premiums.clone(),
            advance: due.advance.clone(),
            settlement: SettlementV1 {
                paid_minor: 0,
                means: None,
                reference: None,
                owed_minor: 0,
                due: None,
            },
            pails_with: self.keeper,
            replaces: self.replaces.clone(),
        };
        let assessment = issue.assess(brief).map_err(|_| Pending::Impossible)?;
        let assessment = AssessmentV1::from(&assessment);
        if assessment.decision == Decision::Buy && !self.is_whole(open) {
            return Err(Pending::Undecided);
        }
        Ok((issue, assessment))
    }

    /// The delivery ready for its paper.
    ///
    /// # Errors
    /// What still stands in the way.
    pub fn issue(&self, brief: &Brief, open: &OpenDay, due: Option<&Due>) -> Result<Issue, Word> {
        let (mut issue, assessment) = self.judged(brief, open, due).map_err(Pending::word)?;
        if assessment.decision == Decision::Buy {
            let payable = assessment.payable_minor.ok_or(Word::PurchaseUndecided)?;
            issue.settlement = self.settlement(payable, money_places(brief), open.day)?;
        }
        Ok(issue)
    }

    /// Whether an earlier pail bears the number of the one at `place`.
    pub fn stands_twice(&self, place: usize) -> bool {
        let number_at = |place: usize| self.pails.get(place).map(|pail| pail.number.trim());
        number_at(place).is_some_and(|number| {
            !number.is_empty() && (0..place).any(|earlier| number_at(earlier) == Some(number))
        })
    }

    /// Whether the seal of the pail at `place` is on another pail, of this delivery or of the day.
    pub fn seal_stands_twice(&self, open: &OpenDay, place: usize) -> bool {
        let Some(pail) = self.pails.get(place) else {
            return false;
        };
        let Ok(seal) = Code::new(&pail.seal) else {
            return false;
        };
        let mut earlier = self.pails.iter().take(place);
        earlier.any(|other| other.seal.trim() == seal.as_str())
            || Code::new(&pail.number).is_ok_and(|number| open.is_on_another(&seal, &number))
    }

    /// The receipt of the day that has the pail at `place` on it already.
    pub fn receipt_with_pail(&self, open: &OpenDay, place: usize) -> Option<ReceiptNumber> {
        let number = Code::new(&self.pails.get(place)?.number).ok()?;
        open.receipt_with(&number).cloned()
    }

    /// Whether everything typed was understood.
    fn is_readable(&self, open: &OpenDay) -> bool {
        let pails = open.scale.is_none() || self.pails.iter().all(TypedPail::is_readable);
        let readings = open.refractometer.is_none_or(|instrument| {
            let mut typed = self.readings.iter();
            typed.all(|each| each.is_readable(instrument.scale))
        });
        pails && readings
    }

    /// Whether nothing is half typed.
    fn is_whole(&self, open: &OpenDay) -> bool {
        let pails = self
            .pails
            .iter()
            .all(|pail| pail.is_blank() || pail.read().is_some());
        let readings = open.refractometer.is_none_or(|instrument| {
            self.readings
                .iter()
                .all(|each| each.is_blank() || each.read(instrument.scale).is_some())
        });
        pails && readings
    }
}

/// Decimals of the currency that the brief pays in.
pub fn money_places(brief: &Brief) -> usize {
    let currency = brief.terms().prices().parts().currency;
    usize::try_from(currency.decimals()).unwrap_or(0)
}

fn comb([capped, open, other]: Count) -> Option<CombV1> {
    Some(CombV1 {
        capped: Points::new(capped).ok()?,
        open: Points::new(open).ok()?,
        other: Points::new(other).ok()?,
    })
}
