//! What must hold after every season, whatever happened in it.

use crate::common::books::{get_back_is_kept, sums_are_kept};
use crate::common::desk::back_two_steps;
use crate::common::handset::code;
use crate::model::{Bought, Fact, IN_DEBT, Stands, Sums};
use crate::play::{Season, State, date};
use crate::world::HANDSETS;
use chrono::NaiveDate;
use combgate_core::clerk::Due;
use combgate_desk::closing::sums;
use combgate_desk::findings::of_handset;
use combgate_desk::keys::DeskCheck;
use combgate_desk::payments::due_receipts;
use combgate_desk::statement::statement;
use combgate_desk::store::{Closing, Depot, Journals, Office, PaperKind, Papers, SqliteStore};
use std::collections::{BTreeMap, BTreeSet};

/// Days that a season can have entries or payments on, and some to spare.
fn days() -> impl Iterator<Item = NaiveDate> {
    (0..12).map(date)
}

fn all_days() -> std::ops::RangeInclusive<NaiveDate> {
    date(0)..=date(11)
}

impl Season {
    /// Holds the books to the model.
    pub fn check(&mut self) {
        self.entries();
        self.papers();
        self.sums();
        self.accounts();
        self.pails();
        self.findings();
        self.again();
        self.an_older_ledger();
    }

    /// Every entry is booked, waits, or is evidence; none twice, none lost.
    fn entries(&self) {
        for (who, journal) in self.model.journals.iter().enumerate() {
            let name = code(HANDSETS[who]);
            let written = &self.officers[who].handset.entries;
            let compact = |seq: u64| written[usize::try_from(seq).unwrap() - 1].compact();
            let booked = u64::try_from(journal.booked()).unwrap();
            let handset = self.store.handset(&name).unwrap().unwrap();
            assert_eq!(handset.head.seq, booked, "{name}");
            for seq in 1..=booked {
                let kept = self.store.booked(&name, seq).unwrap();
                assert_eq!(kept.as_deref(), Some(compact(seq)));
            }
            let apart = self.store.apart(&name, 0..=u64::MAX).unwrap();
            let waiting = journal.came.range(booked + 1..).map(|seq| compact(*seq));
            assert!(apart.iter().map(String::as_str).eq(waiting), "{name}");
            let evidence = self.store.evidence(&name).unwrap().into_iter();
            let evidence: BTreeSet<Vec<u8>> = evidence.map(|each| each.bytes).collect();
            assert_eq!(evidence, journal.altered, "{name}");
        }
    }

    /// Every receipt and every slip stands in the books once, with the figures of the farmer's
    /// paper and all that was paid on it; and what is left of the advance.
    fn papers(&self) {
        let papers = self.store.papers_between(all_days()).unwrap();
        let (receipts, slips): (Vec<_>, Vec<_>) = papers
            .into_iter()
            .partition(|paper| paper.kind == PaperKind::Receipt);
        let count = receipts.len();
        let receipts: BTreeMap<String, Stands> = receipts
            .into_iter()
            .map(|paper| {
                let stands = Stands {
                    net: paper.net_g,
                    payable: paper.payable_minor,
                    paid: paper.paid_minor,
                    cancelled: paper.cancelled_by.is_some(),
                };
                (paper.number.to_string(), stands)
            })
            .collect();
        assert_eq!(receipts.len(), count, "a number twice");
        assert_eq!(receipts, self.model.papers());
        let count = slips.len();
        let slips = slips.into_iter().map(|paper| paper.number.to_string());
        let slips: BTreeSet<String> = slips.collect();
        assert_eq!(slips.len(), count, "a number twice");
        assert_eq!(slips, self.model.slips());
        let members = self.store.members().unwrap();
        let debtor = members
            .iter()
            .find(|each| each.number.as_str() == IN_DEBT.0);
        let outstanding = debtor.unwrap().advance.as_ref();
        let outstanding = outstanding.map_or(0, |advance| advance.outstanding_minor);
        assert_eq!(outstanding, self.model.outstanding());
    }

