//! The books as one value, to be compared.

use chrono::NaiveDate;
use combgate_core::clerk::{
    DayBook, FindingWeight, OfficerDay, ReconcileFinding, ReviewState, Statement,
};
use combgate_core::intake::Decision;
use combgate_core::record::{DayTotalV1, EntryBody, Keeper, Means, MemberV1, ParsedEntry};
use combgate_desk::reconcile::officer_days;
use combgate_desk::statement::statement;
use combgate_desk::store::{
    DayStands, Depot, FindingRow, Journals, Office, PailRow, Paper, PaperKind, Papers, Payments,
    SqliteStore, Sums,
};
use std::collections::{BTreeMap, BTreeSet};

/// All that an import may change, but not when it did.
#[derive(Debug, PartialEq)]
pub struct Books {
    pub handsets: Vec<HandsetBooks>,
    pub days: Vec<DayTotalV1>,
    pub papers: Vec<Paper>,
    pub members: Vec<MemberV1>,
    pub pails: Vec<PailRow>,
    /// Every member's whole account.
    pub accounts: Vec<Statement>,
}

#[derive(Debug, PartialEq)]
pub struct HandsetBooks {
    pub code: String,
    pub booked: Vec<String>,
    pub apart: Vec<String>,
    pub review: ReviewState,
    pub findings: Vec<FindingRow>,
    /// Number claimed, reason and bytes.
    pub evidence: Vec<(Option<u64>, String, Vec<u8>)>,
}

impl Books {
    /// Reads the books.
    pub fn of(store: &SqliteStore) -> Self {
        let handsets: Vec<HandsetBooks> = store
            .handsets()
            .unwrap()
            .into_iter()
            .map(|handset| HandsetBooks {
                code: handset.code.to_string(),
                booked: (1..=handset.head.seq)
                    .map(|seq| store.booked(&handset.code, seq).unwrap().unwrap())
                    .collect(),
                apart: store.apart(&handset.code, 0..=u64::MAX).unwrap(),
                findings: store.findings(&handset.code, 0..=u64::MAX).unwrap(),
                evidence: store
                    .evidence(&handset.code)
                    .unwrap()
                    .into_iter()
                    .map(|evidence| (evidence.seq, evidence.reason, evidence.bytes))
                    .collect(),
                review: handset.review,
            })
            .collect();
        let days: BTreeSet<NaiveDate> = handsets
            .iter()
            .flat_map(|handset| &handset.booked)
            .map(|compact| ParsedEntry::parse(compact).unwrap().at().date_naive())
            .collect();
        let mut papers = Vec::new();
        let mut totals = Vec::new();
        for day in days {
            papers.extend(store.papers_on(day).unwrap());
            let mut book = DayBook::new(day);
            for (handset, entry) in store.booked_on(day).unwrap() {
                book.add(&handset, entry.body());
            }
            sums_are_kept(store, day);
            totals.push(book.total());
        }
        let members = store.members().unwrap();
        let far = |year| NaiveDate::from_ymd_opt(year, 1, 1).unwrap();
        let ends = Some(far(2000))..Some(far(2100));
        let accounts = members
            .iter()
            .map(|member| statement(store, &member.number, ends.start, ends.end, far(2026)))
            .map(|read| read.unwrap().statement)
            .collect();
        Self {
            handsets,
            days: totals,
            papers,
            members,
            pails: store.pails_on(far(2000)..=far(2100)).unwrap(),
            accounts,
        }
    }
}

/// The sums that are kept beside the entries of a day are what the entries give.
pub fn sums_are_kept(store: &SqliteStore, day: NaiveDate) {
    let mut book = DayBook::new(day);
    for (handset, entry) in store.booked_on(day).unwrap() {
        if let EntryBody::Cancellation(undone) = entry.body()
            && let Some(paper) = store.receipt(&undone.number, &handset).unwrap()
            && let Some(grade) = paper.grade
        {
            book.know(&handset, &undone.number, &grade);
        }
        book.count(&handset, entry.body());
    }
    let kept = store.day_sums(day).unwrap();
    assert_eq!(kept.rows, book.rows(), "{day}");
    assert_eq!(&kept.grades, book.grades(), "{day}");
    assert_eq!(kept.total, book.total(), "{day}");
    officers_are_kept(store, day);
    let mut stands = DayStands::default();
    for paper in store.papers_on(day).unwrap() {
        if paper.decision == Decision::Buy && paper.cancelled_by.is_none() {
            stands.net_g += paper.net_g;
            stands.payable_minor += paper.payable_minor;
            stands.owed_minor += paper.facts().owed_minor();
        }
    }
    assert_eq!(store.day_stands(day).unwrap(), stands, "{day}");
    let found = store.findings_on(day).unwrap().into_iter();
    let serious = found.filter(|(_, found)| found.weight == FindingWeight::Serious);
    let counted = usize::try_from(store.serious_on(day..=day).unwrap());
    assert_eq!(counted, Ok(serious.count()), "{day}");
}

