//! Making a receipt or a slip: the one that goes with the decision, and no other.

use super::assessment::AssessmentV1;
use super::brief::{AdvanceV1, Brief};
use super::delivery::DeliveryV1;
use super::entry::{EntryBody, Keeper, ReceiptV1, SettlementV1, SlipV1};
use super::json::DocumentError;
use super::number::ReceiptNumber;
use crate::intake::{AssessError, Assessment, Decision, Delivery};
use crate::units::{Code, MoneyError};
use chrono::NaiveDate;
use uuid::Uuid;

/// A delivery about to get its paper.
#[derive(Debug, Clone)]
pub struct Issue {
    /// The delivery's own identity.
    pub delivery_id: Uuid,
    /// The day it counts on.
    pub day: NaiveDate,
    /// Whose.
    pub member: Code,
    /// What was brought.
    pub delivery: DeliveryV1,
    /// Additions the member has a right to.
    pub premiums: Vec<Code>,
    /// An advance to be paid back.
    pub advance: Option<AdvanceV1>,
    /// How a purchase is paid; not used for a hold or a refusal.
    pub settlement: SettlementV1,
    /// Who keeps the pails of a hold or a refusal; not used for a purchase.
    pub pails_with: Keeper,
    /// The cancelled receipt that a purchase replaces.
    pub replaces: Option<ReceiptNumber>,
}

/// A paper that cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum IssueError {
    /// The delivery cannot be.
    #[error(transparent)]
    Delivery(#[from] DocumentError),
    /// It cannot be assessed.
    #[error(transparent)]
    Assess(#[from] AssessError),
    /// The advance cannot be reckoned.
    #[error(transparent)]
    Money(#[from] MoneyError),
    /// Paid and owed do not make up the total.
    #[error("paid and owed together are not the total: correct what is paid now")]
    Settlement,
}

impl Issue {
    /// Judges and prices the delivery by a brief.
    pub fn assess(&self, brief: &Brief) -> Result<Assessment, IssueError> {
        let delivery = Delivery::try_from(&self.delivery)?;
        let currency = brief.terms().prices().parts().currency;
        let advance = self
            .advance
            .as_ref()
            .map(|advance| advance.advance(currency))
            .transpose()?;
        Ok(brief
            .terms()
            .assess(&delivery, &self.premiums, advance.as_ref())?)
    }

    /// Makes the receipt or slip that the decision calls for.
    pub fn paper(self, number: ReceiptNumber, brief: &Brief) -> Result<EntryBody, IssueError> {
        let assessment = AssessmentV1::from(&self.assess(brief)?);
        let terms = brief.terms_ref().clone();
        if assessment.decision != Decision::Buy {
            return Ok(EntryBody::Slip(Box::new(SlipV1 {
                number,
                delivery_id: self.delivery_id,
                day: self.day,
                member: self.member,
                terms,
                delivery: self.delivery,
                assessment,
                pails_with: self.pails_with,
            })));
        }
        let settled = self
            .settlement
            .paid_minor
            .checked_add(self.settlement.owed_minor);
        if settled != assessment.payable_minor
            || self.settlement.paid_minor < 0
            || self.settlement.owed_minor < 0
        {
            return Err(IssueError::Settlement);
        }
        Ok(EntryBody::Receipt(Box::new(ReceiptV1 {
            number,
            delivery_id: self.delivery_id,
            day: self.day,
            member: self.member,
            terms,
            delivery: self.delivery,
            premiums: self.premiums,
            advance: self.advance,
            assessment,
            settlement: self.settlement,
            replaces: self.replaces,
        })))
    }
}
