//! What was changed on the register, by whom and when.

use super::{Act, StoreError};
use combgate_core::record::MemberV1;
use combgate_core::units::Code;

/// A change of what the office says of a member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemberChange {
    /// The member's number.
    pub member: Code,
    /// By whom, and when.
    pub act: Act,
    /// Before; `None` where the number was new.
    pub was: Option<MemberV1>,
    /// After; `None` once the member is forgotten.
    pub became: Option<MemberV1>,
}

/// The history of the register.
pub trait History {
    /// What the office says of a member; the advance is as it said last, whatever receipts took
    /// back since.
    fn office_member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError>;
    /// Keeps a change; nothing is kept of a forgotten member.
    fn keep_change(&self, change: &MemberChange) -> Result<(), StoreError>;
    /// Changes of a member, the newest first.
    fn changes(&self, member: &Code) -> Result<Vec<MemberChange>, StoreError>;
}
