//! What booked receipts and slips stand at.

use super::StoreError;
use combgate_core::clerk::ReceiptFacts;
use combgate_core::record::ReceiptNumber;
use combgate_core::units::Code;
use uuid::Uuid;

/// A booked receipt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookedReceipt {
    /// Whose.
    pub member: Code,
    /// What it stands at.
    pub facts: ReceiptFacts,
    /// Taken back of the member's advance, minor units.
    pub advance_minor: i64,
}

/// Receipts and slips. A number belongs to the handset that begins it: what another handset signs
/// under it is kept, and never found by the number.
pub trait Papers {
    /// A booked receipt.
    fn receipt(&self, number: &ReceiptNumber) -> Result<Option<BookedReceipt>, StoreError>;
    /// Adds a receipt that a handset signed; the first under a number stays. Says whether it is.
    fn add_receipt(
        &self,
        handset: &Code,
        number: &ReceiptNumber,
        receipt: &BookedReceipt,
    ) -> Result<bool, StoreError>;
    /// Notes what was paid in all and whether it is cancelled.
    fn settle(&self, number: &ReceiptNumber, facts: ReceiptFacts) -> Result<(), StoreError>;
    /// The receipt or slip booked for a delivery.
    fn paper_of(&self, delivery: Uuid) -> Result<Option<ReceiptNumber>, StoreError>;
    /// Notes which paper a delivery got; the first stays.
    fn add_paper(&self, delivery: Uuid, number: &ReceiptNumber) -> Result<(), StoreError>;
}
