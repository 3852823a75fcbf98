//! A ledger in memory: what the review asks of the desk's books, for checks of the review.

use super::cooperative::members;
use chrono::NaiveDate;
use combgate_core::clerk::{Books, InForce, ReceiptFacts};
use combgate_core::intake::{Period, Terms};
use combgate_core::record::{
    Brief, EntryBody, LineCode, MemberV1, ParsedEntry, ReceiptNumber, ReceiptV1, TermsRefV1,
};
use combgate_core::units::{Code, ExactMinor};
use std::collections::BTreeMap;
use std::sync::Arc;
use uuid::Uuid;

/// Terms, register, receipts and papers.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    /// What the desk gave out.
    pub terms: Vec<(TermsRefV1, Arc<Terms>)>,
    /// Policies that the desk took in, by name.
    pub policies: Vec<(Code, Period)>,
    /// Price lists that the desk took in, by name.
    pub price_lists: Vec<(Code, Period)>,
    /// Cash given out with briefs, by serial.
    pub floats: BTreeMap<u32, i64>,
    /// The register.
    pub members: BTreeMap<Code, MemberV1>,
    /// Booked receipts.
    pub receipts: BTreeMap<ReceiptNumber, ReceiptFacts>,
    /// Papers by delivery.
    pub issued: BTreeMap<Uuid, ReceiptNumber>,
}

impl Ledger {
    /// The cooperative's register, and the terms of a brief.
    pub fn of(brief: &Brief) -> Self {
        let (policy, prices) = (brief.terms().policy(), brief.terms().prices());
        let (policy, prices) = (policy.parts(), prices.parts());
        Self {
            policies: vec![(policy.id.clone(), policy.period)],
            price_lists: vec![(prices.id.clone(), prices.period)],
            floats: BTreeMap::from([(brief.payload().serial, brief.payload().float_minor)]),
            terms: vec![(brief.terms_ref().clone(), Arc::new(brief.terms().clone()))],
            members: members()
                .into_iter()
                .map(|member| (member.number.clone(), member))
                .collect(),
            ..Self::default()
        }
    }

    /// Books an entry.
    pub fn book(&mut self, entry: &ParsedEntry) {
        match entry.body() {
            EntryBody::MemberRegistered(new) => {
                self.members
                    .entry(new.member.clone())
                    .or_insert_with(|| MemberV1 {
                        number: new.member.clone(),
                        name: new.name.clone(),
                        village: new.village.clone(),
                        phone: new.phone.clone(),
                        language: None,
                        premiums: Vec::new(),
                        advance: None,
                    });
            }
            EntryBody::Receipt(receipt) => self.book_receipt(receipt),
            EntryBody::Slip(slip) => {
                self.issued.insert(slip.delivery_id, slip.number.clone());
            }
            EntryBody::Cancellation(cancelled) => {
                if let Some(facts) = self.receipts.get_mut(&cancelled.number) {
                    facts.cancelled = true;
                }
            }
            EntryBody::Payment(payment) => {
                if let Some(facts) = self.receipts.get_mut(&payment.number) {
                    facts.paid_minor += payment.paid_minor;
                }
            }
            _ => {}
        }
    }

    fn book_receipt(&mut self, receipt: &ReceiptV1) {
        let facts = ReceiptFacts {
            net_g: receipt.assessment.net_g.map_or(0, i64::from),
            payable_minor: receipt.assessment.payable_minor.unwrap_or(0),
            paid_minor: receipt.settlement.paid_minor,
            reversed_minor: 0,
            pails: receipt.delivery.pails.len().try_into().unwrap(),
            cancelled: false,
        };
        self.receipts.insert(receipt.number.clone(), facts);
        let (id, number) = (receipt.delivery_id, receipt.number.clone());
        self.issued.insert(id, number);
        let own = self.members.get_mut(&receipt.member);
        if let Some(advance) = own.and_then(|member| member.advance.as_mut()) {
            let lines = receipt.assessment.lines.iter();
            for line in lines.filter(|line| line.line == LineCode::Advance) {
                let amount: ExactMinor = line.amount_minor.parse().unwrap();
                advance.outstanding_minor += amount.whole_minor().unwrap();
            }
        }
    }
}

impl Books for Ledger {
    fn terms(&self, reference: &TermsRefV1) -> Option<Arc<Terms>> {
        let mut all = self.terms.iter();
        all.find(|(own, _)| own == reference)
            .map(|(_, terms)| terms.clone())
    }

    fn policy_in_force(&self, day: NaiveDate) -> Option<InForce> {
        in_force(&self.policies, day)
    }

    fn price_list_in_force(&self, day: NaiveDate) -> Option<InForce> {
        in_force(&self.price_lists, day)
    }

    fn float_given(&self, serial: u32) -> Option<i64> {
        self.floats.get(&serial).copied()
    }

    fn gave_briefs(&self) -> bool {
        !self.floats.is_empty()
    }

    fn member(&self, number: &Code) -> Option<Arc<MemberV1>> {
        self.members.get(number).cloned().map(Arc::new)
    }

    fn receipt(&self, number: &ReceiptNumber) -> Option<ReceiptFacts> {
        self.receipts.get(number).copied()
    }

    fn issued(&self, delivery: Uuid) -> Option<ReceiptNumber> {
        self.issued.get(&delivery).cloned()
    }
}

fn in_force(all: &[(Code, Period)], day: NaiveDate) -> Option<InForce> {
    let all = all.iter().filter(|(_, period)| period.contains(day));
    all.max_by_key(|(_, period)| period.from)
        .map(|(id, period)| InForce {
            id: id.clone(),
            from: period.from,
        })
}
