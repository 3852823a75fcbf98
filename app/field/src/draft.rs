//! A delivery while it is being written down: what was typed, as it was typed.
//!
//! A draft is a convenience and no record. It is read into a delivery only where every figure is
//! one; it is kept at every change and given up when its paper is stored.

mod replacing;

pub use replacing::replacing;

use crate::platform::drafts::{self, DraftError, Kind};
use crate::platform::identity;
use chrono::NaiveDate;
use combgate_core::honey::Scale;
use combgate_core::intake::{Answer, Bee, Decision, Fault, Form, Hive};
use combgate_core::record::{
    AnswerV1, AssessmentV1, Brief, CombV1, DeliveryV1, Issue, Keeper, Means, OpenDay, PailV1,
    ReadingV1, ReceiptNumber, SettlementV1,
};
use combgate_core::units::{Celsius, Code, Grams, Points};
use combgate_ui::figures;
use combgate_ui::words::Word;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Decimals of a mass in kilograms: whole grams.
pub const KILOGRAM_PLACES: usize = 3;
/// Decimals of a temperature: tenths of a degree.
pub const CELSIUS_PLACES: usize = 1;
/// Readings that can be typed.
const READINGS: usize = 3;

/// Decimals of a reading: hundred-thousandths of index, hundredths of Brix and of percent.
pub const fn reading_places(scale: Scale) -> usize {
    match scale {
        Scale::RefractiveIndex => 5,
        Scale::Brix | Scale::Water => 2,
    }
}

/// Whose delivery it is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Bringer {
    /// Number on the register.
    pub number: Code,
    /// Name.
    pub name: String,
}

/// A pail as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedPail {
    /// Number painted on it.
    pub number: String,
    /// Seal, if any.
    pub seal: String,
    /// Empty, in kilograms.
    pub tare: String,
    /// Full, in kilograms.
    pub gross: String,
}

/// A reading as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedReading {
    /// What the scale shows.
    pub value: String,
    /// Degrees Celsius.
    pub temperature: String,
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

    /// A new one. `None` where the clock shows a time that no calendar has.
    pub fn begin() -> Option<Self> {
        identity::new_delivery().map(Self::of)
    }

    fn of(delivery: Uuid) -> Self {
        Self {
            delivery,
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

    /// The delivery with what comes of it; its settlement is still empty.
    ///
    /// # Errors
    /// [`Pending`]: no decision stands on a figure that was typed and not understood, and no
    /// purchase on half a pail or half a reading.
    pub fn judged(&self, brief: &Brief, open: &OpenDay) -> Result<(Issue, AssessmentV1), Pending> {
        let member = self.member.as_ref().ok_or(Pending::Undecided)?;
        let delivery = self.delivery(open).ok_or(Pending::Undecided)?;
        if !self.is_readable(open) {
            return Err(Pending::Impossible);
        }
        let known = brief
            .payload()
            .members
            .iter()
            .find(|each| each.number == member.number);
        let issue = Issue {
            delivery_id: self.delivery,
            day: open.day,
            member: member.number.clone(),
            delivery,
            premiums: known.map_or_else(Vec::new, |each| each.premiums.clone()),
            advance: known.and_then(|each| each.advance.clone()),
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
    pub fn issue(&self, brief: &Brief, open: &OpenDay) -> Result<Issue, Word> {
        let (mut issue, assessment) = self.judged(brief, open).map_err(Pending::word)?;
        if assessment.decision == Decision::Buy {
            let payable = assessment.payable_minor.ok_or(Word::PurchaseUndecided)?;
            issue.settlement = self.settlement(payable, money_places(brief), open.day)?;
        }
        Ok(issue)
    }

    /// What is paid now in minor units, out of what is payable.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn paid_now(&self, payable: i64, places: usize) -> Result<i64, Word> {
        let paid = match &self.paid {
            None => return Ok(payable),
            Some(typed) => figures::parse(typed, places).map_err(|_| Word::FigureNotAFigure)?,
        };
        match paid {
            ..0 => Err(Word::FigureNotAFigure),
            paid if paid > payable => Err(Word::PurchasePaidTooMuch),
            paid => Ok(paid),
        }
    }

    fn settlement(
        &self,
        payable: i64,
        places: usize,
        day: NaiveDate,
    ) -> Result<SettlementV1, Word> {
        let paid_minor = self.paid_now(payable, places)?;
        let owed_minor = payable - paid_minor;
        let means = (paid_minor > 0).then_some(self.means);
        let reference = match (means, self.reference.trim()) {
            (Some(Means::MobileMoney), typed) if !typed.is_empty() => {
                Some(Code::new(typed).map_err(|_| Word::PurchaseImpossible)?)
            }
            _ => None,
        };
        let due = if owed_minor > 0 {
            let due = self.due.trim().parse().ok();
            Some(
                due.filter(|due| *due >= day)
                    .ok_or(Word::PurchaseDueNeeded)?,
            )
        } else {
            None
        };
        Ok(SettlementV1 {
            paid_minor,
            means,
            reference,
            owed_minor,
            due,
        })
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

impl TypedPail {
    /// Whether nothing was typed.
    pub fn is_blank(&self) -> bool {
        [&self.number, &self.seal, &self.tare, &self.gross]
            .into_iter()
            .all(|typed| typed.trim().is_empty())
    }

    fn is_readable(&self) -> bool {
        or_blank(&self.number, |typed| Code::new(typed).is_ok())
            && or_blank(&self.seal, |typed| Code::new(typed).is_ok())
            && or_blank(&self.tare, |typed| grams(typed).is_some())
            && or_blank(&self.gross, |typed| grams(typed).is_some())
    }

    fn read(&self) -> Option<PailV1> {
        Some(PailV1 {
            number: Code::new(&self.number).ok()?,
            seal: match self.seal.trim() {
                "" => None,
                typed => Some(Code::new(typed).ok()?),
            },
            gross_g: grams(&self.gross)?,
            tare_g: grams(&self.tare)?,
        })
    }
}

impl TypedReading {
    fn is_blank(&self) -> bool {
        self.value.trim().is_empty() && self.temperature.trim().is_empty()
    }

    fn is_readable(&self, scale: Scale) -> bool {
        or_blank(&self.value, |typed| {
            figures::parse(typed, reading_places(scale)).is_ok()
        }) && or_blank(&self.temperature, |typed| celsius(typed).is_some())
    }

    fn read(&self, scale: Scale) -> Option<ReadingV1> {
        Some(ReadingV1 {
            value: figures::parse(&self.value, reading_places(scale)).ok()?,
            temperature_tenths_c: celsius(&self.temperature)?,
        })
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

fn grams(typed: &str) -> Option<Grams> {
    Grams::new(figures::parse(typed, KILOGRAM_PLACES).ok()?).ok()
}

fn celsius(typed: &str) -> Option<Celsius> {
    Celsius::new(figures::parse(typed, CELSIUS_PLACES).ok()?).ok()
}

fn or_blank(typed: &str, good: impl FnOnce(&str) -> bool) -> bool {
    typed.trim().is_empty() || good(typed)
}
