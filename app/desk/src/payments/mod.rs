//! What the desk pays: what is owed, lists that one person proposes and another approves, what went
//! out, and reversals.
//!
//! A receipt stands on one list at most, by a constraint of the ledger; so nothing is paid twice,
//! whatever programs work on it at once. What happened is always written down: money that went out
//! for a receipt which an officer cancelled meanwhile is confirmed all the same, and then asked back.

pub(crate) mod answer;
pub(crate) mod command;
mod error;
mod export;

pub use error::PayError;
pub(crate) use export::prepare;
pub use export::{Exported, export};

use crate::findings::disbelieved;
use crate::store::{
    Act, FindingRow, Paper, PaymentList, PaymentRow, Reversed, Settled, Step, Store, StoreError,
};
use chrono::NaiveDate;
use combgate_core::clerk::{Another, Due, FindingWeight, Owing, due, is_traced, means_of};
use combgate_core::record::{Means, MemberV1, ReceiptNumber};
use combgate_core::units::{Code, Label};
use std::collections::BTreeMap;

/// A receipt on which something is owed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueReceipt {
    /// The receipt.
    pub paper: Paper,
    /// Whose, if the register knows.
    pub member: Option<MemberV1>,
    /// By what means the member is paid.
    pub means: Means,
    /// What is to be done about it.
    pub due: Due,
    /// The list it stands on.
    pub list: Option<i64>,
    /// What was found on it that is serious.
    pub serious: Vec<FindingRow>,
}

/// What is to be put on a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// By what means it is paid.
    pub means: Means,
    /// Only these members' receipts; all, when empty.
    pub members: Vec<Code>,
    /// Only these receipts, whatever the member's usual means; all, when empty.
    pub receipts: Vec<ReceiptNumber>,
    /// Why receipts are paid although something serious was found on them.
    pub despite: Option<Label>,
}

/// A list with its payments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListView {
    /// The list.
    pub list: PaymentList,
    /// Its payments, in the order put there.
    pub payments: Vec<PaymentRow>,
    /// The register's word on those who get them.
    pub members: BTreeMap<Code, MemberV1>,
}

/// Every receipt on which something is owed, in order of member and day.
pub fn due_receipts(store: &impl Store) -> Result<Vec<DueReceipt>, StoreError> {
    let mut members = BTreeMap::new();
    let mut due = Vec::new();
    for paper in store.owing()? {
        know(store, &paper.member, &mut members)?;
        due.push(look_at(store, paper, &members)?);
    }
    Ok(due)
}

/// Asks the register for a member, once.
fn know(
    store: &impl Store,
    number: &Code,
    members: &mut BTreeMap<Code, MemberV1>,
) -> Result<(), StoreError> {
    if !members.contains_key(number)
        && let Some(member) = store.member(number)?
    {
        members.insert(number.clone(), member);
    }
    Ok(())
}

fn look_at(
    store: &impl Store,
    paper: Paper,
    members: &BTreeMap<Code, MemberV1>,
) -> Result<DueReceipt, StoreError> {
    let payments = store.payments_on_receipt(&paper.handset, paper.seq)?;
    let mut standing = payments.iter().filter(|payment| payment.reversed.is_none());
    let list = standing.clone().map(|payment| payment.list).next();
    let desk_paid_minor = standing
        .clone()
        .filter(|payment| payment.settled.is_some())
        .map(|payment| payment.minor)
        .sum();
    let serious = questioned(store, &paper)?;
    let member = members.get(&paper.member).cloned();
    let owing = Owing {
        facts: paper.facts(),
        desk_paid_minor,
        listed: list.is_some(),
        serious: !serious.is_empty() && standing.all(|payment| payment.despite.is_none()),
    };
    Ok(DueReceipt {
        due: due(&owing),
        means: means_of(member.as_ref()),
        paper,
        member,
        list,
        serious,
    })
}

