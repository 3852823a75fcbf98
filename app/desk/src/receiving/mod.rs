//! Pails at the store: matched with their papers, weighed again, looked at by another person.
//!
//! A pail that comes before its bundle is kept without a paper, and matched when the paper comes.
//! What a weighing means is worked out anew each time from the signed paper and what was found: only
//! the facts are kept.

pub(crate) mod answer;
pub(crate) mod command;
mod error;
pub(crate) mod list;

pub use error::ReceiveError;

use crate::closing::open_day;
use crate::store::{PailPlace, PailRow, ReceivingRow, SetAside, Store, StoreError, TermsKind};
use chrono::{DateTime, FixedOffset};
use combgate_core::clerk::{Another, PailAtGate, PailAtStore, ReceivingResult, receive as compare};
use combgate_core::intake::{Pail, ShrinkRule};
use combgate_core::record::{
    DeliveryV1, EntryBody, Keeper, PailV1, ParsedEntry, PolicyV1, ReceiptNumber, TermsRefV1, day_of,
};
use combgate_core::units::{Code, Label, ScaleInterval};

/// Which of a pail's papers is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// The one that is still expected.
    Expected,
    /// The paper of this number.
    Paper(ReceiptNumber),
    /// None that is here yet.
    None,
}

/// A pail to be received.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Receiving {
    /// Its number.
    pub pail: Code,
    /// Its paper.
    pub which: Which,
    /// What was found, and by whom.
    pub found: PailAtStore,
    /// Why it is weighed again, when it is.
    pub again: Option<Label>,
}

/// A weighing with its paper and what it means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// The weighing.
    pub row: ReceivingRow,
    /// The pail on its paper.
    pub pail: Option<PailRow>,
    /// What the comparison came to.
    pub result: ReceivingResult,
}

/// Pails that a paper sends to the store: those bought, and those of a delivery held there.
pub(crate) fn sent(body: &EntryBody) -> &[PailV1] {
    match body {
        EntryBody::Receipt(receipt) => &receipt.delivery.pails,
        EntryBody::Slip(slip) if slip.pails_with == Keeper::Cooperative => &slip.delivery.pails,
        _ => &[],
    }
}

/// Keeps which pails a booked entry sends to the store.
pub(crate) fn expect(
    store: &impl Store,
    handset: &Code,
    entry: &ParsedEntry,
) -> Result<(), StoreError> {
    let numbers: Vec<&Code> = sent(entry.body()).iter().map(|pail| &pail.number).collect();
    // Whoever booked the paper has just kept it as it stands.
    store.keep_pails(handset, entry.seq(), day_of(entry.body()), &numbers)
}

/// Names the papers of pails that came before them, where exactly one paper fits.
pub(crate) fn match_waiting(store: &impl Store) -> Result<(), StoreError> {
    for waiting in store.unmatched()? {
        let mut fitting = store.pails_named(&waiting.pail)?;
        fitting.retain(|pail| is_expected(pail) && pail.written_on <= waiting.day);
        if let [only] = fitting.as_slice() {
            store.match_receiving(waiting.id, &only.at)?;
        }
    }
    Ok(())
}

const fn is_expected(pail: &PailRow) -> bool {
    !pail.cancelled && pail.received.is_none()
}

/// Receives a pail: keeps what was found, and says what it means.
pub fn receive<S: Store>(
    store: &mut S,
    receiving: &Receiving,
    now: DateTime<FixedOffset>,
) -> Result<Judged, ReceiveError> {
    store.atomically(|store| {
        let (pail, earlier) = choose(store, receiving)?;
        if let Some(pail) = &pail {
            let paper = Paper::read(store, &pail.at)?;
            let officer = paper.officer.as_ref();
            Another::than(
                receiving.found.by.clone(),
                officer.map(|officer| (officer, "bought this honey")),
            )?;
        }
        if let (Some(id), Some(because)) = (earlier, &receiving.again) {
            let how = SetAside {
                by: receiving.found.by.clone(),
                at: now,
                because: because.clone(),
            };
            store.set_aside(id, &how)?;
        }
        let mut row = ReceivingRow {
            id: 0,
            pail: receiving.pail.clone(),
            paper: pail.as_ref().map(|pail| pail.at.clone()),
            day: open_day(store, now.date_naive())?,
            found: receiving.found.clone(),
            at: now,
            set_aside: None,
        };
        row.id = store.keep_receiving(&row)?;
        judge(store, row)
    })
}

