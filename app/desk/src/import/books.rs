//! What the review asks of the ledger, answered for one handset.
//!
//! Answers do not depend on which handset's bundles came first: a receipt is looked up in the
//! handset's own series, a member among those that the handset can know. The one exception is a
//! delivery issued by two handsets, which is found in whichever comes second.

use crate::store::{Store, StoreError, TermsKind};
use chrono::NaiveDate;
use combgate_core::clerk::{Books, InForce, ReceiptFacts};
use combgate_core::intake::Terms;
use combgate_core::record::{
    EntryBody, MemberV1, ParsedEntry, ReceiptNumber, TermsRefV1, TermsText,
};
use combgate_core::units::Code;
use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;
use uuid::Uuid;

/// A question for terms in force: which kind, on which day.
type Asked = (TermsKind, NaiveDate);

/// The ledger as one handset's review sees it.
pub(crate) struct LedgerBooks<'a, S> {
    store: &'a S,
    handset: Code,
    /// Terms that were asked for before; a journal names few.
    terms: RefCell<Vec<(TermsRefV1, Option<Arc<Terms>>)>>,
    /// Policies and price lists in force on days that were asked for before; a bundle has few days.
    in_force: RefCell<Vec<(Asked, Option<InForce>)>>,
    /// Members that were asked for before: the same ones deliver on most days of a bundle.
    members: RefCell<HashMap<Code, Option<Arc<MemberV1>>>>,
    /// The review cannot hear of trouble, so it is kept for whoever asked for the review.
    trouble: RefCell<Option<StoreError>>,
}

impl<'a, S: Store> LedgerBooks<'a, S> {
    pub(crate) fn new(store: &'a S, handset: Code) -> Self {
        Self {
            store,
            handset,
            terms: RefCell::new(Vec::new()),
            in_force: RefCell::new(Vec::new()),
            members: RefCell::new(HashMap::new()),
            trouble: RefCell::new(None),
        }
    }

    /// Asks the ledger anew for whomever an entry that was just booked changes.
    pub(super) fn booked(&self, entry: &ParsedEntry) {
        let mut members = self.members.borrow_mut();
        match entry.body() {
            EntryBody::Receipt(receipt) if receipt.assessment.repaid_minor() != 0 => {
                members.remove(&receipt.member);
            }
            // Only the receipt that it undoes knows whose advance it gives back.
            EntryBody::Cancellation(_) => members.clear(),
            EntryBody::MemberRegistered(new) => {
                members.remove(&new.member);
            }
            _ => {}
        }
    }

    /// Trouble that the ledger had while it was asked.
    pub(crate) fn trouble(&self) -> Result<(), StoreError> {
        self.trouble.borrow_mut().take().map_or(Ok(()), Err)
    }

    fn answer<T>(&self, asked: Result<Option<T>, StoreError>) -> Option<T> {
        asked.unwrap_or_else(|error| {
            self.trouble.borrow_mut().get_or_insert(error);
            None
        })
    }

    fn in_force(&self, kind: TermsKind, day: NaiveDate) -> Option<InForce> {
        let known = self.in_force.borrow();
        if let Some((_, found)) = known.iter().find(|(asked, _)| *asked == (kind, day)) {
            return found.clone();
        }
        drop(known);
        let terms = self.answer(self.store.terms_in_force(kind, day));
        let found = terms.map(|terms| InForce {
            id: terms.code,
            from: terms.first_day,
        });
        let mut known = self.in_force.borrow_mut();
        known.push(((kind, day), found.clone()));
        found
    }

    fn read_terms(&self, reference: &TermsRefV1) -> Option<Terms> {
        let document = |kind, digest| self.answer(self.store.terms(kind, digest));
        let policy = document(TermsKind::Policy, &reference.policy_digest)?;
        let prices = document(TermsKind::PriceList, &reference.price_list_digest)?;
        let text = TermsText {
            policy: &policy.document,
            price_list: &prices.document,
        };
        // Each was checked when it was taken in; that the two go together is checked here.
        let terms = text.read().ok()?;
        (text.reference(&terms) == *reference).then_some(terms)
    }
}

impl<S: Store> Books for LedgerBooks<'_, S> {
    fn terms(&self, reference: &TermsRefV1) -> Option<Arc<Terms>> {
        let known = self
            .terms
            .borrow()
            .iter()
            .find(|(known, _)| known == reference)
            .map(|(_, terms)| terms.clone());
        known.unwrap_or_else(|| {
            let terms = self.read_terms(reference).map(Arc::new);
            self.terms
                .borrow_mut()
                .push((reference.clone(), terms.clone()));
            terms
        })
    }

    fn policy_in_force(&self, day: NaiveDate) -> Option<InForce> {
        self.in_force(TermsKind::Policy, day)
    }

    fn price_list_in_force(&self, day: NaiveDate) -> Option<InForce> {
        self.in_force(TermsKind::PriceList, day)
    }

    fn float_given(&self, serial: u32) -> Option<i64> {
        self.answer(self.store.float_given(serial, &self.handset))
    }

    fn gave_briefs(&self) -> bool {
        self.answer(self.store.gave_briefs(&self.handset).map(Some))
            .unwrap_or_default()
    }

    fn member(&self, number: &Code) -> Option<Arc<MemberV1>> {
        if let Some(known) = self.members.borrow().get(number) {
            return known.clone();
        }
        let found = self.answer(self.store.member_seen_by(&self.handset, number));
        let found = found.map(Arc::new);
        self.members
            .borrow_mut()
            .insert(number.clone(), found.clone());
        found
    }

    fn receipt(&self, number: &ReceiptNumber) -> Option<ReceiptFacts> {
        self.answer(self.store.receipt(number, &self.handset))
            .map(|paper| paper.facts())
    }

    fn paid_by_desk(&self, number: &ReceiptNumber) -> i64 {
        let Some(paper) = self.answer(self.store.receipt(number, &self.handset)) else {
            return 0;
        };
        let payments = self.store.payments_on_receipt(&paper.handset, paper.seq);
        let payments = self.answer(payments.map(Some)).unwrap_or_default();
        payments
            .iter()
            .filter(|payment| payment.settled.is_some() && payment.reversed.is_none())
            .map(|payment| payment.minor)
            .sum()
    }

    fn issued(&self, delivery: Uuid) -> Option<ReceiptNumber> {
        self.answer(self.store.issued(delivery))
    }
}
