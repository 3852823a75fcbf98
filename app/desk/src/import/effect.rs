//! What a booked entry changes: receipts and slips, what is paid of them, the register.

use crate::receiving;
use crate::store::{Paper, PaperKind, Store, StoreError};
use combgate_core::record::{
    CancellationV1, EntryBody, MemberRegisteredV1, MemberV1, ParsedEntry, PaymentV1, ReceiptV1,
    SlipV1,
};
use combgate_core::units::Code;

/// Books what an entry does.
pub(super) fn apply(
    store: &impl Store,
    handset: &Code,
    entry: &ParsedEntry,
) -> Result<(), StoreError> {
    book(store, handset, entry)?;
    receiving::expect(store, handset, entry)
}

fn book(store: &impl Store, handset: &Code, entry: &ParsedEntry) -> Result<(), StoreError> {
    match entry.body() {
        EntryBody::Receipt(receipt) => book_receipt(store, handset, entry.seq(), receipt),
        EntryBody::Slip(slip) => book_slip(store, handset, entry.seq(), slip),
        EntryBody::Cancellation(cancelled) => cancel(store, handset, entry.seq(), cancelled),
        EntryBody::Payment(payment) => pay(store, handset, entry.seq(), payment),
        EntryBody::MemberRegistered(new) => store.keep_field_member(handset, &member(new)),
        EntryBody::Enrolled(_)
        | EntryBody::DayOpened(_)
        | EntryBody::ClockNoticed(_)
        | EntryBody::DayClosed(_) => Ok(()),
    }
}

fn book_receipt(
    store: &impl Store,
    handset: &Code,
    seq: u64,
    receipt: &ReceiptV1,
) -> Result<(), StoreError> {
    let assessment = &receipt.assessment;
    let repaid_minor = assessment.repaid_minor();
    if repaid_minor != 0 {
        store.repay(&receipt.member, handset, repaid_minor)?;
    }
    store.keep_paper(&Paper {
        handset: handset.clone(),
        seq,
        kind: PaperKind::Receipt,
        number: receipt.number.clone(),
        delivery: receipt.delivery_id,
        day: receipt.day,
        member: receipt.member.clone(),
        decision: assessment.decision,
        grade: assessment.grade.clone(),
        net_g: assessment.net_g.map_or(0, i64::from),
        payable_minor: assessment.payable_minor.unwrap_or(0),
        paid_minor: receipt.settlement.paid_minor,
        reversed_minor: 0,
        repaid_minor,
        pails: count(receipt.delivery.pails.len()),
        cancelled_by: None,
        late_from: None,
    })
}

fn book_slip(
    store: &impl Store,
    handset: &Code,
    seq: u64,
    slip: &SlipV1,
) -> Result<(), StoreError> {
    store.keep_paper(&Paper {
        handset: handset.clone(),
        seq,
        kind: PaperKind::Slip,
        number: slip.number.clone(),
        delivery: slip.delivery_id,
        day: slip.day,
        member: slip.member.clone(),
        decision: slip.assessment.decision,
        grade: None,
        net_g: slip.assessment.net_g.map_or(0, i64::from),
        payable_minor: 0,
        paid_minor: 0,
        reversed_minor: 0,
        repaid_minor: 0,
        pails: count(slip.delivery.pails.len()),
        cancelled_by: None,
        late_from: None,
    })
}

/// A second cancellation of one receipt, and one of a receipt that is not booked, are findings and
/// change nothing here.
fn cancel(
    store: &impl Store,
    handset: &Code,
    seq: u64,
    cancelled: &CancellationV1,
) -> Result<(), StoreError> {
    let Some(mut paper) = store.receipt(&cancelled.number, handset)? else {
        return Ok(());
    };
    if paper.cancelled_by.is_some() {
        return Ok(());
    }
    if paper.repaid_minor != 0 {
        store.repay(&paper.member, handset, -paper.repaid_minor)?;
    }
    paper.cancelled_by = Some(seq);
    store.change_paper(&paper)
}

fn pay(
    store: &impl Store,
    handset: &Code,
    seq: u64,
    payment: &PaymentV1,
) -> Result<(), StoreError> {
    let Some(mut paper) = store.receipt(&payment.number, handset)? else {
        return Ok(());
    };
    paper.paid_minor = paper.paid_minor.saturating_add(payment.paid_minor);
    store.keep_field_payment(handset, seq, paper.seq)?;
    store.change_paper(&paper)
}

fn member(new: &MemberRegisteredV1) -> MemberV1 {
    MemberV1 {
        number: new.member.clone(),
        name: new.name.clone(),
        village: new.village.clone(),
        phone: new.phone.clone(),
        language: None,
        premiums: Vec::new(),
        advance: None,
    }
}

fn count(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
