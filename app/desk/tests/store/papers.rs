//! Receipts, slips and findings.

use super::{Open, day, handset};
use crate::common::handset::code;
use combgate_core::clerk::FindingWeight;
use combgate_core::intake::Decision;
use combgate_core::record::ReceiptNumber;
use combgate_desk::store::{FindingRow, Paper, PaperKind, Store};
use std::path::Path;
use uuid::Uuid;

pub(crate) fn paper(handset: &str, seq: u64, number: &str) -> Paper {
    Paper {
        handset: code(handset),
        seq,
        kind: PaperKind::Receipt,
        number: ReceiptNumber::try_from(number.to_owned()).unwrap(),
        delivery: Uuid::from_u128(u128::from(seq)),
        day: day(9),
        member: code("M001"),
        decision: Decision::Buy,
        grade: Some(code("A")),
        net_g: 17_500,
        payable_minor: 727_500,
        paid_minor: 500_000,
        reversed_minor: 0,
        repaid_minor: 100,
        pails: 1,
        cancelled_by: None,
        late_from: None,
    }
}

pub(crate) fn papers_are_found_by_number_delivery_and_day<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    store.add_handset(&handset("K2", 2)).unwrap();
    let mut first = paper("K1", 3, "K1-26-00001");
    let twice = paper("K1", 4, "K1-26-00001");
    let slip = Paper {
        kind: PaperKind::Slip,
        decision: Decision::Hold,
        grade: None,
        day: day(10),
        ..paper("K1", 5, "K1-26-00002")
    };
    let other = paper("K2", 6, "K1-26-00001");
    for paper in [&first, &twice, &slip, &other] {
        store.keep_paper(paper).unwrap();
    }
    let receipt = |number: &Paper, of: &str| store.receipt(&number.number, &code(of)).unwrap();
    assert_eq!(
        receipt(&first, "K1"),
        Some(first.clone()),
        "the first of a number"
    );
    assert_eq!(receipt(&first, "K2"), Some(other.clone()));
    assert_eq!(receipt(&slip, "K1"), None, "a slip is no receipt");
    let numbered = |paper: &Paper| store.numbered(&paper.number).unwrap();
    assert_eq!(
        numbered(&other),
        Some(first.clone()),
        "of whose number it is"
    );
    assert_eq!(numbered(&slip), Some(slip.clone()));
    assert_eq!(numbered(&paper("K1", 9, "K1-26-00009")), None);
    assert_eq!(
        store.issued(slip.delivery).unwrap(),
        Some(slip.number.clone())
    );
    assert_eq!(store.issued(Uuid::from_u128(99)).unwrap(), None);
    first.paid_minor = 727_500;
    first.cancelled_by = Some(8);
    store.change_paper(&first).unwrap();
    let all = [first, twice, other];
    assert_eq!(store.papers_on(day(9)).unwrap(), all);
    let part = |part| store.papers_part(day(9), part).unwrap();
    assert_eq!(part(0..2), all[..2]);
    assert_eq!(part(2..4), all[2..]);
    assert_eq!(part(3..5), []);
    assert_eq!(store.papers_on(day(10)).unwrap(), [slip]);
    assert_eq!(store.papers_on(day(11)).unwrap(), []);
}

pub(crate) fn findings_are_kept_once_in_order<S: Store>(open: Open<S>, folder: &Path) {
    let store = open(folder);
    store.add_handset(&handset("K1", 1)).unwrap();
    let finding = |seq, weight, code: &str| FindingRow {
        seq,
        code: code.to_owned(),
        weight,
        number: (seq == 3).then(|| ReceiptNumber::try_from("K1-26-00001".to_owned()).unwrap()),
        sentence: format!("{code} is so"),
    };
    let later = finding(3, FindingWeight::Serious, "b");
    let early = finding(2, FindingWeight::Note, "c");
    let middle = finding(3, FindingWeight::Question, "a");
    for finding in [&later, &early, &middle] {
        assert!(store.keep_finding(&code("K1"), finding).unwrap());
        assert!(!store.keep_finding(&code("K1"), finding).unwrap());
    }
    let found = |seqs| store.findings(&code("K1"), seqs).unwrap();
    assert_eq!(found(0..=9), [early, middle.clone(), later.clone()]);
    assert_eq!(found(3..=3), [middle, later]);
    assert_eq!(found(4..=u64::MAX), []);
}
