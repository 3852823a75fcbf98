//! How papers, pails and what is owed stand.

use super::papers::paper;
use super::payments::{act, on_list, reversed, settled};
use super::{Open, at, day, handset};
use crate::common::handset::{code, unsealed_pail};
use combgate_core::clerk::{FindingWeight, PailStands};
use combgate_core::intake::Decision;
use combgate_core::record::Means;
use combgate_desk::store::{FindingRow, Kept, PailPlace, Paper, PaperKind, ReceivingRow, Store};
use std::path::Path;

fn finding(seq: u64, code: &str, weight: FindingWeight, of: Option<&Paper>) -> FindingRow {
    FindingRow {
        seq,
        code: code.to_owned(),
        weight,
        number: of.map(|paper| paper.number.clone()),
        sentence: format!("{code} is so"),
    }
}

pub(crate) fn papers_of_some_days_stand_in_order<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let on = |of: &str, seq, on| Paper {
        day: day(on),
        ..paper(of, seq, &format!("{of}-26-0000{seq}"))
    };
    let in_order = [
        on("K1", 3, 9),
        on("K2", 2, 9),
        on("K1", 4, 10),
        on("K1", 6, 10),
        on("K2", 5, 12),
    ];
    for place in [4, 0, 3, 1, 2] {
        store.keep_paper(&in_order[place]).unwrap();
    }
    let between = |first, last| store.papers_between(day(first)..=day(last)).unwrap();
    assert_eq!(between(1, 30), in_order);
    assert_eq!(between(10, 11), in_order[2..4]);
    assert_eq!(between(11, 11), []);
}

pub(crate) fn what_is_owed_to_a_member_adds_up<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let owed = paper("K1", 3, "K1-26-00003");
    let paid = Paper {
        paid_minor: owed.payable_minor,
        ..paper("K1", 4, "K1-26-00004")
    };
    let cancelled = Paper {
        cancelled_by: Some(9),
        ..paper("K1", 5, "K1-26-00005")
    };
    let slip = Paper {
        kind: PaperKind::Slip,
        decision: Decision::Hold,
        ..paper("K1", 6, "K1-26-00006")
    };
    let another = Paper {
        member: code("M002"),
        ..paper("K1", 7, "K1-26-00007")
    };
    let second = Paper {
        paid_minor: 0,
        repaid_minor: 0,
        ..paper("K1", 8, "K1-26-00008")
    };
    for paper in [&owed, &paid, &cancelled, &slip, &another, &second] {
        store.keep_paper(paper).unwrap();
    }
    let sum = |of: &str| store.owed_to(&code(of)).unwrap();
    let owed_minor = owed.facts().owed_minor();
    assert!(owed_minor > 0);
    assert_eq!(sum("M001"), owed_minor + second.payable_minor);
    assert_eq!(sum("M002"), another.facts().owed_minor());
    assert_eq!(sum("M003"), 0);
}

pub(crate) fn what_is_serious_about_a_paper_or_a_day_is_found<S: Store>(
    open: Open<S>,
    folder: &Path,
) {
    use FindingWeight::{Question, Serious};
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let k1 = code("K1");
    let [first, second] = [3, 4].map(|seq| paper("K1", seq, &format!("K1-26-0000{seq}")));
    for paper in [&first, &second] {
        store.keep_paper(paper).unwrap();
    }
    let own = finding(3, "a", Serious, Some(&first));
    let asked = finding(3, "b", Question, Some(&first));
    let elsewhere = finding(9, "c", Serious, Some(&first));
    let of_second = finding(4, "d", Serious, Some(&second));
    for finding in [&elsewhere, &own, &asked, &of_second] {
        store.keep_finding(&k1, finding).unwrap();
    }
    store
        .keep_finding(&code("K2"), &finding(3, "e", Serious, Some(&first)))
        .unwrap();
    assert_eq!(store.serious(&first).unwrap(), [own, elsewhere]);
    assert_eq!(store.serious(&second).unwrap(), [of_second]);

    // By day: only entries that are booked and count on one.
    let opening = super::reading::opening();
    let on = super::reading::day_of(&opening).unwrap();
    let of_opening = finding(opening.seq(), "f", Serious, None);
    store.keep_finding(&k1, &of_opening).unwrap();
    assert_eq!(store.findings_on(on).unwrap(), []);
    store.keep_entry(&k1, &opening, Kept::Apart).unwrap();
    assert_eq!(store.findings_on(on).unwrap(), []);
    store
        .book_entry(&k1, opening.seq(), &opening.hash())
        .unwrap();
    let question = finding(opening.seq(), "g", Question, None);
    store.keep_finding(&k1, &question).unwrap();
    assert_eq!(
        store.findings_on(on).unwrap(),
        [(k1.clone(), of_opening), (k1.clone(), question)]
    );
    assert_eq!(store.serious_on(on..=on).unwrap(), 1);
    let next = on.succ_opt().unwrap();
    assert_eq!(store.findings_on(next).unwrap(), []);
    assert_eq!(store.serious_on(next..=next).unwrap(), 0);
    // What is found once it is booked, and what counts on another day.
    let later = finding(opening.seq(), "h", Serious, None);
    store.keep_finding(&k1, &later).unwrap();
    assert_eq!(store.serious_on(on..=on).unwrap(), 2);
    store.count_late(&k1, opening.seq(), next).unwrap();
    assert_eq!(store.serious_on(on..=on).unwrap(), 0);
    assert_eq!(store.serious_on(next..=next).unwrap(), 2);
}

