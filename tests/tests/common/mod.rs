//! Words for checks of the review: a gate's journal goes through it, and out come the findings.
#![allow(dead_code, reason = "each file of checks uses its part")]
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_core::clerk::{Finding, ReviewState};
use combgate_core::record::{EntryBody, Issue, ReceiptNumber, ReceiptV1};
use combgate_tests::demo::at;
use combgate_tests::demo::day::Gate;
use combgate_tests::demo::honey::Paid;
use combgate_tests::demo::ledger::Ledger;

/// What the review finds in the whole journal of a gate.
pub(crate) fn findings(gate: &Gate) -> Vec<Finding> {
    findings_by(gate, Ledger::of(&gate.brief))
}

/// The same by other books.
pub(crate) fn findings_by(gate: &Gate, mut ledger: Ledger) -> Vec<Finding> {
    let mut review = ReviewState::new(gate.handset.code.clone());
    let mut found = Vec::new();
    for entry in &gate.handset.entries {
        found.extend(review.review(entry, &ledger));
        ledger.book(entry);
    }
    found
}

/// The same as entry and code.
pub(crate) fn codes(gate: &Gate) -> Vec<(u64, &'static str)> {
    findings(gate)
        .iter()
        .map(|finding| (finding.seq, finding.kind.code()))
        .collect()
}

/// Exactly these findings and no others.
#[track_caller]
pub(crate) fn check(gate: &Gate, expected: &[(u64, &str)]) {
    assert_eq!(codes(gate), expected, "{:#?}", findings(gate));
}

/// Issues a receipt otherwise than the program would.
pub(crate) fn receipt(
    gate: &mut Gate,
    clock: &str,
    issue: Issue,
    paid: Paid<'_>,
    change: impl FnOnce(&mut ReceiptV1),
) {
    let issue = gate.due(issue, paid);
    let next = gate
        .handset
        .standing
        .next_number(&gate.handset.code, issue.day);
    let EntryBody::Receipt(mut receipt) = issue.paper(next.unwrap(), &gate.brief).unwrap() else {
        panic!("the delivery is not bought");
    };
    change(&mut receipt);
    gate.handset.write(at(clock), &EntryBody::Receipt(receipt));
}

/// The first receipt of a gate.
pub(crate) fn receipt_of(gate: &Gate) -> ReceiptV1 {
    bodies(gate)
        .into_iter()
        .find_map(|body| match body {
            EntryBody::Receipt(receipt) => Some(*receipt),
            _ => None,
        })
        .unwrap()
}

/// All bodies of a gate's journal.
pub(crate) fn bodies(gate: &Gate) -> Vec<EntryBody> {
    let entries = gate.handset.entries.iter();
    entries.map(|entry| entry.body().clone()).collect()
}

/// The same gate with its day closed as it should be.
pub(crate) fn closed(gate: &Gate) -> Gate {
    let mut gate = gate.clone();
    gate.close("16:24");
    gate
}

/// A receipt number.
pub(crate) fn number(text: &str) -> ReceiptNumber {
    ReceiptNumber::try_from(text.to_owned()).unwrap()
}