/// Payments that are said to be asked back are those whose receipt was cancelled, or of which more
/// was paid than is payable.
pub fn get_back_is_kept(store: &SqliteStore) {
    let mut expected = Vec::new();
    for list in store.payment_lists(usize::MAX).unwrap() {
        for payment in store.payments_in(list.id).unwrap() {
            let paper = store.paper(&payment.handset, payment.seq).unwrap().unwrap();
            let too_many = paper.cancelled_by.is_some() || paper.paid_minor > paper.payable_minor;
            if payment.settled.is_some() && payment.reversed.is_none() && too_many {
                expected.push(payment);
            }
        }
    }
    expected.sort_by_key(|payment| payment.id);
    assert_eq!(store.payments_too_many().unwrap(), expected, "to get back");
}

/// An officer's day, whose cash and pails are kept, is what its entries give; told from them anew
/// and without core's own fold.
fn officers_are_kept(store: &SqliteStore, day: NaiveDate) {
    let mut expected = Vec::new();
    for (code, opening) in store.openings_of(day).unwrap() {
        let entries = store.booked_among(&code, opening.seq()..=u64::MAX).unwrap();
        let EntryBody::DayOpened(opened) = opening.body() else {
            panic!("{code} {} opens no day", opening.seq());
        };
        let (mut paid, mut returned, mut full, mut counted) = (0, 0, 0, None);
        let mut bought = BTreeMap::new();
        for entry in &entries[1..] {
            match entry.body() {
                EntryBody::DayOpened(_) => break,
                EntryBody::DayClosed(closed) => {
                    counted = Some((closed.cash_minor, u64::from(closed.full_pails), full));
                    break;
                }
                EntryBody::Receipt(receipt) => {
                    let pails = u64::try_from(receipt.delivery.pails.len()).unwrap();
                    full += pails;
                    bought.insert(receipt.number.clone(), pails);
                    if receipt.settlement.means == Some(Means::Cash) {
                        paid += receipt.settlement.paid_minor;
                    }
                }
                EntryBody::Slip(slip) if slip.pails_with == Keeper::Cooperative => {
                    full += u64::try_from(slip.delivery.pails.len()).unwrap();
                }
                EntryBody::Cancellation(undone) => {
                    full -= bought.remove(&undone.number).unwrap_or(0);
                    if undone.means == Some(Means::Cash) {
                        returned += undone.returned_minor;
                    }
                }
                EntryBody::Payment(payment) if payment.means == Means::Cash => {
                    paid += payment.paid_minor;
                }
                _ => {}
            }
        }
        let pails = store.pails_on(day..=day).unwrap();
        let own = pails.iter().filter(|pail| pail.at.handset == code);
        let count = |is: fn(&&PailRow) -> bool| u64::try_from(own.clone().filter(is).count());
        let counts = [
            count(|pail| pail.kind == PaperKind::Receipt),
            count(|pail| pail.kind == PaperKind::Slip),
            count(|pail| pail.received.is_some()),
            count(|pail| pail.cancelled && pail.received.is_none()),
            count(|pail| !pail.cancelled && pail.received.is_none()),
        ];
        let counts = counts.map(Result::unwrap);
        let came = counted.is_some() && counts[2] > 0;
        let missing = own.filter(|pail| came && !pail.cancelled && pail.received.is_none());
        let missing: Vec<String> = missing.map(|pail| pail.number.to_string()).collect();
        let cash = (opened.float_minor, paid, returned);
        expected.push((code, cash, counted, counts, missing));
    }
    let found = officer_days(store, day, None).unwrap().into_iter();
    let found: Vec<_> = found
        .map(|each| {
            let OfficerDay {
                cash,
                pails,
                findings,
                ..
            } = each.officer_day;
            let expected_full = findings.iter().find_map(|finding| match finding {
                ReconcileFinding::PailsDiffer { expected, .. } => Some(*expected),
                _ => None,
            });
            let counted = cash.counted_minor.zip(pails.counted_full);
            let counted = counted.map(|(cash, full)| (cash, full, expected_full.unwrap_or(full)));
            let missing = findings.into_iter().filter_map(|finding| match finding {
                ReconcileFinding::PailMissing { pail, .. } => Some(pail.to_string()),
                _ => None,
            });
            let cash = (cash.float_minor, cash.paid_minor, cash.returned_minor);
            let counts = [
                pails.bought,
                pails.held,
                pails.received,
                pails.given_back,
                pails.on_the_way,
            ];
            (each.handset, cash, counted, counts, missing.collect())
        })
        .collect();
    assert_eq!(found, expected, "officers of {day}");
}
