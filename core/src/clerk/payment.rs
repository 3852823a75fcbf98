//! What the desk owes on a receipt, and whether it may be paid.

use super::review::ReceiptFacts;
use crate::record::{Means, MemberV1};

/// A receipt as the desk would pay it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Owing {
    /// What it stands at, the desk's own payments included.
    pub facts: ReceiptFacts,
    /// What the desk paid on it that was not reversed, minor units.
    pub desk_paid_minor: i64,
    /// It stands on a payment list, paid or not.
    pub listed: bool,
    /// Something serious was found on it and is not settled.
    pub serious: bool,
}

/// What is to be done about it. Sums are minor units, above nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Due {
    /// Nothing: it is paid, cancelled or owes nothing.
    Nothing,
    /// It is to be paid.
    Pay(i64),
    /// It would be to be paid, but something serious was found.
    Questioned(i64),
    /// It stands on a payment list already.
    Listed(i64),
    /// Too much was paid: the desk paid a receipt that was cancelled, or more than was owed.
    GetBack(i64),
}

/// What is to be done about a receipt.
///
/// # Examples
/// A receipt of 500.00 on which 200.00 was paid at the gate:
/// ```
/// # use combgate_core::clerk::{Due, Owing, ReceiptFacts, due};
/// let facts = ReceiptFacts {
///     net_g: 12_340, payable_minor: 50_000, paid_minor: 20_000, reversed_minor: 0, pails: 1,
///     cancelled: false,
/// };
/// let owing = Owing { facts, desk_paid_minor: 0, listed: false, serious: false };
/// assert_eq!(due(&owing), Due::Pay(30_000));
/// assert_eq!(due(&Owing { serious: true, ..owing }), Due::Questioned(30_000));
/// ```
pub const fn due(owing: &Owing) -> Due {
    let facts = &owing.facts;
    if facts.cancelled {
        // What an officer paid comes back to the officer, and the cancellation says so.
        return if owing.desk_paid_minor > 0 {
            Due::GetBack(owing.desk_paid_minor)
        } else {
            Due::Nothing
        };
    }
    let owed = facts.owed_minor();
    if owed < 0 && owing.desk_paid_minor > 0 {
        return Due::GetBack(owed.saturating_neg());
    }
    if owed <= 0 {
        Due::Nothing
    } else if owing.listed {
        Due::Listed(owed)
    } else if owing.serious {
        Due::Questioned(owed)
    } else {
        Due::Pay(owed)
    }
}

/// By what means a member is paid: by telephone if the register has a number, else in cash.
pub fn means_of(member: Option<&MemberV1>) -> Means {
    if member.is_some_and(|member| member.phone.is_some()) {
        Means::MobileMoney
    } else {
        Means::Cash
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_a_receipt_can_stand() {
        let facts = |payable_minor, paid_minor, cancelled| ReceiptFacts {
            net_g: 1_000,
            payable_minor,
            paid_minor,
            reversed_minor: 0,
            pails: 1,
            cancelled,
        };
        let owing = |facts, desk_paid_minor, listed, serious| Owing {
            facts,
            desk_paid_minor,
            listed,
            serious,
        };
        for (owing, expected) in [
            (owing(facts(500, 500, false), 0, false, false), Due::Nothing),
            (
                owing(facts(500, 500, false), 300, true, false),
                Due::Nothing,
            ),
            (
                owing(facts(500, 200, false), 0, false, false),
                Due::Pay(300),
            ),
            (
                owing(facts(500, 200, false), 0, false, true),
                Due::Questioned(300),
            ),
            (
                owing(facts(500, 200, false), 0, true, true),
                Due::Listed(300),
            ),
            (owing(facts(500, 200, true), 0, false, false), Due::Nothing),
            (
                owing(facts(500, 500, true), 300, true, false),
                Due::GetBack(300),
            ),
            (
                owing(facts(500, 800, false), 300, true, false),
                Due::GetBack(300),
            ),
            // An officer's overpayment is a finding of the review, not the desk's to get back.
            (owing(facts(500, 800, false), 0, false, false), Due::Nothing),
        ] {
            assert_eq!(due(&owing), expected, "{owing:?}");
        }
    }
}
