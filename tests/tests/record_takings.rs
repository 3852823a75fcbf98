//! Sums of a day by grade and by means, and the cancellation that repeats a receipt's sums.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

mod common;

use combgate_core::record::{
    CancellationV1, EntryBody, GradeTakings, Means, PaymentV1, ReceiptNumber, ReceiptV1, Takings,
    totals_by_day,
};
use combgate_core::units::Grams;
use combgate_tests::demo::day::{Gate, cancellation, good_comb};
use combgate_tests::demo::honey::{Paid, issue};
use combgate_tests::demo::{code, day, label};
use common::receipt_of;

/// A receipt of round figures, in minor units and grams.
fn bought(running: u32, grade: &str, grams: i64, paid: i64, owed: i64, means: Means) -> ReceiptV1 {
    let mut gate = Gate::opened();
    gate.buy("07:42", issue(1, "M003", good_comb(101)), Paid::Cash);
    let mut receipt = receipt_of(&gate);
    receipt.number = ReceiptNumber::new(&code("K7"), 26, running).unwrap();
    receipt.assessment.grade = Some(code(grade));
    receipt.assessment.net_g = Some(Grams::new(grams).unwrap());
    receipt.assessment.payable_minor = Some(paid + owed);
    receipt.settlement.paid_minor = paid;
    receipt.settlement.owed_minor = owed;
    receipt.settlement.means = (paid > 0).then_some(means);
    receipt
}

fn receipt(receipt: ReceiptV1) -> EntryBody {
    EntryBody::Receipt(Box::new(receipt))
}

fn undone(of: &ReceiptV1, paid_later: i64, means: Means) -> EntryBody {
    let body = CancellationV1::of(of, paid_later, means, label("weighed wrong"), day());
    EntryBody::Cancellation(Box::new(body))
}

fn paid(of: &ReceiptV1, minor: i64, means: Means) -> EntryBody {
    EntryBody::Payment(Box::new(PaymentV1 {
        number: of.number.clone(),
        day: day(),
        paid_minor: minor,
        means,
        reference: None,
    }))
}

/// The sums below are added up by hand.
#[test]
fn grades_means_and_debts_of_a_day() {
    let first = bought(1, "A", 10_000, 300, 100, Means::Cash);
    let second = bought(2, "A", 5_000, 200, 0, Means::MobileMoney);
    let third = bought(3, "B", 7_000, 0, 250, Means::Cash);
    let wrong = bought(4, "B", 9_000, 270, 30, Means::Cash);
    let entries = [
        receipt(first.clone()),
        receipt(second),
        receipt(third.clone()),
        receipt(wrong.clone()),
        paid(&third, 50, Means::MobileMoney),
        undone(&wrong, 0, Means::Cash),
    ];
    let sums = Takings::of(day(), entries.iter());
    let grade = |receipts, net_g, payable_minor| GradeTakings {
        receipts,
        net_g,
        payable_minor,
    };
    let grades = [
        (code("A"), grade(2, 15_000, 600)),
        (code("B"), grade(1, 7_000, 250)),
    ];
    assert_eq!(sums.grades, grades);
    assert_eq!(sums.cash_minor, 300 + 270 - 270);
    assert_eq!(sums.mobile_minor, 200 + 50);
    assert_eq!(sums.owed_minor, 100 + 250 - 50);
    // The desk's own sums of the same entries, which know no grades and no means.
    let total = &totals_by_day(entries.iter())[0];
    assert_eq!(sums.cash_minor + sums.mobile_minor, total.paid_minor);
    let net: i64 = sums.grades.iter().map(|(_, grade)| grade.net_g).sum();
    assert_eq!(net, total.net_g);
    let value: i64 = sums
        .grades
        .iter()
        .map(|(_, grade)| grade.payable_minor)
        .sum();
    assert_eq!(value, total.payable_minor);
}

#[test]
fn another_day_counts_for_itself() {
    let mut yesterday = bought(1, "A", 10_000, 300, 100, Means::Cash);
    yesterday.day = day().pred_opt().unwrap();
    let entries = [
        receipt(yesterday.clone()),
        paid(&yesterday, 100, Means::Cash),
    ];
    let sums = Takings::of(day(), entries.iter());
    assert!(sums.grades.is_empty());
    assert_eq!((sums.cash_minor, sums.owed_minor), (100, 0));
    let before = Takings::of(yesterday.day, entries.iter());
    assert_eq!((before.cash_minor, before.owed_minor), (300, 0));
}

/// The review asks of a cancellation that it name the receipt's sums; here they are the ones that
/// the demonstration's day writes by hand.
#[test]
fn a_cancellation_repeats_the_sums_of_its_receipt() {
    let whole = bought(1, "A", 10_000, 300, 0, Means::Cash);
    let made = CancellationV1::of(&whole, 0, Means::Cash, label("weighed wrong"), day());
    assert_eq!(made, cancellation(&whole, "weighed wrong"));
    let owed = bought(2, "A", 10_000, 0, 300, Means::Cash);
    let made = CancellationV1::of(&owed, 0, Means::Cash, label("not sold"), day());
    assert_eq!((made.returned_minor, made.means), (0, None));
    let later = CancellationV1::of(&owed, 120, Means::MobileMoney, label("not sold"), day());
    assert_eq!(later.returned_minor, 120);
    assert_eq!(later.means, Some(Means::MobileMoney));
}