/// What bars a receipt from being paid: serious findings that nobody accepted, and any finding that
/// is disputed or waits for a reversal.
fn questioned(store: &impl Store, paper: &Paper) -> Result<Vec<FindingRow>, StoreError> {
    let mut found = store.findings(&paper.handset, paper.seq..=paper.seq)?;
    for serious in store.serious(paper)? {
        if !found.contains(&serious) {
            found.push(serious);
        }
    }
    // What a handset wrote while it was out of use follows from the ledger and is not kept in it.
    found.extend(disbelieved(store, &paper.handset, paper.seq)?);
    if found.is_empty() {
        return Ok(found);
    }
    let steps = store.steps(&paper.handset)?;
    found.retain(|finding| {
        let mut of_it = steps.iter().rev();
        match of_it.find(|step| step.is_on(&paper.handset, finding)) {
            Some(last) if last.step == Step::Accept => false,
            Some(last) if matches!(last.step, Step::Dispute | Step::Reverse) => true,
            _ => finding.weight == FindingWeight::Serious,
        }
    });
    Ok(found)
}

/// Puts receipts on a new list.
pub fn propose<S: Store>(
    store: &mut S,
    proposal: &Proposal,
    act: &Act,
) -> Result<ListView, PayError> {
    store.atomically(|store| {
        let mut all = due_receipts(store)?;
        if proposal.receipts.is_empty() {
            all.retain(|each| {
                matches!(each.due, Due::Pay(_))
                    && each.means == proposal.means
                    && (proposal.members.is_empty()
                        || proposal.members.contains(&each.paper.member))
            });
        } else {
            all = chosen(&all, proposal)?;
        }
        if all.is_empty() {
            return Err(PayError::NothingDue);
        }
        let list = store.begin_list(proposal.means, act)?;
        for each in all {
            let (minor, despite) = match each.due {
                Due::Pay(minor) => (minor, None),
                Due::Questioned(minor) => (minor, proposal.despite.clone()),
                _ => continue,
            };
            store.add_payment(&PaymentRow {
                id: 0,
                list,
                handset: each.paper.handset,
                seq: each.paper.seq,
                receipt: each.paper.number,
                member: each.paper.member,
                minor,
                despite,
                settled: None,
                reversed: None,
            })?;
        }
        view(store, list)
    })
}

/// The receipts named, each of which must be payable.
fn chosen(all: &[DueReceipt], proposal: &Proposal) -> Result<Vec<DueReceipt>, PayError> {
    let mut chosen = Vec::new();
    for number in &proposal.receipts {
        let mut named = all.iter().filter(|each| each.paper.number == *number);
        let each = named
            .next()
            .ok_or_else(|| PayError::NotOwed(number.clone()))?;
        match each.due {
            Due::Pay(_) => {}
            Due::Questioned(_) if proposal.despite.is_some() => {}
            Due::Questioned(_) => {
                return Err(PayError::Questioned {
                    receipt: number.clone(),
                    sentence: first_sentence(&each.serious),
                });
            }
            Due::Listed(_) => {
                return Err(PayError::Listed {
                    receipt: number.clone(),
                    list: each.list.unwrap_or_default(),
                });
            }
            Due::Nothing | Due::GetBack(_) => return Err(PayError::NotOwed(number.clone())),
        }
        if !chosen.contains(each) {
            chosen.push(each.clone());
        }
    }
    Ok(chosen)
}

fn first_sentence(serious: &[FindingRow]) -> String {
    serious
        .first()
        .map_or_else(String::new, |finding| finding.sentence.clone())
}

/// A list with its payments.
pub fn view(store: &impl Store, list: i64) -> Result<ListView, PayError> {
    let payments = store.payments_in(list)?;
    let mut members = BTreeMap::new();
    for payment in &payments {
        know(store, &payment.member, &mut members)?;
    }
    Ok(ListView {
        list: store.payment_list(list)?.ok_or(PayError::NoList(list))?,
        payments,
        members,
    })
}

/// Approves a list: by another person than who proposed it, and only while all of it is still owed.
pub fn approve<S: Store>(store: &mut S, list: i64, act: &Act) -> Result<ListView, PayError> {
    store.atomically(|store| {
        let found = view(store, list)?;
        if let Some(approved) = &found.list.approved {
            return Err(PayError::ApprovedBefore {
                list,
                by: approved.by.clone(),
            });
        }
        Another::than(
            act.by.clone(),
            [(&found.list.proposed.by, "proposed this list")],
        )?;
        for payment in standing(&found) {
            check_still_owed(store, payment)?;
        }
        if standing(&found).next().is_none() {
            return Err(PayError::Empty(list));
        }
        store.approve_list(list, act)?;
        view(store, list)
    })
}

