//! The register as a handset carries it on: who was put on it in the field, and what of an advance
//! is left after receipts, cancellations and newer briefs.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

mod common;

use combgate_core::record::{
    AdvanceV1, Brief, CancellationV1, FieldRegister, LineCode, Means, MemberV1, ReceiptV1,
};
use combgate_core::record::{EntryBody, from_text, to_text};
use combgate_tests::demo::cooperative::{brief_for, signed, taken};
use combgate_tests::demo::day::{Gate, good_comb, good_run, new_member, wet_run};
use combgate_tests::demo::honey::{Paid, issue};
use combgate_tests::demo::{code, day, label, on};
use common::{receipt, receipt_of};

/// Owes an advance in the register of the demonstration.
const DEBTOR: &str = "M005";

fn register(gate: &Gate) -> FieldRegister {
    let mut register = FieldRegister::default();
    for entry in &gate.handset.entries {
        register.note(entry);
    }
    register
}

fn debtor(brief: &Brief) -> &MemberV1 {
    let mut members = brief.payload().members.iter();
    members
        .find(|member| member.number == code(DEBTOR))
        .unwrap()
}

fn left_by(gate: &Gate, brief: &Brief) -> Option<i64> {
    let advance = register(gate).advance(debtor(brief), brief);
    advance.map(|advance| advance.outstanding_minor)
}

fn left(gate: &Gate) -> Option<i64> {
    left_by(gate, &gate.brief)
}

/// A gate whose debtor owes so much, in minor units.
fn gate_owing(minor: i64) -> Gate {
    let mut gate = Gate::enrolled();
    gate.brief = brief(&gate, 1, on("2026-10-08", "16:00"), minor);
    gate.open();
    gate
}

fn brief(
    gate: &Gate,
    serial: u32,
    issued_at: chrono::DateTime<chrono::FixedOffset>,
    minor: i64,
) -> Brief {
    let public = gate.handset.public();
    let mut brief = brief_for("K7", &public);
    brief.serial = serial;
    brief.issued_at = issued_at;
    for member in &mut brief.members {
        if member.number == code(DEBTOR) {
            member.advance = Some(AdvanceV1 {
                payee: label("Shop at the crossing"),
                outstanding_minor: minor,
            });
        }
    }
    taken(&signed(brief), public.id())
}

/// What a receipt takes back, from its own line and not from the rule that is checked.
fn line_of_advance(receipt: &ReceiptV1) -> i64 {
    let lines = &receipt.assessment.lines;
    let line = lines.iter().find(|line| line.line == LineCode::Advance);
    let amount = &line.unwrap().amount_minor;
    amount.trim_start_matches(['-', '−']).parse().unwrap()
}

#[test]
fn members_put_down_in_the_field_are_on_it_in_their_order() {
    let mut gate = Gate::opened();
    gate.write("08:00", &new_member("K7-N1"));
    gate.write("08:10", &new_member("K7-N2"));
    let register = register(&gate);
    let numbers: Vec<_> = register
        .members()
        .iter()
        .map(|member| member.member.as_str())
        .collect();
    assert_eq!(numbers, ["K7-N1", "K7-N2"]);
}

#[test]
fn each_receipt_leaves_less_of_an_advance_until_nothing_is_left() {
    let mut gate = gate_owing(500_000);
    assert_eq!(left(&gate), Some(500_000));
    gate.buy("08:00", issue(1, DEBTOR, good_comb(1)), Paid::Cash);
    let first = line_of_advance(&receipt_of(&gate));
    assert!(first > 0);
    assert_eq!(left(&gate), Some(500_000 - first));
    // Another member's receipt, and a hold of the same member, leave it alone.
    gate.buy("08:10", issue(2, "M001", good_run(2)), Paid::Cash);
    gate.buy("08:20", issue(3, DEBTOR, wet_run(3)), Paid::Cash);
    assert_eq!(left(&gate), Some(500_000 - first));

    let mut small = gate_owing(1_000);
    small.buy("08:00", issue(1, DEBTOR, good_comb(1)), Paid::Cash);
    assert_eq!(line_of_advance(&receipt_of(&small)), 1_000);
    assert_eq!(left(&small), None);
}

#[test]
fn a_cancelled_receipt_took_nothing_back() {
    let mut gate = gate_owing(500_000);
    let number = gate.buy("08:00", issue(1, DEBTOR, good_comb(1)), Paid::Cash);
    let undone = CancellationV1::of(
        &gate.receipt(&number),
        0,
        Means::Cash,
        label("weighed wrong"),
        day(),
    );
    let undone = EntryBody::Cancellation(Box::new(undone));
    gate.write("08:30", &undone);
    assert_eq!(left(&gate), Some(500_000));
    // Twice, or of a receipt that nobody issued, changes nothing either.
    gate.write("08:31", &undone);
    assert_eq!(left(&gate), Some(500_000));
}

/// A newer brief knows what was handed over before it was written, and nothing of what came after.
#[test]
fn a_newer_brief_counts_only_what_it_cannot_know() {
    let mut gate = gate_owing(500_000);
    gate.buy("08:00", issue(1, DEBTOR, good_comb(1)), Paid::Cash);
    let taken_back = line_of_advance(&receipt_of(&gate));
    let later = brief(&gate, 2, on("2026-10-10", "16:00"), 300_000);
    assert_eq!(left_by(&gate, &later), Some(300_000));
    // Written while the day went on: the receipt may be missing from it, so it is counted.
    let between = brief(&gate, 2, on("2026-10-09", "07:30"), 500_000);
    assert_eq!(left_by(&gate, &between), Some(500_000 - taken_back));
}

/// Storage is not to be trusted: a receipt that gives an advance out instead of taking it back, or
/// takes more than there is, makes nobody owe more than the brief says.
#[test]
fn a_receipt_that_lies_never_makes_a_member_owe_more() {
    let amounts = ["5000", "-99999999999999", "-9223372036854775807", "-0.5"];
    for amount in amounts {
        let mut gate = gate_owing(500_000);
        let delivery = issue(1, DEBTOR, good_comb(1));
        receipt(&mut gate, "08:00", delivery, Paid::Cash, |receipt| {
            let lines = receipt.assessment.lines.iter_mut();
            for line in lines.filter(|line| line.line == LineCode::Advance) {
                amount.clone_into(&mut line.amount_minor);
            }
        });
        let left = left(&gate);
        assert!(
            left.is_none_or(|left| (1..=500_000).contains(&left)),
            "{amount}: {left:?}"
        );
    }
}

#[test]
fn it_is_kept_and_read_back_and_a_damaged_copy_is_refused() {
    let mut gate = gate_owing(500_000);
    gate.write("07:50", &new_member("K7-N1"));
    gate.buy("08:00", issue(1, DEBTOR, good_comb(1)), Paid::Cash);
    let kept = to_text("register", &register(&gate)).unwrap();
    let read: FieldRegister = from_text("register", &kept, kept.len()).unwrap();
    assert_eq!(read.members(), register(&gate).members());
    let advance = read.advance(debtor(&gate.brief), &gate.brief);
    assert_eq!(
        advance.map(|advance| advance.outstanding_minor),
        left(&gate)
    );

    let damaged = [
        kept[..kept.len() - 2].to_owned(),
        kept.replace("\"serial\"", "\"serials\""),
        kept.replace("K7-N1", &"N".repeat(500)),
        kept.replace("\"consent\":true", "\"consent\":\"yes\""),
        String::new(),
    ];
    for text in damaged {
        assert_ne!(text, kept, "a copy is damaged");
        from_text::<FieldRegister>("register", &text, 1_000_000).unwrap_err();
    }
}