    /// Kilograms and shillings of all days together; and a closed day stays what it was.
    fn sums(&self) {
        let mut all = Sums::default();
        for day in days() {
            sums_are_kept(&self.store, day);
            let day = sums(&self.store, day).unwrap();
            all.receipts += i64::try_from(day.receipts).unwrap();
            all.slips += i64::try_from(day.slips).unwrap();
            all.cancellations += i64::try_from(day.cancellations).unwrap();
            all.net += day.net_g;
            all.payable += day.payable_minor;
            all.paid += day.paid_minor;
            all.desk += day.desk_minor;
        }
        assert_eq!(all, self.model.sums());
        get_back_is_kept(&self.store);
        for closed in self.store.closed_days().unwrap() {
            let now = sums(&self.store, closed.day).unwrap();
            assert_eq!(now, closed.sums, "{} was closed", closed.day);
        }
    }

    /// All members' accounts together are all days together.
    fn accounts(&self) {
        let (mut net, mut payable, mut paid) = (0, 0, 0);
        for member in self.store.members().unwrap() {
            let account = statement(
                &self.store,
                &member.number,
                Some(date(0)),
                Some(date(11)),
                date(11),
            );
            let total = account.unwrap().statement.total;
            net += total.net_g;
            payable += total.payable_minor;
            paid += total.paid_minor;
        }
        let sums = self.model.sums();
        let of_days = (sums.net, sums.payable, sums.paid + sums.desk);
        // Who was registered in an entry that is not booked is on no register yet.
        if self
            .model
            .journals
            .iter()
            .all(|each| each.booked() == each.came.len())
        {
            assert_eq!((net, payable, paid), of_days);
        }
    }

    /// Every pail of a receipt is on its way, at the store, or went back; what the store weighed is
    /// all there.
    fn pails(&self) {
        let rows = self.store.pails_on(all_days()).unwrap();
        let mut on_the_way = rows.clone();
        on_the_way.retain(|row| !row.cancelled && row.received.is_none());
        let kept = self.store.on_the_way(all_days(), 0..usize::MAX).unwrap();
        assert_eq!(kept, on_the_way, "what is on its way");
        let expected = self.model.pails();
        assert_eq!(rows.len(), expected.len(), "a pail twice or lost");
        let mut matched = BTreeSet::new();
        for row in rows {
            let pail = row.number.as_str();
            let (_, cancelled) = expected[pail];
            assert_eq!(row.cancelled, cancelled, "{pail}");
            let at_store = self.model.at_store.contains_key(pail);
            assert_eq!(row.received.is_some(), at_store, "{pail}");
            if at_store {
                matched.insert(pail.to_owned());
            }
        }
        let weighed = self.store.receivings_on(all_days(), u64::MAX).unwrap();
        let standing = weighed.iter().filter(|row| row.set_aside.is_none());
        let standing: Vec<(String, i64)> = standing
            .map(|row| (row.pail.to_string(), row.found.gross.get()))
            .collect();
        let count = standing.len();
        let standing: BTreeMap<String, i64> = standing.into_iter().collect();
        assert_eq!(standing.len(), count, "a pail weighed twice");
        assert_eq!(standing, self.model.at_store);
        let unmatched = self.store.unmatched().unwrap().into_iter();
        let unmatched: BTreeSet<String> = unmatched.map(|row| row.pail.to_string()).collect();
        let expected = self.model.at_store.keys();
        let expected: BTreeSet<String> = expected
            .filter(|pail| !matched.contains(*pail))
            .cloned()
            .collect();
        assert_eq!(unmatched, expected);
    }

