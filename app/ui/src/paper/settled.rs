//! What is paid, when and by what means, and what is still owed.

use super::icons::{self, icon};
use crate::prelude::*;
use crate::sentences::money;
use crate::words::{Language, Phrase, Word, phrase, text};
use combgate_core::record::{Means, PaymentV1, ReceiptV1};
use combgate_core::units::{Code, Currency};

/// A receipt with what was paid on it since.
#[derive(Clone, Copy)]
pub(super) struct Settled<'a> {
    /// The receipt.
    pub receipt: &'a ReceiptV1,
    /// What was paid later, oldest first.
    pub payments: &'a [PaymentV1],
    /// The currency of both.
    pub currency: Currency,
}

impl Settled<'_> {
    fn owed_minor(&self) -> i64 {
        let paid = self
            .payments
            .iter()
            .fold(0, |sum: i64, each| sum.saturating_add(each.paid_minor));
        self.receipt.owed_after(paid)
    }

    /// One word for the whole: OWED as long as anything is.
    pub(super) fn stamp(&self) -> Word {
        if self.owed_minor() > 0 {
            Word::PaperOwed
        } else {
            Word::PaperPaid
        }
    }

    /// PAID or OWED, and how much of each.
    pub(super) fn view(&self, language: Language) -> Node {
        let stamp = self.stamp();
        let (class, path) = if stamp == Word::PaperOwed {
            ("settled owed", icons::OWED)
        } else {
            ("settled", icons::PAID)
        };
        let sentences: Vec<_> = self
            .sentences(language)
            .into_iter()
            .map(|sentence| view! { <p>{sentence}</p> })
            .collect();
        view! {
            <div class=class>
                <p class="stamp">{icon(path)} <span>{text(language, stamp)}</span></p>
                {sentences}
            </div>
        }
        .into_node()
    }

    /// Each payment in its order, then what is owed. Days are told once there is more than one.
    pub(super) fn sentences(&self, language: Language) -> Vec<String> {
        let mut sentences = Vec::new();
        let mut paid = |minor, means, reference: Option<&Code>, day: Option<String>| {
            let amount = &money(minor, self.currency);
            let words = match (means, &day) {
                (Means::Cash, None) => Phrase::PaperPaidCash { amount },
                (Means::Cash, Some(day)) => Phrase::PaperPaidCashOn { amount, day },
                (Means::MobileMoney, None) => Phrase::PaperPaidMobile { amount },
                (Means::MobileMoney, Some(day)) => Phrase::PaperPaidMobileOn { amount, day },
            };
            sentences.push(phrase(language, words));
            if let Some(reference) = reference {
                let reference = reference.as_str();
                sentences.push(phrase(language, Phrase::PaperPaidReference { reference }));
            }
        };
        let settlement = &self.receipt.settlement;
        if settlement.paid_minor > 0 {
            let day = (!self.payments.is_empty()).then(|| self.receipt.day.to_string());
            let means = settlement.means.unwrap_or(Means::Cash);
            let reference = settlement.reference.as_ref();
            paid(settlement.paid_minor, means, reference, day);
        }
        for each in self.payments {
            let day = Some(each.day.to_string());
            paid(each.paid_minor, each.means, each.reference.as_ref(), day);
        }
        sentences.extend(self.owed(language));
        sentences
    }

    fn owed(&self, language: Language) -> Option<String> {
        let owed = self.owed_minor();
        if owed <= 0 {
            return None;
        }
        let amount = &money(owed, self.currency);
        let day = self.receipt.settlement.due.map(|day| day.to_string());
        Some(match &day {
            Some(day) => phrase(language, Phrase::PaperOwedDue { amount, day }),
            None => phrase(language, Phrase::PaperOwedSum { amount }),
        })
    }
}
