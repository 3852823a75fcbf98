//! What a day's papers come to by grade and by means of payment, as an officer counts them.

use super::entry::{EntryBody, Means};
use super::number::ReceiptNumber;
use crate::units::Code;
use chrono::NaiveDate;

/// What was bought of one grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GradeTakings {
    /// Receipts.
    pub receipts: u64,
    /// Net mass, grams.
    pub net_g: i64,
    /// Value, minor units.
    pub payable_minor: i64,
}

/// One day's papers, summed. A receipt that was cancelled counts in no grade and owes nothing;
/// money counts on the day on which it changed hands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Takings {
    /// By grade in order of its code, those that stand.
    pub grades: Vec<(Code, GradeTakings)>,
    /// Paid out in cash less cash that came back, minor units.
    pub cash_minor: i64,
    /// Paid out by telephone less what came back so, minor units.
    pub mobile_minor: i64,
    /// Still owed on the day's receipts, minor units.
    pub owed_minor: i64,
}

impl Takings {
    /// Sums the day out of entries that hold all of it. Sums saturate: no honest day comes near.
    pub fn of<'a>(day: NaiveDate, bodies: impl Iterator<Item = &'a EntryBody> + Clone) -> Self {
        let cancelled: Vec<&ReceiptNumber> = bodies
            .clone()
            .filter_map(|body| match body {
                EntryBody::Cancellation(cancelled) => Some(&cancelled.number),
                _ => None,
            })
            .collect();
        let mut sums = Self::default();
        let mut owing = Vec::new();
        for body in bodies {
            match body {
                EntryBody::Receipt(receipt) if receipt.day == day => {
                    let settlement = &receipt.settlement;
                    sums.pay(settlement.means, settlement.paid_minor);
                    if cancelled.contains(&&receipt.number) {
                        continue;
                    }
                    sums.owed_minor = sums.owed_minor.saturating_add(settlement.owed_minor);
                    owing.push(&receipt.number);
                    if let Some(grade) = &receipt.assessment.grade {
                        let total = sums.grade(grade);
                        total.receipts += 1;
                        let net = receipt.assessment.net_g.map_or(0, i64::from);
                        total.net_g = total.net_g.saturating_add(net);
                        let payable = receipt.assessment.payable_minor.unwrap_or(0);
                        total.payable_minor = total.payable_minor.saturating_add(payable);
                    }
                }
                EntryBody::Cancellation(cancelled) if cancelled.day == day => {
                    sums.pay(cancelled.means, cancelled.returned_minor.saturating_neg());
                }
                EntryBody::Payment(payment) => {
                    if payment.day == day {
                        sums.pay(Some(payment.means), payment.paid_minor);
                    }
                    if owing.contains(&&payment.number) {
                        sums.owed_minor = sums.owed_minor.saturating_sub(payment.paid_minor);
                    }
                }
                _ => {}
            }
        }
        sums
    }

    fn grade(&mut self, grade: &Code) -> &mut GradeTakings {
        let place = self.grades.binary_search_by(|(code, _)| code.cmp(grade));
        let place = place.unwrap_or_else(|place| {
            let none = GradeTakings::default();
            self.grades.insert(place, (grade.clone(), none));
            place
        });
        &mut self.grades[place].1
    }

    const fn pay(&mut self, means: Option<Means>, minor: i64) {
        match means {
            Some(Means::Cash) => self.cash_minor = self.cash_minor.saturating_add(minor),
            Some(Means::MobileMoney) => self.mobile_minor = self.mobile_minor.saturating_add(minor),
            None => {}
        }
    }
}
