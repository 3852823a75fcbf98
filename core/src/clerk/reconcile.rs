//! An officer's day against what is counted: cash from float to box, pails from gate to store.
//!
//! Cash: what was counted in, and given during the day, less what was paid out, and what came back,
//! is what should be in the box. Pails: what was bought and held, less what was given back, should
//! be in the store or on its way there.

use super::finding::FindingWeight;
use super::sum::Sum;
use crate::record::{DayOpenedV1, EntryBody, Means, ParsedEntry, ReceiptNumber};
use crate::units::{Code, Currency, Label};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Cash of one officer's day, minor units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CashCount {
    /// Counted in when the day was opened.
    pub float_minor: i64,
    /// Given by the desk during the day, less what it took back.
    pub given_minor: i64,
    /// Paid out.
    pub paid_minor: i64,
    /// Come back of cancelled receipts.
    pub returned_minor: i64,
    /// Counted when the day was closed; `None` while it is open.
    pub counted_minor: Option<i64>,
}

/// What was counted when an officer's day was closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayCounted {
    /// Cash, minor units.
    pub cash_minor: i64,
    /// Full pails.
    pub full_pails: u64,
    /// Full pails that the day's papers say.
    pub expected_full: u64,
}

/// What the entries of an officer's day came to: those after its opening, to its closing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DayMoved {
    /// Paid out in cash, minor units.
    pub paid_minor: i64,
    /// Come back in cash of cancelled receipts, minor units.
    pub returned_minor: i64,
    /// What was counted at its end; `None` while it is open.
    pub counted: Option<DayCounted>,
}

/// Officers' days of a handset, told from its entries in order.
///
/// A day is known by the number of the entry that opened it: it ends with its closing, or where the
/// next one is opened. Entries between a closing and the next opening are of no officer's day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OfficerDays {
    open: Option<u64>,
    moved: BTreeMap<u64, DayMoved>,
}

/// A pail on its way to the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PailOut {
    /// Its number.
    pub number: Code,
    /// Its paper.
    pub paper: ReceiptNumber,
}

/// Where a pail stands by its paper and the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PailStands {
    /// Held, not bought.
    pub held: bool,
    /// Its receipt was cancelled.
    pub cancelled: bool,
    /// It was received at the store.
    pub received: bool,
}

/// Pails of one officer's day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PailCount {
    /// Empty pails taken in the morning.
    pub taken: u64,
    /// Bought.
    pub bought: u64,
    /// Held for the store.
    pub held: u64,
    /// Of cancelled receipts, and so with the members again.
    pub given_back: u64,
    /// Full pails counted when the day was closed; `None` while it is open.
    pub counted_full: Option<u64>,
    /// Received at the store.
    pub received: u64,
    /// Neither given back nor received.
    pub on_the_way: u64,
}

/// An officer's day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfficerDay {
    /// Which day.
    pub day: NaiveDate,
    /// Who bought.
    pub officer: Label,
    /// In which money.
    pub currency: Currency,
    /// Its cash.
    pub cash: CashCount,
    /// Its pails.
    pub pails: PailCount,
    /// What does not agree.
    pub findings: Vec<ReconcileFinding>,
}

/// Something that does not agree. The sentence is for the clerk.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReconcileFinding {
    /// The day was not closed.
    #[error(
        "{0} has not closed the day: ask for the rest of the journal, or count with the officer"
    )]
    StillOpen(Label),
    /// Less cash than there should be.
    #[error("{0} are missing in the box: count again with the officer")]
    CashShort(Sum),
    /// More cash than there should be.
    #[error("{0} are too much in the box: find the purchase that was not paid or not written")]
    CashOver(Sum),
    /// Full pails counted are not those of the papers.
    #[error("{counted} full pails were counted where the papers say {expected}: find the pails")]
    PailsDiffer {
        /// By the papers.
        expected: u64,
        /// Counted.
        counted: u64,
    },
    /// Others of that day came to the store, this one did not.
    #[error("pail {pail} of {paper} did not come to the store with the others: ask the officer")]
    PailMissing {
        /// Which pail.
        pail: Code,
        /// Its paper.
        paper: ReceiptNumber,
    },
}

impl ReconcileFinding {
    /// A short code that stays the same in every language.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::StillOpen(_) => "officer-day-open",
            Self::CashShort(_) => "cash-short",
            Self::CashOver(_) => "cash-over",
            Self::PailsDiffer { .. } => "full-pails-differ",
            Self::PailMissing { .. } => "pail-missing",
        }
    }

    /// How much it weighs.
    pub const fn weight(&self) -> FindingWeight {
        match self {
            Self::StillOpen(_) => FindingWeight::Note,
            Self::CashShort(_)
            | Self::CashOver(_)
            | Self::PailsDiffer { .. }
            | Self::PailMissing { .. } => FindingWeight::Question,
        }
    }
}

impl CashCount {
    /// What should be in the box, minor units.
    pub const fn expected_minor(&self) -> i64 {
        self.float_minor
            .saturating_add(self.given_minor)
            .saturating_sub(self.paid_minor)
            .saturating_add(self.returned_minor)
    }

