//! The review thinks as a dishonest officer and as a clerk who must trust it: each finding is
//! provoked, and honest work gives none.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

#[path = "../common/mod.rs"]
mod common;

use chrono::NaiveDate;
use combgate_core::clerk::{FindingKind, FindingWeight, ReviewState, Sum};
use combgate_core::honey::Scale;
use combgate_core::intake::{Answer, Fault, ScaleCheck};
use combgate_core::record::{
    AdvanceV1, AnswerV1, BriefV1, ClockNoticedV1, DayOpenedV1, Digest, EntryBody, Issue, MarkV1,
    Means, ParsedEntry, ReceiptNumber, ReceiptV1, RefractometerV1, SlipV1, WeighingScaleV1,
};
use combgate_core::units::{Currency, Grams, Moisture, Money, Offset, ScaleInterval, Share};
use combgate_tests::demo::bad::overpay;
use combgate_tests::demo::cooperative::{brief_for, signed, taken};
use combgate_tests::demo::day::{
    Gate, cancellation, good_comb, good_run, new_member, opening, stingless, wet_run, whole,
};
use combgate_tests::demo::honey::{Brought, Paid, issue};
use combgate_tests::demo::ledger::Ledger;
use combgate_tests::demo::{at, code, day, label, on, read};
use common::{bodies, check, codes, findings, receipt_of};

/// A gate at which one receipt was issued otherwise than the program issues it.
fn receipt(issue: Issue, paid: Paid<'_>, change: impl FnOnce(&mut ReceiptV1)) -> Gate {
    let mut gate = Gate::opened();
    common::receipt(&mut gate, "07:42", issue, paid, change);
    gate
}

fn slip(issue: Issue, change: impl FnOnce(&mut SlipV1)) -> Gate {
    let mut gate = Gate::opened();
    let number = gate
        .handset
        .standing
        .next_number(&code("K7"), day())
        .unwrap();
    let EntryBody::Slip(mut slip) = issue.paper(number, &gate.brief).unwrap() else {
        panic!("the delivery is bought");
    };
    change(&mut slip);
    gate.write("07:42", &EntryBody::Slip(slip));
    gate
}

fn kes(minor: i64) -> Sum {
    let currency = Currency::new("KES").ok();
    Sum { minor, currency }
}

fn comb() -> Issue {
    issue(1, "M003", good_comb(101))
}

#[test]
fn honest_work_gives_no_finding() {
    check(&Gate::opened(), &[]);
    check(&receipt(comb(), Paid::Cash, |_| ()), &[]);
    check(&receipt(comb(), Paid::Telephone("QK1"), |_| ()), &[]);
    check(&receipt(comb(), Paid::Part(0), |_| ()), &[]);
    check(&slip(issue(1, "M003", wet_run(101)), |_| ()), &[]);
    check(
        &receipt(issue(1, "M002", good_run(101)), Paid::Cash, |_| ()),
        &[],
    );
    check(&whole(), &[]);
}

mod judging_again;

mod terms;

mod clock_and_day;

mod instruments;

mod numbers;

mod members;

mod money;

mod cash_and_pails;

#[test]
fn what_the_review_remembers_survives_being_written_down() {
    let gate = whole();
    let mut ledger = Ledger::of(&gate.brief);
    let mut review = ReviewState::new(gate.handset.code.clone());
    for entry in &gate.handset.entries {
        let text = serde_json::to_string(&review).unwrap();
        review = serde_json::from_str(&text).unwrap();
        assert_eq!(review.review(entry, &ledger), []);
        ledger.book(entry);
    }
    // And it remembers: the same entries once more are all out of place.
    let again: Vec<_> = gate.handset.entries[2..]
        .iter()
        .flat_map(|entry: &ParsedEntry| review.review(entry, &ledger))
        .map(|finding| finding.kind.code())
        .collect();
    for expected in ["number-twice", "delivery-twice", "day-closed", "clock-back"] {
        assert!(again.contains(&expected), "{expected}");
    }
}

#[test]
fn a_finding_says_what_to_do_and_how_much_it_weighs() {
    let gate = stingless_for_nobody();
    let found = findings(&gate);
    assert_eq!(found[0].kind.weight(), FindingWeight::Serious);
    assert_eq!(
        found[0].kind.to_string(),
        "member M999 is not on the register: find out who it is before paying"
    );
    assert_eq!(found[0].number, Some(number("K7-26-00001")));
    assert!(FindingWeight::Note < FindingWeight::Question);
    assert!(FindingWeight::Question < FindingWeight::Serious);
}

/// A kind of finding that no check provokes would be a promise that nobody keeps.
#[test]
fn every_kind_of_finding_is_provoked_somewhere() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut text = String::new();
    for folder in [
        "tests/tests",
        "tests/tests/clerk_review",
        "app/desk/tests",
        "app/desk/tests/pages",
    ] {
        for file in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = file.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "rs") {
                text += &std::fs::read_to_string(path).unwrap();
            }
        }
    }
    // As the checks here name it, or as the desk prints it.
    let named = |code: &str| {
        [format!("\"{code}\""), format!("[{code}]")]
            .iter()
            .any(|spelt| text.contains(spelt))
    };
    let kinds = FindingKind::CODES.iter();
    let left_out: Vec<_> = kinds.filter(|(code, _)| !named(code)).collect();
    assert!(left_out.is_empty(), "no check provokes {left_out:?}");
}

fn stingless_for_nobody() -> Gate {
    receipt(issue(1, "M999", stingless(101)), Paid::Cash, |_| ())
}

fn number(text: &str) -> ReceiptNumber {
    common::number(text)
}
