//! A member's account, read from the signed entries and the desk's own payments.

pub(crate) mod command;

use crate::currency::{self, CurrencyError};
use crate::outcome::Advice;
use crate::store::{OfWhat, Paper, PaperKind, Store, StoreError};
use chrono::NaiveDate;
use combgate_core::clerk::{Account, Statement};
use combgate_core::record::{EntryBody, MemberV1, ParsedEntry, PaymentV1};
use combgate_core::units::{Code, Currency};

/// A statement with whom it is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemberStatement {
    /// The member's number.
    pub number: Code,
    /// The register's word on the member.
    pub member: Option<MemberV1>,
    /// The ledger's currency.
    pub currency: Option<Currency>,
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// The account over these days.
    pub statement: Statement,
}

/// A statement that cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum StatementError {
    /// Nobody of that number.
    #[error("member {0} is not on the register and has no receipts")]
    NoMember(Code),
    /// The days are the wrong way round.
    #[error("the last day, {to}, is before the first, {from}")]
    Backwards {
        /// First day asked for.
        from: NaiveDate,
        /// Last day asked for.
        to: NaiveDate,
    },
    /// The number.
    #[error(transparent)]
    Number(#[from] combgate_core::units::TextError),
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for StatementError {
    fn hint(&self) -> String {
        match self {
            Self::NoMember(_) | Self::Number(_) => {
                "look the number up on the register or on a receipt".to_owned()
            }
            Self::Backwards { .. } => "turn --from and --to round".to_owned(),
            Self::Currency(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// A member's account over some days; without ends, from its first line to today or its last.
pub fn statement(
    store: &impl Store,
    number: &Code,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    today: NaiveDate,
) -> Result<MemberStatement, StatementError> {
    let papers = store.papers_of(number)?;
    let member = store.member(number)?;
    if member.is_none() && papers.is_empty() {
        return Err(StatementError::NoMember(number.clone()));
    }
    let account = account(store, &papers)?;
    let whole = account.statement(NaiveDate::MIN, NaiveDate::MAX);
    let days = whole.lines.iter().map(|line| line.day);
    let from = from.unwrap_or_else(|| days.clone().min().unwrap_or(today));
    let to = to.unwrap_or_else(|| days.max().map_or(today, |last| last.max(today)));
    if to < from {
        return Err(StatementError::Backwards { from, to });
    }
    Ok(MemberStatement {
        number: number.clone(),
        member,
        currency: currency::of_ledger(store)?,
        from,
        to,
        statement: account.statement(from, to),
    })
}

fn account(store: &impl Store, papers: &[Paper]) -> Result<Account, StoreError> {
    let mut account = Account::new();
    for paper in papers {
        if paper.kind == PaperKind::Receipt {
            book(store, &mut account, paper)?;
        }
    }
    Ok(account)
}

/// What was paid on a receipt after it was issued, by officers and by the desk, and stands.
pub(crate) fn later_payments(
    store: &impl Store,
    handset: &Code,
    receipt: u64,
) -> Result<Vec<PaymentV1>, StoreError> {
    let mut payments = Vec::new();
    for seq in store.field_payments(handset, receipt)? {
        if let EntryBody::Payment(payment) = entry(store, handset, seq)?.body() {
            payments.push(payment.as_ref().clone());
        }
    }
    for payment in store.payments_on_receipt(handset, receipt)? {
        if let (Some(settled), None) = (payment.settled, payment.reversed)
            && let Some(list) = store.payment_list(payment.list)?
        {
            payments.push(PaymentV1 {
                number: payment.receipt,
                day: settled.day,
                paid_minor: payment.minor,
                means: list.means,
                reference: settled.reference,
            });
        }
    }
    Ok(payments)
}

fn book(store: &impl Store, account: &mut Account, paper: &Paper) -> Result<(), StoreError> {
    let receipt = entry(store, &paper.handset, paper.seq)?;
    let EntryBody::Receipt(receipt) = receipt.body() else {
        return Err(damaged("the entry of a receipt is none"));
    };
    account.bought(receipt);
    count_late(store, account, &paper.handset, paper.seq)?;
    for seq in store.field_payments(&paper.handset, paper.seq)? {
        if let EntryBody::Payment(payment) = entry(store, &paper.handset, seq)?.body() {
            account.paid_by_officer(payment);
            count_late(store, account, &paper.handset, seq)?;
        }
    }
    if let Some(seq) = paper.cancelled_by
        && let EntryBody::Cancellation(cancelled) = entry(store, &paper.handset, seq)?.body()
    {
        account.cancelled(receipt, cancelled);
        count_late(store, account, &paper.handset, seq)?;
    }
    for payment in store.payments_on_receipt(&paper.handset, paper.seq)? {
        // A list of the ledger that a payment stands on is there, by a constraint.
        let Some(list) = store.payment_list(payment.list)? else {
            continue;
        };
        let Some(settled) = &payment.settled else {
            continue;
        };
        account.paid_by_desk(&paper.number, settled.day, list.means, payment.minor);
        if let Some(reversed) = &payment.reversed {
            account.reversed(&paper.number, reversed.day, list.means, payment.minor);
        }
    }
    for reversal in store.reversals(&paper.handset, paper.seq)? {
        if reversal.of != OfWhat::Debt {
            continue;
        }
        account.debt_reversed(&paper.number, reversal.day, reversal.minor);
        if let Some(undone) = &reversal.undone {
            account.debt_restored(&paper.number, undone.day, reversal.minor);
        }
    }
    Ok(())
}

/// Lets the line just booked count on the day on which its entry does.
fn count_late(
    store: &impl Store,
    account: &mut Account,
    handset: &Code,
    seq: u64,
) -> Result<(), StoreError> {
    if let Some(day) = store.counts_on(handset, seq)? {
        account.counts_on(day);
    }
    Ok(())
}

fn entry(store: &impl Store, handset: &Code, seq: u64) -> Result<ParsedEntry, StoreError> {
    let compact = store
        .booked(handset, seq)?
        .ok_or_else(|| damaged("an entry of the account is not booked"))?;
    ParsedEntry::parse(&compact).map_err(damaged)
}

fn damaged(detail: impl std::fmt::Display) -> StoreError {
    StoreError::Damaged {
        what: "a member's account",
        detail: detail.to_string(),
    }
}
