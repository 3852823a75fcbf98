//! What the review says of cash and pails.

use super::*;
use combgate_core::record::DayClosedV1;

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
                expected: 3_989_500,
                counted: counted_minor
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
