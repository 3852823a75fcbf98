//! What the review says of cash and pails.

use super::*;
use combgate_core::record::{DayClosedV1, Keeper, PailV1};
use combgate_tests::demo::day::fermenting_run;
use common::findings_by;

fn counted(change: impl FnOnce(&mut DayClosedV1)) -> Gate {
    let mut gate = whole();
    let EntryBody::DayClosed(mut closed) = gate.handset.entries.pop().unwrap().body().clone()
    else {
        panic!("the day was closed");
    };
    change(&mut closed);
    gate.write("16:24", &EntryBody::DayClosed(closed));
    gate
}

/// Float 120,000; cash paid: 7,710 + 12,580 + 4,190 + 2,895 + 3,845 + 7,360 + 10,000 + 5,340 +
/// 5,470 + 20,715 = 80,105; the cancelled 7,570 went out and came back; 9,925 by telephone.
#[test]
fn what_should_be_in_the_box_is_the_float_less_what_was_paid_in_cash() {
    let right = counted(|_| ());
    let EntryBody::DayClosed(closed) = right.handset.entries.last().unwrap().body() else {
        panic!("the day was closed");
    };
    assert_eq!(closed.cash_minor, 12_000_000 - 8_010_500);
    // Fourteen pails of honey bought and kept, the cancelled one given back.
    assert_eq!(closed.full_pails, 14);
    check(&right, &[]);
}

#[test]
fn missing_and_extra_cash_is_found() {
    for (change, counted_minor) in [(-100, 3_989_400), (100, 3_989_600)] {
        let gate = counted(|closed| closed.cash_minor += change);
        let found = findings(&gate);
        assert_eq!(
            found[0].kind,
            FindingKind::CashDiffers {
                expected: kes(3_989_500),
                counted: kes(counted_minor)
            }
        );
        assert_eq!(found.len(), 1);
    }
}

#[test]
fn missing_and_extra_pails_are_found() {
    for (pails, kind) in [(13, "pails-differ"), (15, "pails-differ")] {
        check(&counted(|closed| closed.full_pails = pails), &[(20, kind)]);
    }
}

#[test]
fn the_officers_words_go_with_the_difference() {
    let gate = counted(|closed| {
        closed.cash_minor -= 5_000;
        closed.explanation = Some(label("A note was torn"));
    });
    check(&gate, &[(20, "cash-differs"), (20, "explained")]);
    assert_eq!(
        findings(&gate)[1].kind.to_string(),
        "the officer wrote: A note was torn"
    );
}

/// What came back by telephone is not in the box, and what was paid by telephone never left it.
#[test]
fn only_cash_is_looked_for_in_the_box() {
    for (paid, returned, in_the_box) in [
        (Paid::Cash, Means::Cash, 0),
        (Paid::Cash, Means::MobileMoney, -727_500),
        (Paid::Telephone("QK1"), Means::MobileMoney, 0),
        (Paid::Telephone("QK1"), Means::Cash, 727_500),
    ] {
        let mut gate = receipt(comb(), paid, |_| ());
        let mut undone = cancellation(&receipt_of(&gate), "Wrong member");
        undone.means = Some(returned);
        gate.write("08:00", &EntryBody::Cancellation(Box::new(undone)));
        let open = gate.handset.standing.open.as_ref().unwrap();
        assert_eq!(
            open.cash_minor,
            12_000_000 + in_the_box,
            "{paid:?} {returned:?}"
        );
    }
}

fn opened_with(change: impl FnOnce(&mut DayOpenedV1)) -> Gate {
    let EntryBody::DayOpened(mut opened) = opening() else {
        panic!("the morning opens");
    };
    change(&mut opened);
    let mut gate = Gate::enrolled();
    gate.write("07:10", &EntryBody::DayOpened(opened));
    gate
}

#[test]
fn the_float_is_what_the_brief_gave() {
    for more in [-100, 100] {
        let gate = opened_with(|opened| opened.float_minor += more);
        check(&gate, &[(2, "float-differs")]);
    }
}

/// The next morning begins with what was left, with a new float, or with both together.
#[test]
fn the_float_may_be_what_the_last_day_left() {
    let left = 12_000_000 - 8_010_500;
    for (counted, expected) in [
        (left, None),
        (12_000_000, None),
        (12_000_000 + left, None),
        (left - 100, Some("float-differs")),
        (0, Some("float-differs")),
    ] {
        let mut gate = whole();
        let EntryBody::DayOpened(mut opened) = opening() else {
            panic!("the morning opens");
        };
        opened.day = "2026-10-10".parse().unwrap();
        opened.float_minor = counted;
        let morning = on("2026-10-10", "07:00");
        gate.handset.write(morning, &EntryBody::DayOpened(opened));
        let last = gate.handset.entries.len().try_into().unwrap();
        let expected: Vec<_> = expected.into_iter().map(|code| (last, code)).collect();
        check(&gate, &expected);
    }
}