    /// Counted less expected, minor units: below nothing when cash is missing.
    pub fn difference_minor(&self) -> Option<i64> {
        self.counted_minor
            .map(|counted| counted.saturating_sub(self.expected_minor()))
    }
}

impl PailCount {
    /// Counts so many pails that stand so. What was received is not given back, whatever became of
    /// its receipt.
    pub const fn count(&mut self, pails: PailStands, many: u64) {
        let by_paper = if pails.held {
            &mut self.held
        } else {
            &mut self.bought
        };
        *by_paper = by_paper.saturating_add(many);
        let by_store = if pails.received {
            &mut self.received
        } else if pails.cancelled {
            &mut self.given_back
        } else {
            &mut self.on_the_way
        };
        *by_store = by_store.saturating_add(many);
    }
}

impl OfficerDays {
    /// Goes on after entries that were noted before, with the number of the entry that opened the
    /// day which is still open.
    pub const fn after(open: Option<u64>) -> Self {
        Self {
            open,
            moved: BTreeMap::new(),
        }
    }

    /// Notes the next entry. Full pails are those that should be in hand before it, as the one fold
    /// of phone and desk says ([`crate::record::Standing`]).
    pub fn note(&mut self, entry: &ParsedEntry, full_pails: u64) {
        if matches!(entry.body(), EntryBody::DayOpened(_)) {
            self.open = Some(entry.seq());
        }
        let Some(opening) = self.open else {
            return;
        };
        let moved = self.moved.entry(opening).or_default();
        moved.move_cash(entry.body());
        if let EntryBody::DayClosed(closed) = entry.body() {
            moved.counted = Some(DayCounted {
                cash_minor: closed.cash_minor,
                full_pails: closed.full_pails.into(),
                expected_full: full_pails,
            });
            self.open = None;
        }
    }

    /// What each day came to in the entries noted here, by the number of the entry that opened it.
    pub const fn moved(&self) -> &BTreeMap<u64, DayMoved> {
        &self.moved
    }
}

impl DayMoved {
    fn move_cash(&mut self, body: &EntryBody) {
        let (means, out, back) = match body {
            EntryBody::Receipt(receipt) => {
                (receipt.settlement.means, receipt.settlement.paid_minor, 0)
            }
            EntryBody::Payment(payment) => (Some(payment.means), payment.paid_minor, 0),
            EntryBody::Cancellation(cancelled) => (cancelled.means, 0, cancelled.returned_minor),
            _ => return,
        };
        if means == Some(Means::Cash) {
            self.paid_minor = self.paid_minor.saturating_add(out);
            self.returned_minor = self.returned_minor.saturating_add(back);
        }
    }
}

/// Reconciles an officer's day: its opening and what its entries came to, cash that the desk gave
/// meanwhile, and its pails as counted by their papers. Which of them are on the way is asked only
/// where they are missing.
///
/// # Errors
/// Those of asking which pails are on the way.
pub fn reconcile<E>(
    opened: &DayOpenedV1,
    moved: &DayMoved,
    given_minor: i64,
    pails: PailCount,
    on_the_way: impl FnOnce() -> Result<Vec<PailOut>, E>,
) -> Result<OfficerDay, E> {
    let mut day = OfficerDay {
        day: opened.day,
        officer: opened.officer.clone(),
        currency: opened.currency,
        cash: CashCount {
            float_minor: opened.float_minor,
            given_minor,
            paid_minor: moved.paid_minor,
            returned_minor: moved.returned_minor,
            counted_minor: moved.counted.map(|counted| counted.cash_minor),
        },
        pails: PailCount {
            taken: opened.pails.into(),
            counted_full: moved.counted.map(|counted| counted.full_pails),
            ..pails
        },
        findings: Vec::new(),
    };
    day.findings = findings(&day, moved.counted.as_ref());
    // Pails of a day come to the store together; as long as none came, all are on the way.
    if day.pails.counted_full.is_some() && day.pails.received > 0 {
        let missing = on_the_way()?.into_iter();
        day.findings
            .extend(missing.map(|pail| ReconcileFinding::PailMissing {
                pail: pail.number,
                paper: pail.paper,
            }));
    }
    Ok(day)
}

fn findings(day: &OfficerDay, counted: Option<&DayCounted>) -> Vec<ReconcileFinding> {
    let mut findings = Vec::new();
    match day.cash.difference_minor() {
        None => findings.push(ReconcileFinding::StillOpen(day.officer.clone())),
        Some(0) => {}
        Some(difference) => {
            let sum = Sum {
                minor: difference.saturating_abs(),
                currency: Some(day.currency),
            };
            findings.push(if difference < 0 {
                ReconcileFinding::CashShort(sum)
            } else {
                ReconcileFinding::CashOver(sum)
            });
        }
    }
    if let Some(counted) = counted
        && counted.full_pails != counted.expected_full
    {
        findings.push(ReconcileFinding::PailsDiffer {
            expected: counted.expected_full,
            counted: counted.full_pails,
        });
    }
    findings
}
