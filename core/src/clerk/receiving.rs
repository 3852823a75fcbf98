//! A pail at the store: weighed again, its seal looked at, by another person than the buyer.
//!
//! Three must agree: what the paper says, what the pail bears, what the store's scale shows. The
//! full weights are compared, so that the empty pail, which is the same in both, plays no part; the
//! empty weight is compared on its own once it is known. A difference is a finding. It is never
//! taken off what the member or the officer gets.
//!
//! # References
//! OIML R 76-1:2006, Table 6 and 3.5.2: each scale may be wrong by its own error in service. Both
//! may be wrong in opposite directions, so their errors add.

use super::finding::FindingWeight;
use super::person::same_person;
use crate::intake::{
    MassError, Pail, ScaleCheck, ShrinkRule, WeighingScale, WeightError, maximum_permissible_error,
};
use crate::units::{Code, Grams, Label, MILLIGRAMS_PER_GRAM, ScaleInterval};

/// Grams times hundredths of a percent, in a milligram: 10,000 of them are a gram.
const GRAM_SHARES_PER_MILLIGRAM: i64 = 10;

/// A pail as its paper has it.
#[derive(Debug, Clone, Copy)]
pub struct PailAtGate<'a> {
    /// The pail.
    pub pail: &'a Pail,
    /// Scale interval at the gate, when a scale is named.
    pub interval: Option<ScaleInterval>,
    /// What the policy lets it lose.
    pub shrink: Option<&'a ShrinkRule>,
    /// Who bought, if the day was opened with a name.
    pub officer: Option<&'a Label>,
    /// The receipt was cancelled.
    pub cancelled: bool,
}

/// What is seen of a seal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SealSeen {
    /// Whole, with this number.
    Whole(Code),
    /// Broken, with this number.
    Broken(Code),
    /// None is there.
    Missing,
}

/// A pail as it stands in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PailAtStore {
    /// The store's scale as it was that day.
    pub scale: WeighingScale,
    /// Full.
    pub gross: Grams,
    /// Empty: painted on it, or weighed after it was emptied.
    pub tare: Option<Grams>,
    /// Its seal.
    pub seal: SealSeen,
    /// Who received it.
    pub by: Label,
}

/// How far a weight at the store may differ from the paper's before somebody must ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tolerance {
    /// Most that may be missing.
    pub lost: MassError,
    /// Most that may be too much: the scales' errors alone, for honey does not grow.
    pub gained: MassError,
}

/// What a comparison of weights came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReceivingResult {
    /// Weight at the store less the paper's, grams.
    pub difference_g: Option<i64>,
    /// How far it may differ; `None` when no scale is named on the paper.
    pub tolerance: Option<Tolerance>,
    /// What the clerk must look at.
    pub findings: Vec<ReceivingFinding>,
}

/// Something found at the store. The sentence is for the clerk.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReceivingFinding {
    /// No paper names the pail.
    #[error(
        "no paper that is booked names this pail: import the officer's bundles; if none names it \
         then, ask whose honey it is"
    )]
    Unknown,
    /// Its receipt was cancelled.
    #[error("its receipt was cancelled, so the pail should be with the member: ask the officer")]
    Cancelled,
    /// More is missing than scales and shrink explain.
    #[error(
        "{} g are missing, of which scales and shrink explain {} g: weigh it again together with \
         the officer; nothing is taken off for it", .missing_g, grams(*.allowed)
    )]
    Light {
        /// Grams missing.
        missing_g: i64,
        /// Most that is explained.
        allowed: MassError,
    },
    /// More is there than the scales explain.
    #[error(
        "{} g are too much, of which the scales explain {} g: weigh it again, and look whether it \
         is the right pail and whether anything was added", .extra_g, grams(*.allowed)
    )]
    Heavy {
        /// Grams too much.
        extra_g: i64,
        /// Most that is explained.
        allowed: MassError,
    },
    /// The empty pail weighs something else than the paper says.
    #[error(
        "the empty pail is {found} g where the paper says {written} g, more apart than the scales \
         explain: weigh the empty pail again, for the member was paid by it"
    )]
    TareDiffers {
        /// Grams on the paper.
        written: i64,
        /// Grams at the store.
        found: i64,
    },
    /// No scale is named on the paper.
    #[error("the paper names no scale, so nobody can say how far the weights may differ")]
    NotComparable,
    /// The seal is broken.
    #[error("seal {0} is broken: keep the pail apart and ask the officer before it is opened")]
    SealBroken(Code),
    /// Another seal than was written.
    #[error(
        "it bears seal {found} where the paper says {written}: keep it apart and ask the officer"
    )]
    SealDiffers {
        /// On the paper.
        written: Code,
        /// On the pail.
        found: Code,
    },
    /// The seal is gone.
    #[error("seal {0} is gone: keep the pail apart and ask the officer before it is opened")]
    SealGone(Code),
    /// A seal that no paper names.
    #[error("it bears seal {0}, which the paper does not name: ask the officer who put it on")]
    SealUnwritten(Code),
    /// Never sealed.
    #[error("it was never sealed, so nothing shows that it was not opened on the way")]
    NeverSealed,
    /// The store's scale is not proven that day.
    #[error(
        "the store's scale was not proven with a known weight that day ({0:?}): try it, then weigh the pail again"
    )]
    ScaleUnproven(ScaleCheck),
    /// Too light for the store's scale.
    #[error(
        "the pail is lighter than the least load of the store's scale: weigh it on a finer one"
    )]
    UnderLeastLoad,
    /// Received before its paper came, and then it showed that the buyer received it.
    #[error(
        "{0} bought it and received it: have another person weigh it again, and look at the seal"
    )]
    ReceivedByBuyer(Label),
    /// Who bought is not written.
    #[error(
        "no name stands at the opening of that day, so nobody can say that another person bought"
    )]
    BuyerUnknown,
}

