//! An officer's day against what is counted: cash from float to box, pails from gate to store.
//!
//! Cash: what was counted in, and given during the day, less what was paid out, and what came back,
//! is what should be in the box. Pails: what was bought and held, less what was given back, should
//! be in the store or on its way there.

use super::finding::FindingWeight;
use super::sum::Sum;
use crate::record::{EntryBody, Means, ParsedEntry, ReceiptNumber, Standing};
use crate::units::{Code, Currency, Label};
use chrono::NaiveDate;

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

/// A pail of the day, and whether it is in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DayPail {
    /// Its number.
    pub number: Code,
    /// Its paper.
    pub paper: ReceiptNumber,
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

/// Reconciles an officer's day from its entries: the opening, those after it, and the closing if
/// there is one. `None` when the first entry opens no day.
pub fn reconcile(
    entries: &[ParsedEntry],
    given_minor: i64,
    pails: &[DayPail],
) -> Option<OfficerDay> {
    let (first, rest) = entries.split_first()?;
    let EntryBody::DayOpened(opened) = first.body() else {
        return None;
    };
    let mut cash = CashCount {
        float_minor: opened.float_minor,
        given_minor,
        ..CashCount::default()
    };
    let mut count = count(pails);
    count.taken = opened.pails.into();
    // The one fold of phone and desk says how many full pails should have been counted.
    let mut standing = Standing::default();
    standing.note(first);
    let mut expected_full = 0;
    for entry in rest {
        move_cash(&mut cash, entry.body());
        if let EntryBody::DayClosed(closed) = entry.body() {
            expected_full = standing.open.as_ref().map_or(0, |open| open.full_pails);
            cash.counted_minor = Some(closed.cash_minor);
            count.counted_full = Some(closed.full_pails.into());
        }
        standing.note(entry);
    }
    let mut day = OfficerDay {
        day: opened.day,
        officer: opened.officer.clone(),
        currency: opened.currency,
        cash,
        pails: count,
        findings: Vec::new(),
    };
    day.findings = findings(&day, expected_full, pails);
    Some(day)
}

fn move_cash(cash: &mut CashCount, body: &EntryBody) {
    let (means, out, back) = match body {
        EntryBody::Receipt(receipt) => (receipt.settlement.means, receipt.settlement.paid_minor, 0),
        EntryBody::Payment(payment) => (Some(payment.means), payment.paid_minor, 0),
        EntryBody::Cancellation(cancelled) => (cancelled.means, 0, cancelled.returned_minor),
        _ => return,
    };
    if means == Some(Means::Cash) {
        cash.paid_minor = cash.paid_minor.saturating_add(out);
        cash.returned_minor = cash.returned_minor.saturating_add(back);
    }
}

fn count(pails: &[DayPail]) -> PailCount {
    let mut count = PailCount::default();
    for pail in pails {
        if pail.held {
            count.held += 1;
        } else {
            count.bought += 1;
        }
        if pail.received {
            count.received += 1;
        } else if pail.cancelled {
            count.given_back += 1;
        } else {
            count.on_the_way += 1;
        }
    }
    count
}

fn findings(day: &OfficerDay, expected_full: u64, pails: &[DayPail]) -> Vec<ReconcileFinding> {
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
    if let Some(counted) = day.pails.counted_full
        && counted != expected_full
    {
        findings.push(ReconcileFinding::PailsDiffer {
            expected: expected_full,
            counted,
        });
    }
    // Pails of a day come to the store together; as long as none came, all are on the way.
    if day.pails.counted_full.is_some() && day.pails.received > 0 {
        let missing = pails
            .iter()
            .filter(|pail| !pail.received && !pail.cancelled);
        findings.extend(missing.map(|pail| ReconcileFinding::PailMissing {
            pail: pail.number.clone(),
            paper: pail.paper.clone(),
        }));
    }
    findings
}
