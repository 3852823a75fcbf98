//! Closed days and cash.

use super::papers::paper;
use super::{Open, at, day, handset};
use crate::common::handset::{code, label, unsealed_pail};
use combgate_core::clerk::ClosedTo;
use combgate_core::record::Means;
use combgate_desk::store::{
    Act, CashGiven, ClosedDay, DaySums, PaymentRow, ReceivingRow, Reversed, Settled, Store,
    StoreError,
};
use std::path::Path;

fn act() -> Act {
    Act {
        by: label("Asha"),
        at: at(5),
    }
}

fn closed(on: u32, net_g: i64) -> ClosedDay {
    ClosedDay {
        day: day(on),
        closed: act(),
        sums: DaySums {
            receipts: 3,
            slips: 1,
            cancellations: 1,
            net_g,
            payable_minor: 7,
            paid_minor: -5,
            desk_minor: 2,
        },
    }
}

pub(crate) fn a_closed_day_is_closed<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    assert_eq!(store.closed_to().unwrap(), ClosedTo::default());
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    let list = store.begin_list(Means::Cash, &act()).unwrap();
    let approved = Act {
        by: label("Juma"),
        at: at(6),
    };
    store.approve_list(list, &approved).unwrap();
    let payment = PaymentRow {
        id: 0,
        list,
        handset: code("K1"),
        seq: 3,
        receipt: paper("K1", 3, "K1-26-00003").number,
        member: code("M001"),
        minor: 100,
        despite: None,
        settled: None,
        reversed: None,
    };
    let payment = store.add_payment(&payment).unwrap();
    store.close_day(&closed(9, -5)).unwrap();
    store.close_day(&closed(10, 400)).unwrap();
    assert!(store.close_day(&closed(10, 500)).is_err());
    drop(store);
    let store = open(folder);
    assert_eq!(store.closed_to().unwrap(), ClosedTo::new(Some(day(10))));
    assert_eq!(
        store.closed_days().unwrap(),
        [closed(10, 400), closed(9, -5)]
    );
    // Neither money nor pails are booked on it.
    let settled = |on| Settled {
        day: day(on),
        act: act(),
        reference: None,
    };
    let refused = |error: StoreError| matches!(error, StoreError::DayClosed(_));
    assert!(refused(
        store.settle_payment(payment, &settled(10)).unwrap_err()
    ));
    assert!(store.settle_payment(payment, &settled(11)).unwrap());
    let reversed = |on| Reversed {
        day: day(on),
        act: act(),
        because: label("sent back"),
    };
    assert!(refused(
        store.reverse_payment(payment, &reversed(8)).unwrap_err()
    ));
    assert!(store.reverse_payment(payment, &reversed(11)).unwrap());
    let weighed = |on| ReceivingRow {
        id: 0,
        pail: code("P-1"),
        paper: None,
        day: day(on),
        found: unsealed_pail("Juma"),
        at: at(7),
        set_aside: None,
    };
    assert!(refused(store.keep_receiving(&weighed(10)).unwrap_err()));
    store.keep_receiving(&weighed(11)).unwrap();
}

pub(crate) fn what_comes_late_counts_on_another_day<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.keep_paper(&paper("K1", 3, "K1-26-00003")).unwrap();
    store.keep_paper(&paper("K1", 4, "K1-26-00004")).unwrap();
    store.count_late(&code("K1"), 3, day(12)).unwrap();
    // A second time changes nothing: its own day is not forgotten.
    store.count_late(&code("K1"), 3, day(13)).unwrap();
    let late = store.papers_on(day(12)).unwrap();
    assert_eq!(late.len(), 1);
    assert_eq!((late[0].seq, late[0].late_from), (3, Some(day(9))));
    assert_eq!(store.papers_on(day(9)).unwrap().len(), 1);
    let cash = |minor| CashGiven {
        handset: code("K1"),
        day: day(9),
        minor,
        note: Some(label("for the second village")),
        by: label("Asha"),
        at: at(8),
    };
    store.give_cash(&cash(500_000)).unwrap();
    store.give_cash(&cash(-20_000)).unwrap();
    assert!(store.give_cash(&cash(0)).is_err());
    let given = store.cash_given(&code("K1"), day(9)).unwrap();
    assert_eq!(given, [cash(500_000), cash(-20_000)]);
    assert!(store.cash_given(&code("K1"), day(10)).unwrap().is_empty());
}