impl ReceivingFinding {
    /// A short code that stays the same in every language.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Unknown => "pail-unknown",
            Self::Cancelled => "pail-of-cancelled",
            Self::Light { .. } => "pail-light",
            Self::Heavy { .. } => "pail-heavy",
            Self::TareDiffers { .. } => "pail-tare-differs",
            Self::NotComparable => "pail-not-comparable",
            Self::SealBroken(_) => "seal-broken",
            Self::SealDiffers { .. } => "seal-differs",
            Self::SealGone(_) => "seal-gone",
            Self::SealUnwritten(_) => "seal-unwritten",
            Self::NeverSealed => "never-sealed",
            Self::ScaleUnproven(_) => "store-scale-unproven",
            Self::UnderLeastLoad => "store-under-least-load",
            Self::ReceivedByBuyer(_) => "received-by-buyer",
            Self::BuyerUnknown => "buyer-unknown",
        }
    }

    /// How much it weighs.
    pub const fn weight(&self) -> FindingWeight {
        match self {
            Self::Unknown
            | Self::SealBroken(_)
            | Self::SealDiffers { .. }
            | Self::SealGone(_)
            | Self::ReceivedByBuyer(_) => FindingWeight::Serious,
            Self::Cancelled
            | Self::Light { .. }
            | Self::Heavy { .. }
            | Self::TareDiffers { .. }
            | Self::SealUnwritten(_)
            | Self::ScaleUnproven(ScaleCheck::Failed) => FindingWeight::Question,
            Self::NotComparable
            | Self::NeverSealed
            | Self::ScaleUnproven(_)
            | Self::UnderLeastLoad
            | Self::BuyerUnknown => FindingWeight::Note,
        }
    }
}

/// Whole grams; a difference is in whole grams, so the rest of one explains nothing.
const fn grams(error: MassError) -> i64 {
    error.milligrams() / MILLIGRAMS_PER_GRAM
}

/// How far two weighings of one full pail may differ.
///
/// Lost: the error in service of both scales, and what the policy lets the net mass shrink.
/// Gained: the scales' errors alone.
///
/// # Examples
/// 25 kg on two scales of 10 g: 2,500 intervals, 1.5 e on verification, 3 e in service, 30 g each.
/// ```
/// # use combgate_core::{clerk::tolerance, intake::*, units::*};
/// let e = ScaleInterval::new(10)?;
/// let pail = Grams::new(25_000)?;
/// let both = tolerance((pail, e), (pail, e), Grams::new(24_000)?, None)?;
/// assert_eq!(both.lost.milligrams(), 60_000);
/// assert_eq!(both.gained.milligrams(), 60_000);
/// // With 0.5 % shrink, at least 100 g: 120 g of 24 kg.
/// let rule = ShrinkRule {
///     form: Form::RunHoney,
///     share_at_most: Share::new(50)?,
///     least: Grams::new(100)?,
///     source: Label::new("common practice")?,
/// };
/// let both = tolerance((pail, e), (pail, e), Grams::new(24_000)?, Some(&rule))?;
/// assert_eq!(both.lost.milligrams(), 180_000);
/// assert_eq!(both.gained.milligrams(), 60_000);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn tolerance(
    gate: (Grams, ScaleInterval),
    store: (Grams, ScaleInterval),
    net: Grams,
    shrink: Option<&ShrinkRule>,
) -> Result<Tolerance, WeightError> {
    let error =
        |(load, interval)| maximum_permissible_error(load, interval).map(MassError::in_service);
    let gained = error(gate)?.plus(error(store)?);
    let shrink_mg = shrink.map_or(0, |rule| {
        let share = net.get().saturating_mul(rule.share_at_most.get()) / GRAM_SHARES_PER_MILLIGRAM;
        share.max(rule.least.get().saturating_mul(MILLIGRAMS_PER_GRAM))
    });
    Ok(Tolerance {
        lost: gained.plus(MassError::of_milligrams(shrink_mg)),
        gained,
    })
}

