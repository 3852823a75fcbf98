//! Paying later what a receipt left owed: what is taken, what is refused, and that the review finds
//! nothing wrong with what is taken. The amounts are counted by hand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

mod common;

use combgate_core::record::{EntryBody, Means, PaymentError, PaymentV1, ReceiptV1};
use combgate_tests::demo::day::{Gate, good_comb};
use combgate_tests::demo::honey::{Paid, issue};
use combgate_tests::demo::{code, day};
use common::{check, closed, receipt_of};

/// A gate with one receipt, of which 1,000.00 was paid.
fn gate() -> Gate {
    let mut gate = Gate::opened();
    gate.buy(
        "07:42",
        issue(1, "M003", good_comb(101)),
        Paid::Part(100_000),
    );
    gate
}

fn pay(
    receipt: &ReceiptV1,
    later: i64,
    minor: i64,
    means: Means,
    reference: Option<&str>,
) -> Result<PaymentV1, PaymentError> {
    PaymentV1::of(receipt, later, minor, means, reference.map(code), day())
}

fn cash(receipt: &ReceiptV1, later: i64, minor: i64) -> Result<PaymentV1, PaymentError> {
    pay(receipt, later, minor, Means::Cash, None)
}

fn write(gate: &mut Gate, clock: &str, payment: PaymentV1) {
    gate.write(clock, &EntryBody::Payment(Box::new(payment)));
}

#[test]
fn what_is_owed_is_paid_in_parts_and_the_review_takes_it() {
    let mut gate = gate();
    let receipt = receipt_of(&gate);
    let owed = receipt.assessment.payable_minor.unwrap() - 100_000;
    assert!(owed > 60_000);
    let before = gate.handset.standing.open.as_ref().unwrap().cash_minor;

    let first = cash(&receipt, 0, 50_000).unwrap();
    assert_eq!(
        (&first.number, first.day, first.paid_minor),
        (&receipt.number, day(), 50_000)
    );
    write(&mut gate, "12:00", first);
    let rest = owed - 50_000;
    let second = pay(&receipt, 50_000, rest, Means::MobileMoney, Some("QK81-7")).unwrap();
    assert_eq!(second.reference, Some(code("QK81-7")));
    write(&mut gate, "12:10", second);
    // The float pays what is paid in cash, and nothing else.
    let after = gate.handset.standing.open.as_ref().unwrap().cash_minor;
    assert_eq!(after, before - 50_000);
    check(&closed(&gate), &[]);
}

#[test]
fn nothing_beyond_what_is_owed_is_paid() {
    let receipt = receipt_of(&gate());
    let owed = receipt.assessment.payable_minor.unwrap() - 100_000;
    assert!(cash(&receipt, 0, owed).is_ok());
    assert!(cash(&receipt, owed - 1, 1).is_ok());
    let rows = [
        (0, owed + 1, PaymentError::TooMuch { left_minor: owed }),
        (owed - 1, 2, PaymentError::TooMuch { left_minor: 1 }),
        (0, i64::MAX, PaymentError::TooMuch { left_minor: owed }),
        (owed, 1, PaymentError::NothingOwed),
        (i64::MAX, 1, PaymentError::NothingOwed),
        (0, 0, PaymentError::NotPositive(0)),
        (0, -1, PaymentError::NotPositive(-1)),
        (0, i64::MIN, PaymentError::NotPositive(i64::MIN)),
    ];
    for (later, minor, error) in rows {
        assert_eq!(cash(&receipt, later, minor), Err(error));
    }
}

#[test]
fn a_telephones_money_has_its_reference_and_cash_has_none() {
    let receipt = receipt_of(&gate());
    assert_eq!(
        pay(&receipt, 0, 1, Means::MobileMoney, None),
        Err(PaymentError::NoReference)
    );
    let typed_before = pay(&receipt, 0, 1, Means::Cash, Some("QK81-7")).unwrap();
    assert_eq!(typed_before.reference, None);
}

/// A program that pays more than is owed is found by the review all the same.
#[test]
fn the_review_finds_what_this_refuses() {
    let mut gate = gate();
    let receipt = receipt_of(&gate);
    let owed = receipt.assessment.payable_minor.unwrap() - 100_000;
    let mut payment = cash(&receipt, 0, owed).unwrap();
    payment.paid_minor += 1;
    write(&mut gate, "12:00", payment);
    let place = gate.handset.entries.len();
    check(
        &closed(&gate),
        &[(u64::try_from(place).unwrap(), "paid-too-much")],
    );
}
