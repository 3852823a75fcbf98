//! What becomes of a receipt after it was issued: it is undone, or what is owed on it is paid.

use super::{Handset, Refused};
use combgate_core::record::{CancellationV1, EntryBody, Means, PaymentV1, ReceiptV1};
use combgate_core::units::{Code, Label};
use uuid::Uuid;

impl Handset {
    /// Undoes a receipt: honey and pails go back, the money comes back by `means`. A receipt that
    /// was undone before stays as it is. Returns the cancellation's place.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn cancel(self, seq: u32, reason: Label, means: Means) -> Result<u32, Refused> {
        let receipt = &self.receipt(seq).await?;
        let later = self.paid_later(receipt)?;
        // A delivery is undone once, as it gets its paper once: the note which delivery a paper
        // belongs to is kept for the cancellation too, under the complement of its identity.
        let undoing = Uuid::from_u128(!receipt.delivery_id.as_u128());
        self.append(Some(undoing), |standing| {
            let open = standing.open.as_ref().ok_or(Refused::DayNotOpen)?;
            let body = CancellationV1::of(receipt, later, means, reason, open.day);
            Ok(EntryBody::Cancellation(Box::new(body)))
        })
        .await
    }

    /// Pays what is owed on a receipt, or a part of it; `paid_minor` in minor units. Returns the
    /// payment's place.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn pay(
        self,
        seq: u32,
        paid_minor: i64,
        means: Means,
        reference: Option<Code>,
    ) -> Result<u32, Refused> {
        let receipt = &self.receipt(seq).await?;
        let later = self.paid_later(receipt)?;
        // Nothing is paid twice: what a delivery has got so far belongs to one payment alone.
        let paid = receipt.settlement.paid_minor.saturating_add(later);
        let so_far = u128::from(paid.unsigned_abs()) + 1;
        let paying = Uuid::from_u128(receipt.delivery_id.as_u128().wrapping_add(so_far));
        self.append(Some(paying), |standing| {
            let open = standing.open.as_ref().ok_or(Refused::DayNotOpen)?;
            let body = PaymentV1::of(receipt, later, paid_minor, means, reference, open.day)?;
            Ok(EntryBody::Payment(Box::new(body)))
        })
        .await
    }

    /// The receipt at a place, with everything since then read, so that it is known what became
    /// of it.
    ///
    /// # Errors
    /// See [`Refused`].
    pub async fn receipt(self, seq: u32) -> Result<ReceiptV1, Refused> {
        self.read_papers(seq).await?;
        let entry = self.entry(seq).await?.ok_or(Refused::NoReceipt)?;
        match entry.body() {
            EntryBody::Receipt(receipt) => Ok(ReceiptV1::clone(receipt)),
            _ => Err(Refused::NoReceipt),
        }
    }

    /// What was paid on a receipt that stands, after it was issued.
    fn paid_later(self, receipt: &ReceiptV1) -> Result<i64, Refused> {
        self.papers.with_untracked(|papers| {
            if papers.undone(&receipt.number).is_some() {
                return Err(Refused::AlreadyCancelled);
            }
            Ok(papers.paid_later(&receipt.number))
        })
    }
}