fn standing(view: &ListView) -> impl Iterator<Item = &PaymentRow> {
    view.payments
        .iter()
        .filter(|payment| payment.reversed.is_none())
}

/// Between the proposal and now an officer may have paid, cancelled, or signed something wrong.
fn check_still_owed(store: &impl Store, payment: &PaymentRow) -> Result<(), PayError> {
    let paper = paper_of(store, payment)?;
    if paper.cancelled_by.is_some() || paper.facts().owed_minor() != payment.minor {
        return Err(PayError::Changed {
            receipt: payment.receipt.clone(),
            list: payment.list,
        });
    }
    let serious = questioned(store, &paper)?;
    if !serious.is_empty() && payment.despite.is_none() {
        return Err(PayError::Questioned {
            receipt: payment.receipt.clone(),
            sentence: first_sentence(&serious),
        });
    }
    Ok(())
}

fn paper_of(store: &impl Store, payment: &PaymentRow) -> Result<Paper, StoreError> {
    store
        .paper(&payment.handset, payment.seq)?
        .ok_or_else(|| StoreError::Damaged {
            what: "a payment",
            detail: "its receipt is not booked".to_owned(),
        })
}

/// Says that the money of a list, or of one receipt on it, went out.
pub fn confirm<S: Store>(
    store: &mut S,
    list: i64,
    receipt: Option<&ReceiptNumber>,
    reference: Option<&Code>,
    day: NaiveDate,
    act: &Act,
) -> Result<ListView, PayError> {
    store.atomically(|store| {
        let found = view(store, list)?;
        if found.list.approved.is_none() {
            return Err(PayError::NotApproved(list));
        }
        if !is_traced(Some(found.list.means), reference) {
            return Err(PayError::NoReference);
        }
        let settled = Settled {
            day,
            act: act.clone(),
            reference: reference.cloned(),
        };
        let mut any = false;
        for payment in standing(&found).filter(|payment| of(payment, receipt)) {
            if store.settle_payment(payment.id, &settled)? {
                any = true;
                let mut paper = paper_of(store, payment)?;
                paper.paid_minor = paper.paid_minor.saturating_add(payment.minor);
                store.change_paper(&paper)?;
            }
        }
        if any {
            view(store, list)
        } else {
            Err(PayError::NothingToConfirm(list))
        }
    })
}

fn of(payment: &PaymentRow, receipt: Option<&ReceiptNumber>) -> bool {
    receipt.is_none_or(|receipt| payment.receipt == *receipt)
}

/// Reverses the payments of a list, or of one receipt on it. Money that went out is reversed by
/// another person than who said that it did.
pub fn reverse<S: Store>(
    store: &mut S,
    list: i64,
    receipt: Option<&ReceiptNumber>,
    reversed: &Reversed,
) -> Result<ListView, PayError> {
    store.atomically(|store| {
        let found = view(store, list)?;
        let mut any = false;
        for payment in standing(&found).filter(|payment| of(payment, receipt)) {
            any |= take_back(store, payment, reversed)?;
        }
        if any {
            view(store, list)
        } else {
            Err(PayError::NothingToReverse(list))
        }
    })
}

/// Reverses one payment; false if it was reversed before.
pub(crate) fn take_back(
    store: &impl Store,
    payment: &PaymentRow,
    reversed: &Reversed,
) -> Result<bool, PayError> {
    if let Some(settled) = &payment.settled {
        Another::than(
            reversed.act.by.clone(),
            [(&settled.act.by, "said that this money went out")],
        )?;
        let mut paper = paper_of(store, payment)?;
        paper.paid_minor = paper.paid_minor.saturating_sub(payment.minor);
        store.change_paper(&paper)?;
    }
    Ok(store.reverse_payment(payment.id, reversed)?)
}