pub(crate) fn a_list_stands_at_what_is_not_reversed<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    for seq in 3..6 {
        let paper = paper("K1", seq, &format!("K1-26-0000{seq}"));
        store.keep_paper(&paper).unwrap();
    }
    let list = store.begin_list(Means::MobileMoney, &act("Asha")).unwrap();
    assert_eq!(store.list_stands(list).unwrap(), (0, 0));
    let each = on_list(list, 3).minor;
    let payments: Vec<i64> = (3..6)
        .map(|seq| store.add_payment(&on_list(list, seq)).unwrap())
        .collect();
    assert_eq!(store.list_stands(list).unwrap(), (3 * each, 3));
    store.approve_list(list, &act("Juma")).unwrap();
    assert!(store.settle_payment(payments[0], &settled()).unwrap());
    assert_eq!(store.list_stands(list).unwrap(), (3 * each, 2));
    assert!(store.reverse_payment(payments[0], &reversed()).unwrap());
    assert_eq!(store.list_stands(list).unwrap(), (2 * each, 2));
    assert_eq!(store.list_stands(list + 1).unwrap(), (0, 0));
}

pub(crate) fn pails_of_an_officers_day_stand_as_they_came<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    for (name, scalar) in [("K1", 1), ("K2", 2)] {
        store.add_handset(&handset(name, scalar)).unwrap();
    }
    let held = Paper {
        kind: PaperKind::Slip,
        decision: Decision::Hold,
        ..paper("K1", 4, "K1-26-00004")
    };
    let cancelled = Paper {
        cancelled_by: Some(9),
        ..paper("K1", 5, "K1-26-00005")
    };
    let papers = [
        (paper("K1", 3, "K1-26-00003"), vec!["P-1", "P-2"]),
        (held, vec!["P-3"]),
        (cancelled, vec!["P-4"]),
        (paper("K2", 3, "K2-26-00003"), vec!["P-5"]),
    ];
    for (paper, pails) in &papers {
        store.keep_paper(paper).unwrap();
        let pails: Vec<_> = pails.iter().map(|pail| code(pail)).collect();
        let pails: Vec<_> = pails.iter().collect();
        let on_the_way = paper.cancelled_by.is_none().then_some(paper.day);
        store
            .keep_pails(&paper.handset, paper.seq, on_the_way, &pails)
            .unwrap();
    }
    store
        .keep_receiving(&ReceivingRow {
            id: 0,
            pail: code("P-2"),
            paper: Some(PailPlace {
                handset: code("K1"),
                seq: 3,
                place: 2,
            }),
            day: day(10),
            found: unsealed_pail("baraka"),
            at: at(30),
            set_aside: None,
        })
        .unwrap();
    let stands = |held, cancelled, received| PailStands {
        held,
        cancelled,
        received,
    };
    let found = store.pails_stand(&code("K1"), day(9)).unwrap();
    let expected = [
        (stands(false, false, false), 1),
        (stands(false, false, true), 1),
        (stands(true, false, false), 1),
        (stands(false, true, false), 1),
    ];
    assert_eq!(found.len(), expected.len(), "{found:?}");
    assert!(
        expected.iter().all(|each| found.contains(each)),
        "{found:?}"
    );
    assert_eq!(store.pails_stand(&code("K1"), day(10)).unwrap(), []);
    let on_the_way = |of: &str| -> Vec<String> {
        let pails = store.on_the_way_of(&code(of), day(9)).unwrap();
        pails.iter().map(|pail| pail.number.to_string()).collect()
    };
    assert_eq!(on_the_way("K1"), ["P-1", "P-3"]);
    assert_eq!(on_the_way("K2"), ["P-5"]);
}