/// The pail on its paper, and the earlier weighing that this one sets aside.
fn choose(
    store: &impl Store,
    receiving: &Receiving,
) -> Result<(Option<PailRow>, Option<i64>), ReceiveError> {
    let number = &receiving.pail;
    let mut pails = store.pails_named(number)?;
    if let Which::Paper(paper) = &receiving.which {
        pails.retain(|pail| pail.paper == *paper);
        if pails.is_empty() {
            return Err(ReceiveError::NotOnPaper {
                pail: number.clone(),
                paper: paper.clone(),
            });
        }
    }
    let mut unmatched = store.unmatched()?;
    unmatched.retain(|row| row.pail == *number);
    if receiving.again.is_some() {
        return choose_received(number, pails, &unmatched);
    }
    if let Some(waiting) = unmatched.first() {
        return Err(ReceiveError::Twice {
            pail: number.clone(),
            day: waiting.day,
            by: waiting.found.by.clone(),
        });
    }
    if receiving.which == Which::None {
        return Ok((None, None));
    }
    let mut expected = pails.iter().filter(|pail| is_expected(pail));
    match (expected.next(), expected.next()) {
        (Some(only), None) => Ok((Some(only.clone()), None)),
        (Some(_), Some(_)) => Err(ReceiveError::Several {
            pail: number.clone(),
            papers: pails
                .iter()
                .filter(|pail| is_expected(pail))
                .map(|pail| pail.paper.clone())
                .collect(),
        }),
        (None, _) => {
            if let Some(received) = pails.iter().find_map(|pail| pail.received.as_ref()) {
                return Err(ReceiveError::Twice {
                    pail: number.clone(),
                    day: received.day,
                    by: received.by.clone(),
                });
            }
            // Only cancelled papers name it, or none: it is received and questioned.
            Ok((pails.into_iter().next(), None))
        }
    }
}

/// A pail that is weighed again: the latest that was received.
fn choose_received(
    number: &Code,
    pails: Vec<PailRow>,
    unmatched: &[ReceivingRow],
) -> Result<(Option<PailRow>, Option<i64>), ReceiveError> {
    if let Some(waiting) = unmatched.last() {
        // Its paper may be here by now, or be named with --paper.
        let expected = pails.into_iter().find(is_expected);
        return Ok((expected, Some(waiting.id)));
    }
    pails
        .into_iter()
        .find_map(|pail| {
            let id = pail.received.as_ref()?.id;
            Some((Some(pail), Some(id)))
        })
        .ok_or_else(|| ReceiveError::NeverReceived(number.clone()))
}

/// What a weighing means, from its signed paper.
pub fn judge(store: &impl Store, row: ReceivingRow) -> Result<Judged, ReceiveError> {
    let Some(at) = &row.paper else {
        let result = compare(&row.pail, None, &row.found)?;
        return Ok(Judged {
            row,
            pail: None,
            result,
        });
    };
    let paper = Paper::read(store, at)?;
    let pail = store.pail_at(at)?;
    let written = paper.pail(at)?;
    let gate = PailAtGate {
        pail: &written,
        interval: paper.interval,
        shrink: paper.shrink.as_ref(),
        officer: paper.officer.as_ref(),
        cancelled: pail.as_ref().is_some_and(|pail| pail.cancelled),
    };
    let result = compare(&row.pail, Some(gate), &row.found)?;
    Ok(Judged { row, pail, result })
}

/// What a signed paper says of its pails.
struct Paper {
    pails: Vec<Pail>,
    interval: Option<ScaleInterval>,
    shrink: Option<ShrinkRule>,
    officer: Option<Label>,
}

impl Paper {
    fn read(store: &impl Store, at: &PailPlace) -> Result<Self, StoreError> {
        let entry = store
            .booked(&at.handset, at.seq)?
            .ok_or_else(|| damaged("no entry is booked under its number"))?;
        let entry = ParsedEntry::parse(&entry).map_err(damaged)?;
        let (delivery, terms): (&DeliveryV1, &TermsRefV1) = match entry.body() {
            EntryBody::Receipt(receipt) => (&receipt.delivery, &receipt.terms),
            EntryBody::Slip(slip) => (&slip.delivery, &slip.terms),
            _ => return Err(damaged("its entry is no receipt and no slip")),
        };
        let opened = store.opened_before(&at.handset, at.seq)?;
        let opened = opened
            .map(|compact| ParsedEntry::parse(&compact).map_err(damaged))
            .transpose()?;
        let officer = opened.and_then(|entry| match entry.body() {
            EntryBody::DayOpened(opened) => Some(opened.officer.clone()),
            _ => None,
        });
        let policy = store
            .terms(TermsKind::Policy, &terms.policy_digest)?
            .and_then(|policy| PolicyV1::read(&policy.document).ok());
        Ok(Self {
            shrink: policy.and_then(|policy| policy.shrink_of(delivery.form).cloned()),
            interval: delivery.scale.map(|scale| scale.interval_g),
            officer,
            pails: delivery.pails.iter().map(Pail::from).collect(),
        })
    }

    fn pail(&self, at: &PailPlace) -> Result<Pail, StoreError> {
        usize::try_from(at.place)
            .ok()
            .and_then(|place| self.pails.get(place.checked_sub(1)?))
            .cloned()
            .ok_or_else(|| damaged("the paper holds fewer pails"))
    }
}

fn damaged(detail: impl std::fmt::Display) -> StoreError {
    StoreError::Damaged {
        what: "the paper of a pail",
        detail: detail.to_string(),
    }
}
