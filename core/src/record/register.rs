//! What a handset's own entries add to the register of its brief: members registered in the field,
//! and what receipts took back of advances.

use super::brief::{AdvanceV1, Brief, MemberV1};
use super::entry::{EntryBody, MemberRegisteredV1, ParsedEntry};
use super::number::ReceiptNumber;
use crate::units::Code;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// The register as the handset itself carried it on; one fold over its journal, oldest first.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FieldRegister {
    members: Vec<MemberRegisteredV1>,
    repaid: Vec<Repaid>,
    /// Serial of the brief by which the last day was opened.
    serial: u32,
}

/// What one receipt took back.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Repaid {
    number: ReceiptNumber,
    member: Code,
    minor: i64,
    serial: u32,
    #[serde(with = "super::time::instant")]
    at: DateTime<FixedOffset>,
}

impl FieldRegister {
    /// Takes note of the next entry.
    pub fn note(&mut self, entry: &ParsedEntry) {
        match entry.body() {
            EntryBody::DayOpened(opened) => self.serial = opened.brief_serial,
            EntryBody::MemberRegistered(member) => self.members.push((**member).clone()),
            EntryBody::Receipt(receipt) => {
                let minor = receipt.assessment.repaid_minor();
                // A receipt gives no advance out, whatever the storage says.
                if minor > 0 {
                    self.repaid.push(Repaid {
                        number: receipt.number.clone(),
                        member: receipt.member.clone(),
                        minor,
                        serial: self.serial,
                        at: entry.at(),
                    });
                }
            }
            EntryBody::Cancellation(cancelled) => {
                self.repaid
                    .retain(|repaid| repaid.number != cancelled.number);
            }
            _ => {}
        }
    }

    /// Members registered here, oldest first.
    pub fn members(&self) -> &[MemberRegisteredV1] {
        &self.members
    }

    /// What of a member's advance is still outstanding, after the receipts that the brief cannot
    /// know of: those of days opened by it, and those later than it by the clock. Where the clock
    /// leaves a doubt less is taken back, never more than is owed.
    pub fn advance(&self, member: &MemberV1, brief: &Brief) -> Option<AdvanceV1> {
        let advance = member.advance.as_ref()?;
        let payload = brief.payload();
        let unknown_to_brief = |repaid: &&Repaid| {
            repaid.member == member.number
                && (repaid.serial >= payload.serial || repaid.at >= payload.issued_at)
        };
        let outstanding_minor = self
            .repaid
            .iter()
            .filter(unknown_to_brief)
            .fold(advance.outstanding_minor, |left, repaid| {
                left.saturating_sub(repaid.minor)
            });
        (outstanding_minor > 0).then(|| AdvanceV1 {
            payee: advance.payee.clone(),
            outstanding_minor,
        })
    }
}
