//! What the desk pays.

use super::papers::paper;
use super::{Open, at, day, handset};
use crate::common::handset::{code, label};
use combgate_core::record::Means;
use combgate_desk::store::{Act, PaymentRow, Reversed, Settled, Store};
use std::path::Path;

pub(crate) fn act(by: &str) -> Act {
    Act {
        by: label(by),
        at: at(5),
    }
}

pub(crate) fn on_list(list: i64, seq: u64) -> PaymentRow {
    PaymentRow {
        id: 0,
        list,
        handset: code("K1"),
        seq,
        receipt: paper("K1", seq, &format!("K1-26-0000{seq}")).number,
        member: code("M001"),
        minor: 227_500,
        despite: None,
        settled: None,
        reversed: None,
    }
}

pub(crate) fn settled() -> Settled {
    Settled {
        day: day(11),
        act: act("Baraka"),
        reference: Some(code("QX-1")),
    }
}

pub(crate) fn reversed() -> Reversed {
    Reversed {
        day: day(12),
        act: act("Chane"),
        because: label("The number was another's"),
    }
}

pub(crate) fn a_receipt_stands_on_one_list<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    store.keep_paper(&paper("K1", 4, "K1-26-00004")).unwrap();
    let list = store.begin_list(Means::MobileMoney, &act("Asha")).unwrap();
    let other = store.begin_list(Means::Cash, &act("Asha")).unwrap();
    let first = store.add_payment(&on_list(list, 3)).unwrap();
    store.add_payment(&on_list(list, 4)).unwrap();
    assert!(store.add_payment(&on_list(list, 3)).is_err());
    assert!(store.add_payment(&on_list(other, 3)).is_err());
    let nothing = PaymentRow {
        minor: 0,
        ..on_list(other, 3)
    };
    assert!(store.add_payment(&nothing).is_err());
    // Settled or not, a receipt is not paid a second time; reversed, it is.
    assert!(store.approve_list(list, &act("Juma")).unwrap());
    assert!(store.settle_payment(first, &settled()).unwrap());
    assert!(store.add_payment(&on_list(other, 3)).is_err());
    assert!(store.reverse_payment(first, &reversed()).unwrap());
    assert!(!store.reverse_payment(first, &reversed()).unwrap());
    let again = store.add_payment(&on_list(other, 3)).unwrap();
    drop(store);
    let store = open(folder);
    let on_receipt = store.payments_on_receipt(&code("K1"), 3).unwrap();
    let expected = PaymentRow {
        id: first,
        settled: Some(settled()),
        reversed: Some(reversed()),
        ..on_list(list, 3)
    };
    assert_eq!(on_receipt[0], expected);
    assert_eq!(
        on_receipt[1],
        PaymentRow {
            id: again,
            ..on_list(other, 3)
        }
    );
    assert_eq!(store.payments_in(list).unwrap().len(), 2);
    for (on, count) in [(10, 0), (11, 1), (12, 1), (13, 0)] {
        assert_eq!(store.payments_on(day(on)..=day(on)).unwrap().len(), count);
    }
    let lists = store.payment_lists(9).unwrap();
    assert_eq!(lists[1].approved, Some(act("Juma")));
    assert_eq!(lists[1].means, Means::MobileMoney);
    assert_eq!(lists[0].approved, None);
    assert_eq!(store.payment_list(list).unwrap().as_ref(), Some(&lists[1]));
}

pub(crate) fn only_what_another_person_approved_is_settled<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    let list = store.begin_list(Means::Cash, &act("Asha")).unwrap();
    let payment = store.add_payment(&on_list(list, 3)).unwrap();
    assert!(!store.settle_payment(payment, &settled()).unwrap());
    assert!(store.approve_list(list, &act("Asha")).is_err());
    assert!(store.approve_list(list, &act("Juma")).unwrap());
    assert!(!store.approve_list(list, &act("Baraka")).unwrap());
    assert!(store.settle_payment(payment, &settled()).unwrap());
    assert!(!store.settle_payment(payment, &settled()).unwrap());
}

pub(crate) fn what_is_owed_is_found_by_member_and_receipt<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let mut owed = paper("K1", 3, "K1-26-00003");
    let mut paid = paper("K1", 4, "K1-26-00004");
    paid.paid_minor = paid.payable_minor;
    let mut cancelled = paper("K1", 5, "K1-26-00005");
    cancelled.cancelled_by = Some(6);
    for paper in [&owed, &paid, &cancelled] {
        store.keep_paper(paper).unwrap();
    }
    assert_eq!(store.owing().unwrap(), [owed.clone()]);
    assert_eq!(store.papers_of(&code("M001")).unwrap().len(), 3);
    assert!(store.papers_of(&code("M002")).unwrap().is_empty());
    store.keep_field_payment(&code("K1"), 9, 3).unwrap();
    store.keep_field_payment(&code("K1"), 7, 3).unwrap();
    assert_eq!(store.field_payments(&code("K1"), 3).unwrap(), [7, 9]);
    assert!(store.keep_field_payment(&code("K1"), 8, 99).is_err());
    // What the desk paid is too much once the receipt is cancelled.
    let list = store.begin_list(Means::Cash, &act("Asha")).unwrap();
    let payment = store.add_payment(&on_list(list, 3)).unwrap();
    store.approve_list(list, &act("Juma")).unwrap();
    store.settle_payment(payment, &settled()).unwrap();
    assert!(store.payments_too_many().unwrap().is_empty());
    owed.cancelled_by = Some(8);
    store.change_paper(&owed).unwrap();
    assert_eq!(store.payments_too_many().unwrap()[0].id, payment);
    assert!(store.owing().unwrap().is_empty());
}
