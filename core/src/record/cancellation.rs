//! Undoing a receipt: the cancellation repeats the receipt's sums, so that a day can be summed from
//! its own entries.

use super::entry::{CancellationV1, Means, ReceiptV1};
use crate::units::{Grams, Label};
use chrono::NaiveDate;

impl CancellationV1 {
    /// Undoes all of a receipt: honey and pails go back to the member, the money comes back.
    ///
    /// `paid_later_minor` is what was paid on it after it was issued, in minor units. `means` says
    /// how the money comes back; it is left out where nothing was paid.
    pub fn of(
        receipt: &ReceiptV1,
        paid_later_minor: i64,
        means: Means,
        reason: Label,
        day: NaiveDate,
    ) -> Self {
        let returned_minor = receipt
            .settlement
            .paid_minor
            .saturating_add(paid_later_minor);
        Self {
            number: receipt.number.clone(),
            day,
            reason,
            net_g: receipt.assessment.net_g.unwrap_or(Grams::ZERO),
            payable_minor: receipt.assessment.payable_minor.unwrap_or(0),
            returned_minor,
            pails: u32::try_from(receipt.delivery.pails.len()).unwrap_or(u32::MAX),
            means: (returned_minor != 0).then_some(means),
        }
    }
}