#[test]
fn a_brief_that_the_desk_did_not_give_is_found() {
    let gate = opened_with(|opened| opened.brief_serial += 1);
    check(&gate, &[(2, "brief-unknown")]);
}

#[test]
fn empty_pails_are_those_taken_less_those_filled() {
    let honest = counted(|_| ())
        .handset
        .entries
        .last()
        .unwrap()
        .body()
        .clone();
    let EntryBody::DayClosed(honest) = honest else {
        panic!("the day was closed");
    };
    for empty in [honest.empty_pails + 1, honest.empty_pails + 20] {
        let gate = counted(|closed| closed.empty_pails = empty);
        check(&gate, &[(20, "empty-pails-differ")]);
    }
    // Some may be with members whose honey was held; no more than those.
    let gate = counted(|closed| closed.empty_pails = 0);
    check(&gate, &[(20, "empty-pails-differ")]);
}

/// A delivery in a pail of its own, under a seal.
fn sealed(n: u64, pail: &str, seal: &str) -> Issue {
    let mut issue = issue(n, "M003", good_comb(101));
    let weighed = issue.delivery.pails[0].clone();
    issue.delivery.pails = vec![PailV1 {
        number: code(pail),
        seal: Some(code(seal)),
        ..weighed
    }];
    issue
}

#[test]
fn one_seal_closes_one_pail() {
    for (pail, seal, expected) in [
        ("B2", "S2", &[][..]),
        ("B2", "S1", &[(4, "seal-twice")]),
        // The same pail again, as on a paper that replaces another.
        ("B1", "S1", &[]),
    ] {
        let mut gate = Gate::opened();
        gate.buy("07:42", sealed(1, "B1", "S1"), Paid::Cash);
        gate.buy("07:52", sealed(2, pail, seal), Paid::Part(0));
        check(&gate, expected);
    }
}

/// One container holds one lot of honey at a time; what frees it is on paper, but for its emptying.
#[test]
fn a_pail_on_a_receipt_that_stands_is_not_free() {
    let with = |gate: &Gate, pail: &str| {
        let open = gate.handset.standing.open.as_ref().unwrap();
        open.receipt_with(&code(pail)).cloned()
    };
    let mut gate = Gate::opened();
    assert_eq!(with(&gate, "B1"), None);
    let first = gate.buy("07:42", sealed(1, "B1", "S1"), Paid::Cash);
    assert_eq!(with(&gate, "B1"), Some(first.clone()));
    assert_eq!(with(&gate, "B2"), None);
    // It is on two, and the officer may say why: one of them still stands once the other is undone.
    let second = gate.buy("07:52", sealed(2, "B1", "S1"), Paid::Cash);
    for (clock, undone, left) in [("08:02", &first, Some(&second)), ("08:12", &second, None)] {
        let undoing = cancellation(&gate.receipt(undone), "The pail was read wrongly");
        gate.write(clock, &EntryBody::Cancellation(Box::new(undoing)));
        assert_eq!(with(&gate, "B1").as_ref(), left);
    }
    // A day begins with no pail filled: those of the day before are at the store.
    gate.buy("08:22", sealed(3, "B1", "S1"), Paid::Cash);
    gate.close("16:24");
    gate.open();
    assert_eq!(with(&gate, "B1"), None);
}

/// Held honey may be bought out of the same pail, and refused honey goes home in it.
#[test]
fn a_pail_on_a_slip_may_come_again() {
    let mut gate = Gate::opened();
    for (n, (brought, keeper)) in [
        (wet_run(101), Keeper::Cooperative),
        (wet_run(102), Keeper::Member),
        (fermenting_run(), Keeper::Member),
    ]
    .into_iter()
    .enumerate()
    {
        let mut issue = issue(u64::try_from(n).unwrap(), "M003", brought);
        issue.pails_with = keeper;
        let pail = issue.delivery.pails[0].number.clone();
        gate.buy(&format!("07:{n}2"), issue, Paid::Part(0));
        let open = gate.handset.standing.open.as_ref().unwrap();
        assert!(open.receipts.is_empty(), "the honey is not bought");
        assert_eq!(open.receipt_with(&pail), None);
    }
}

#[test]
fn no_more_seals_are_put_on_than_were_taken() {
    for (taken, expected) in [(2, &[][..]), (1, &[(5, "seals-differ")])] {
        let mut gate = opened_with(|opened| opened.seals = taken);
        gate.buy("07:42", sealed(1, "B1", "S1"), Paid::Cash);
        gate.buy("07:52", sealed(2, "B2", "S2"), Paid::Part(0));
        check(&common::closed(&gate), expected);
    }
}

/// A desk that has other briefs on its books for this handset, and one that has none at all.
#[test]
fn the_float_is_that_of_the_brief_which_opened_the_day() {
    let gate = Gate::opened();
    let mut ledger = Ledger::of(&gate.brief);
    ledger.floats.insert(gate.brief.payload().serial + 1, 1);
    assert_eq!(findings_by(&gate, ledger.clone()), []);
    ledger.floats.clear();
    assert_eq!(findings_by(&gate, ledger), []);
}