    /// What is found has a cause in what happened; what a thief wrote is found, and not to be paid.
    fn findings(&self) {
        for (who, journal) in self.model.journals.iter().enumerate() {
            let handset = self.store.handset(&code(HANDSETS[who])).unwrap().unwrap();
            let found = of_handset(&self.store, &DeskCheck, &handset).unwrap();
            let mut disbelieved = BTreeSet::new();
            for each in found {
                let finding = each.finding;
                match finding.code.as_str() {
                    "after-revocation" => {
                        disbelieved.insert(finding.seq);
                    }
                    // The clock was set, an old brief was used, a day was left open.
                    "clock-jumped" | "clock-back" | "price-list-superseded" | "day-not-closed" => {}
                    // The desk had paid what the officer, who could not know, paid as well.
                    "paid-too-much" => assert!(!self.lists.is_empty()),
                    "booked-late" => assert!(self.closed_to.is_some()),
                    "entry-refused" => assert!(!journal.altered.is_empty()),
                    "gap" => assert!(journal.came.len() > journal.booked()),
                    _ => panic!("nothing that happened explains {finding:?}"),
                }
            }
            let booked = u64::try_from(journal.booked()).unwrap();
            let from = journal.disbelieved_from.unwrap_or(u64::MAX);
            assert!(
                disbelieved.into_iter().eq(from..=booked),
                "{}",
                handset.code
            );
            assert_eq!(
                journal.disbelieved_from.is_some(),
                self.officers[who].state == State::Lost
            );
        }
        for receipt in due_receipts(&self.store).unwrap() {
            let who = HANDSETS
                .iter()
                .position(|each| *each == receipt.paper.handset.as_str());
            let from = self.model.journals[who.unwrap()].disbelieved_from;
            if from.is_some_and(|from| receipt.paper.seq >= from) {
                let paid = matches!(receipt.due, Due::Pay(_));
                assert!(!paid, "{} is a thief's", receipt.paper.number);
            }
        }
    }

    /// The same again changes nothing.
    fn again(&mut self) {
        let before = self.model.sums();
        for who in 0..self.officers.len() {
            let journal = &self.model.journals[who];
            if journal.booked() == self.officers[who].handset.entries.len() {
                let letter = self.whole_journal(who);
                assert!(self.import(&letter).unwrap().nothing_new);
            }
        }
        assert_eq!(self.model.sums(), before);
        self.sums();
        self.papers();
    }
}

impl Season {
    /// What the program before kept of the season gives the same sums.
    fn an_older_ledger(&mut self) {
        let path = self.folder.path().join("ledger.sqlite");
        back_two_steps(&rusqlite::Connection::open(&path).unwrap());
        self.store = SqliteStore::open(&path).unwrap();
        self.sums();
    }
}

/// A check that cannot fail proves nothing: a gram, a shilling, a pail or an entry that is not
/// accounted for is seen.
#[test]
fn what_is_not_accounted_for_is_seen() {
    let fails = |change: fn(&mut Season)| {
        let mut season = Season::play(1);
        season.check();
        change(&mut season);
        std::panic::catch_unwind(std::panic::AssertUnwindSafe(move || season.check())).is_err()
    };
    assert!(fails(|season| a_receipt(season).net += 10));
    assert!(fails(|season| a_receipt(season).paid += 500));
    assert!(fails(|season| {
        season.model.at_store.insert("P-9".to_owned(), 10_000);
    }));
    assert!(fails(|season| {
        let journal = &mut season.model.journals[0];
        let last = u64::try_from(journal.booked()).unwrap();
        journal.came.remove(&last);
    }));
    // What is kept of an officer's day, and which payments are to be asked back.
    assert!(fails(|season| {
        tamper(season, "UPDATE officer_day SET paid_minor = paid_minor + 1");
    }));
    assert!(fails(|season| {
        tamper(
            season,
            "UPDATE officer_day SET expected_full = expected_full + 1",
        );
    }));
    assert!(fails(|season| {
        tamper(season, "UPDATE payment SET get_back = 1 - get_back");
    }));
}

/// Changes something kept behind the program's back.
fn tamper(season: &Season, change: &str) {
    let path = season.folder.path().join("ledger.sqlite");
    let ledger = rusqlite::Connection::open(path).unwrap();
    assert!(ledger.execute(change, []).unwrap() > 0, "{change}");
}

fn a_receipt(season: &mut Season) -> &mut Bought {
    let journals = season.model.journals.iter_mut();
    let mut receipts = journals.flat_map(|journal| {
        let booked = journal.booked();
        journal.facts[..booked]
            .iter_mut()
            .filter_map(|fact| match fact {
                Fact::Bought(bought) => Some(bought),
                _ => None,
            })
    });
    receipts.next().unwrap()
}
