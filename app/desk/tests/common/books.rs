//! The books as one value, to be compared.

use chrono::NaiveDate;
use combgate_core::clerk::{DayBook, ReviewState, Statement};
use combgate_core::intake::Decision;
use combgate_core::record::{DayTotalV1, EntryBody, MemberV1, ParsedEntry};
use combgate_desk::statement::statement;
use combgate_desk::store::{
    DayStands, Depot, FindingRow, Journals, Office, PailRow, Paper, Papers, SqliteStore, Sums,
};
use std::collections::BTreeSet;

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
    let mut stands = DayStands::default();
    for paper in store.papers_on(day).unwrap() {
        if paper.decision == Decision::Buy && paper.cancelled_by.is_none() {
            stands.net_g += paper.net_g;
            stands.payable_minor += paper.payable_minor;
            stands.owed_minor += paper.facts().owed_minor();
        }
    }
    assert_eq!(store.day_stands(day).unwrap(), stands, "{day}");
}
