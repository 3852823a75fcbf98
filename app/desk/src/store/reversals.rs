//! What was reversed because of a finding on a receipt.

use super::{Act, Reversed, StoreError};
use chrono::NaiveDate;
use combgate_core::units::{Code, Label};

/// What a reversal undoes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OfWhat {
    /// A payment of the desk, by its identity.
    Payment(i64),
    /// What the receipt still owed.
    Debt,
}

/// A reversal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reversal {
    /// Its identity; 0 before it is kept.
    pub id: i64,
    /// Whose handset issued the receipt; the finding is in the same entry.
    pub handset: Code,
    /// The receipt's entry.
    pub seq: u64,
    /// The finding's code.
    pub code: String,
    /// The finding's sentence.
    pub sentence: String,
    /// What it undoes.
    pub of: OfWhat,
    /// How much, minor units, above nothing.
    pub minor: i64,
    /// The day it counts on.
    pub day: NaiveDate,
    /// Who made it.
    pub act: Act,
    /// Why.
    pub because: Label,
    /// That it no longer counts.
    pub undone: Option<Reversed>,
}

impl Reversal {
    /// Whether a debt is reversed by it, and nobody undid that.
    pub fn is_standing_debt(&self) -> bool {
        self.of == OfWhat::Debt && self.undone.is_none()
    }
}

/// Reversals.
pub trait Reversals {
    /// Keeps a reversal and says its identity.
    fn keep_reversal(&self, reversal: &Reversal) -> Result<i64, StoreError>;
    /// Reversals on a receipt, in the order made.
    fn reversals(&self, handset: &Code, seq: u64) -> Result<Vec<Reversal>, StoreError>;
    /// Undoes the reversal of a debt; false if it was undone before, or is of a payment.
    fn undo_reversal(&self, id: i64, undone: &Reversed) -> Result<bool, StoreError>;
}
