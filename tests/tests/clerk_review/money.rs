//! What the review says of money.

use super::*;

#[test]
fn paid_and_owed_make_up_the_total() {
    let settled = |change: fn(&mut ReceiptV1)| receipt(comb(), Paid::Part(300_000), change);
    check(&settled(|_| ()), &[]);
    for change in [
        (|receipt| receipt.settlement.paid_minor -= 1) as fn(&mut ReceiptV1),
        |receipt| receipt.settlement.owed_minor += 1,
        |receipt| receipt.settlement.owed_minor = Money::MAX_MINOR,
        |receipt| {
            receipt.settlement.owed_minor += receipt.settlement.paid_minor + 1;
            receipt.settlement.paid_minor = -1;
        },
        |receipt| {
            receipt.settlement.paid_minor += receipt.settlement.owed_minor + 1;
            receipt.settlement.owed_minor = -1;
        },
    ] {
        check(&settled(change), &[(3, "settlement-differs")]);
    }
}

#[test]
fn money_leaves_a_trace() {
    for change in [
        (|receipt| receipt.settlement.means = None) as fn(&mut ReceiptV1),
        |receipt| receipt.settlement.means = Some(Means::MobileMoney),
        |receipt| receipt.settlement.due = None,
    ] {
        let gate = receipt(comb(), Paid::Part(300_000), change);
        check(&gate, &[(3, "settlement-incomplete")]);
    }
}

/// A receipt, its cancellation as changed, and what is found.
fn cancelled(
    paid: Paid<'_>,
    change: impl FnOnce(&mut combgate_core::record::CancellationV1),
) -> Gate {
    let mut gate = receipt(comb(), paid, |_| ());
    let mut undone = cancellation(&receipt_of(&gate), "Wrong member");
    change(&mut undone);
    gate.write("08:00", &EntryBody::Cancellation(Box::new(undone)));
    gate
}

#[test]
fn a_cancellation_undoes_exactly_what_was_done() {
    check(&cancelled(Paid::Cash, |_| ()), &[]);
    check(&cancelled(Paid::Part(0), |_| ()), &[]);
    for change in [
        (|undone| undone.payable_minor -= 1) as fn(&mut combgate_core::record::CancellationV1),
        |undone| undone.returned_minor -= 500,
        |undone| undone.pails = 2,
        |undone| undone.net_g = Grams::new(17_400).unwrap(),
    ] {
        check(
            &cancelled(Paid::Cash, change),
            &[(4, "cancellation-differs")],
        );
    }
}

#[test]
fn a_receipt_is_cancelled_once_and_must_be_booked() {
    let mut gate = cancelled(Paid::Cash, |_| ());
    let again = gate.handset.entries[3].body().clone();
    gate.write("08:10", &again);
    check(&gate, &[(5, "already-cancelled")]);
    let unknown = cancelled(Paid::Cash, |undone| {
        undone.number = common::number("K7-26-00009");
    });
    check(&unknown, &[(4, "receipt-unknown")]);
    let others = cancelled(Paid::Cash, |undone| {
        undone.number = common::number("K8-26-00001");
    });
    check(&others, &[(4, "other-series"), (4, "receipt-unknown")]);
}

/// Honey sold on the side, its receipt cancelled: the money has to be seen coming back.
#[test]
fn money_that_is_said_to_have_come_back_is_looked_for() {
    let kept = cancelled(Paid::Cash, |undone| undone.means = None);
    check(&kept, &[(4, "settlement-incomplete")]);
    let by_telephone = cancelled(Paid::Cash, |undone| undone.means = Some(Means::MobileMoney));
    check(&by_telephone, &[(4, "return-unproven")]);
}

fn paid_later(change: impl FnOnce(&mut combgate_core::record::PaymentV1)) -> Gate {
    let mut gate = receipt(comb(), Paid::Part(300_000), |_| ());
    let receipt = receipt_of(&gate);
    let mut payment = combgate_core::record::PaymentV1 {
        number: receipt.number,
        day: day(),
        paid_minor: receipt.settlement.owed_minor,
        means: Means::Cash,
        reference: None,
    };
    change(&mut payment);
    gate.write("08:00", &EntryBody::Payment(Box::new(payment)));
    gate
}

#[test]
fn no_more_is_paid_than_is_owed() {
    check(&paid_later(|_| ()), &[]);
    check(&paid_later(|payment| payment.paid_minor -= 1), &[]);
    for amount in [427_501, Money::MAX_MINOR, 0, -100] {
        check(
            &paid_later(|payment| payment.paid_minor = amount),
            &[(4, "paid-too-much")],
        );
    }
    let mut twice = paid_later(|_| ());
    let again = twice.handset.entries[3].body().clone();
    twice.write("08:10", &again);
    check(&twice, &[(5, "paid-too-much")]);
}

#[test]
fn a_payment_is_for_a_receipt_that_stands() {
    let unknown = paid_later(|payment| payment.number = common::number("K7-26-00009"));
    check(&unknown, &[(4, "receipt-unknown")]);
    let untraced = paid_later(|payment| payment.means = Means::MobileMoney);
    check(&untraced, &[(4, "settlement-incomplete")]);
    let mut gate = cancelled(Paid::Part(300_000), |_| ());
    let payment = paid_later(|_| ()).handset.entries[3].body().clone();
    gate.write("08:10", &payment);
    check(&gate, &[(5, "already-cancelled")]);
}

#[test]
fn a_receipt_replaces_one_that_was_cancelled() {
    let replaced = |mut gate: Gate, number: &str| {
        let second = Issue {
            replaces: Some(common::number(number)),
            ..issue(2, "M003", good_comb(102))
        };
        gate.buy("08:20", second, Paid::Cash);
        gate
    };
    check(&replaced(cancelled(Paid::Cash, |_| ()), "K7-26-00001"), &[]);
    let standing = receipt(comb(), Paid::Cash, |_| ());
    check(
        &replaced(standing, "K7-26-00001"),
        &[(4, "replaced-not-cancelled")],
    );
    let unknown = receipt(comb(), Paid::Cash, |_| ());
    check(&replaced(unknown, "K7-26-00077"), &[(4, "receipt-unknown")]);
}