/// Compares a pail in the store with its paper, if one names it.
///
/// A figure that the store's scale cannot show, or more than it may carry, is an error: read the
/// display again.
pub fn receive(
    number: &Code,
    paper: Option<PailAtGate<'_>>,
    store: &PailAtStore,
) -> Result<ReceivingResult, WeightError> {
    check_steps(number, store)?;
    let mut findings = Vec::new();
    match store.scale.check {
        ScaleCheck::Passed => {}
        check => findings.push(ReceivingFinding::ScaleUnproven(check)),
    }
    if store.gross < store.scale.least_load() {
        findings.push(ReceivingFinding::UnderLeastLoad);
    }
    let Some(paper) = paper else {
        maximum_permissible_error(store.gross, store.scale.interval)?;
        findings.push(ReceivingFinding::Unknown);
        return Ok(ReceivingResult {
            difference_g: None,
            tolerance: None,
            findings,
        });
    };
    if paper.cancelled {
        findings.push(ReceivingFinding::Cancelled);
    }
    match paper.officer {
        None => findings.push(ReceivingFinding::BuyerUnknown),
        Some(officer) if same_person(officer, &store.by) => {
            findings.push(ReceivingFinding::ReceivedByBuyer(store.by.clone()));
        }
        Some(_) => {}
    }
    findings.extend(compare_seals(paper.pail.seal.as_ref(), &store.seal));
    let difference_g = store.gross.get() - paper.pail.gross.get();
    let tolerance = compare_weights(&paper, store, difference_g, &mut findings)?;
    Ok(ReceivingResult {
        difference_g: Some(difference_g),
        tolerance,
        findings,
    })
}

fn check_steps(number: &Code, store: &PailAtStore) -> Result<(), WeightError> {
    let interval = store.scale.interval;
    if store.gross.get() % interval.get() != 0 {
        return Err(WeightError::NotAStep {
            pail: number.clone(),
            value: store.gross,
            interval,
        });
    }
    match store.tare {
        Some(tare) if tare >= store.gross => Err(WeightError::TareNotBelowGross {
            pail: number.clone(),
            gross: store.gross,
            tare,
        }),
        _ => Ok(()),
    }
}

fn compare_weights(
    paper: &PailAtGate<'_>,
    store: &PailAtStore,
    difference_g: i64,
    findings: &mut Vec<ReceivingFinding>,
) -> Result<Option<Tolerance>, WeightError> {
    let here = store.scale.interval;
    let Some(there) = paper.interval else {
        maximum_permissible_error(store.gross, here)?;
        findings.push(ReceivingFinding::NotComparable);
        return Ok(None);
    };
    let pail = paper.pail;
    // A paper whose tare is no tare has been questioned when it was judged again.
    let net = pail.gross.minus(pail.tare).unwrap_or(Grams::ZERO);
    let allowed = tolerance((pail.gross, there), (store.gross, here), net, paper.shrink)?;
    let milligrams = difference_g.saturating_mul(MILLIGRAMS_PER_GRAM);
    if milligrams < -allowed.lost.milligrams() {
        findings.push(ReceivingFinding::Light {
            missing_g: -difference_g,
            allowed: allowed.lost,
        });
    } else if milligrams > allowed.gained.milligrams() {
        findings.push(ReceivingFinding::Heavy {
            extra_g: difference_g,
            allowed: allowed.gained,
        });
    }
    if let Some(tare) = store.tare {
        let apart = (tare.get() - pail.tare.get()).abs() * MILLIGRAMS_PER_GRAM;
        let allowed = tolerance((pail.tare, there), (tare, here), Grams::ZERO, None)?;
        if apart > allowed.gained.milligrams() {
            findings.push(ReceivingFinding::TareDiffers {
                written: pail.tare.get(),
                found: tare.get(),
            });
        }
    }
    Ok(Some(allowed))
}

fn compare_seals(written: Option<&Code>, seen: &SealSeen) -> Option<ReceivingFinding> {
    match (written, seen) {
        (_, SealSeen::Broken(found)) => Some(ReceivingFinding::SealBroken(found.clone())),
        (Some(written), SealSeen::Whole(found)) if written == found => None,
        (Some(written), SealSeen::Whole(found)) => Some(ReceivingFinding::SealDiffers {
            written: written.clone(),
            found: found.clone(),
        }),
        (Some(written), SealSeen::Missing) => Some(ReceivingFinding::SealGone(written.clone())),
        (None, SealSeen::Whole(found)) => Some(ReceivingFinding::SealUnwritten(found.clone())),
        (None, SealSeen::Missing) => Some(ReceivingFinding::NeverSealed),
    }
}

#[cfg(test)]
mod tests;
