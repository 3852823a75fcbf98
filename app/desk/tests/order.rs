//! The same bundles in any order, repeated, overlapping and interleaved end in the same books, and
//! those are the books of a model that knows nothing of bundles, databases or order.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use combgate_core::clerk::Sums;
use combgate_core::record::{
    DayTotalV1, Digest, EntryBody, LineCode, ParsedEntry, ReceiptNumber, totals_by_day,
};
use combgate_desk::import::import;
use combgate_desk::keys::DeskCheck;
use combgate_desk::store::{Journals, Papers, SqliteStore};
use common::books::Books;
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

const HANDSETS: [&str; 3] = ["K1", "K2", "K3"];
/// The member of the fixtures who has an advance, and how much.
const IN_DEBT: (&str, i64) = ("M002", 1_500_000);

/// A desk with three handsets enrolled and their days written, nothing imported.
struct World {
    desk: TestDesk,
    handsets: Vec<TestHandset>,
}

/// Made once for each thread of tests; a SQLite file is copied for each case.
static WORLD: LazyLock<World> = LazyLock::new(|| {
    let desk = TestDesk::with_open_prices();
    let handsets = HANDSETS
        .iter()
        .map(|name| {
            let mut handset = TestHandset::enrol(&desk, name);
            day(&mut handset);
            handset
        })
        .collect();
    World { desk, handsets }
});

/// An honest day: bought in full and in part, held, refused, an advance taken back, a member
/// registered, a receipt cancelled, the rest paid later.
fn day(handset: &mut TestHandset) {
    let (bought, held, refused) = (delivery("bought"), delivery("held"), delivery("refused"));
    handset.open();
    handset.deliver(&bought, "M001", None);
    handset.deliver(&bought, IN_DEBT.0, None);
    handset.deliver(&held, "M005", None);
    let new = handset.register("Nuru Pendo");
    handset.deliver(&delivery("stingless"), &new, None);
    handset.deliver(&bought, IN_DEBT.0, Some(100_000));
    handset.cancel_latest();
    handset.deliver(&refused, "M006", None);
    handset.deliver(&bought, "M003", Some(50_000));
    handset.pay_latest();
    handset.close();
}

/// A part of a handset's journal as a bundle, and which of its entries was altered on the way.
#[derive(Debug, Clone)]
struct Carried {
    handset: usize,
    first: u64,
    last: u64,
    altered: Option<u64>,
}

impl Carried {
    fn text(&self) -> String {
        let text = WORLD.handsets[self.handset].bundle(self.first..=self.last);
        let Some(seq) = self.altered else { return text };
        let honest = self.compact(seq);
        text.replace(honest, &altered(honest))
    }

    fn compact(&self, seq: u64) -> &'static str {
        let entries = &WORLD.handsets[self.handset].entries;
        entries[usize::try_from(seq).unwrap() - 1].compact()
    }
}

/// The same entry with another first letter of its signature.
fn altered(compact: &str) -> String {
    let (text, signature) = compact.rsplit_once('.').unwrap();
    let other = if signature.starts_with('A') { 'B' } else { 'A' };
    format!("{text}.{other}{}", &signature[1..])
}

fn carried() -> impl Strategy<Value = Carried> {
    let length = u64::try_from(WORLD.handsets[0].entries.len()).unwrap();
    (
        0..HANDSETS.len(),
        1..=length,
        1..=length,
        prop::option::weighted(0.2, 0..length),
    )
        .prop_map(|(handset, one, other, altered)| {
            let (first, last) = (one.min(other), one.max(other));
            Carried {
                handset,
                first,
                last,
                altered: altered.map(|step| first + step % (last - first + 1)),
            }
        })
}

/// Imports bundles into a fresh ledger.
fn books_after(carried: &[Carried]) -> (Books, BTreeMap<String, (i64, i64, bool)>) {
    let folder = tempfile::tempdir().unwrap();
    let ledger = folder.path().join("ledger.sqlite");
    std::fs::copy(WORLD.desk.path("desk/ledger.sqlite"), &ledger).unwrap();
    let mut store = SqliteStore::open(&ledger).unwrap();
    for each in carried {
        take(&mut store, folder.path(), each);
    }
    let receipts = receipts(&store);
    (Books::of(&store), receipts)
}

fn take(store: &mut SqliteStore, folder: &Path, carried: &Carried) {
    let path = folder.join("bundle.json");
    std::fs::write(&path, carried.text()).unwrap();
    let now = "2026-10-21T08:00:00+03:00".parse().unwrap();
    import(store, &DeskCheck, &path, now).unwrap();
}

/// Payable, paid and cancelled of every receipt of the day.
fn receipts(store: &SqliteStore) -> BTreeMap<String, (i64, i64, bool)> {
    let day = "2026-10-20".parse().unwrap();
    let papers = store.papers_on(day).unwrap().into_iter();
    let receipts = papers.filter(|paper| paper.payable_minor > 0);
    receipts
        .map(|paper| {
            let stands = (
                paper.payable_minor,
                paper.paid_minor,
                paper.cancelled_by.is_some(),
            );
            (paper.number.to_string(), stands)
        })
        .collect()
}

/// What the books must be: a journal is booked as far as it came without a gap.
#[derive(Default)]
struct Model {
    booked: Vec<&'static ParsedEntry>,
    apart: BTreeMap<usize, BTreeSet<String>>,
    evidence: BTreeMap<usize, BTreeSet<Vec<u8>>>,
}

impl Model {
    fn of(carried: &[Carried]) -> Self {
        let mut model = Self::default();
        for (handset, of) in WORLD.handsets.iter().enumerate() {
            // The card came when the handset was enrolled.
            let mut came = BTreeSet::from([1]);
            for each in carried.iter().filter(|each| each.handset == handset) {
                let whole = each.first..=each.last;
                came.extend(whole.filter(|seq| each.altered != Some(*seq)));
                if let Some(seq) = each.altered {
                    let bytes = altered(each.compact(seq)).into_bytes();
                    model.evidence.entry(handset).or_default().insert(bytes);
                }
            }
            let booked = (1..=u64::MAX).take_while(|seq| came.contains(seq)).count();
            model.booked.extend(&of.entries[..booked]);
            let apart = of.entries[booked..].iter();
            let apart = apart.filter(|entry| came.contains(&entry.seq()));
            let apart = apart.map(|entry| entry.compact().to_owned()).collect();
            model.apart.insert(handset, apart);
        }
        model
    }

    fn receipts(&self) -> BTreeMap<String, (i64, i64, bool)> {
        let mut receipts: BTreeMap<String, (i64, i64, bool)> = BTreeMap::new();
        let mut change = |number: &ReceiptNumber, change: &dyn Fn(&mut (i64, i64, bool))| {
            change(receipts.entry(number.to_string()).or_default());
        };
        for entry in &self.booked {
            match entry.body() {
                EntryBody::Receipt(receipt) => change(&receipt.number, &|stands| {
                    *stands = (
                        receipt.assessment.payable_minor.unwrap(),
                        receipt.settlement.paid_minor,
                        false,
                    );
                }),
                EntryBody::Payment(paid) => {
                    change(&paid.number, &|stands| stands.1 += paid.paid_minor);
                }
                EntryBody::Cancellation(cancelled) => {
                    change(&cancelled.number, &|stands| stands.2 = true);
                }
                _ => {}
            }
        }
        receipts
    }

    /// What is outstanding of the advance after all receipts that stand.
    fn outstanding(&self) -> i64 {
        let cancelled: BTreeSet<_> = self
            .booked
            .iter()
            .filter_map(|entry| match entry.body() {
                EntryBody::Cancellation(cancelled) => Some(&cancelled.number),
                _ => None,
            })
            .collect();
        let taken: i64 = self
            .booked
            .iter()
            .filter_map(|entry| match entry.body() {
                EntryBody::Receipt(receipt) => Some(receipt),
                _ => None,
            })
            .filter(|receipt| !cancelled.contains(&receipt.number))
            .flat_map(|receipt| &receipt.assessment.lines)
            .filter(|line| line.line == LineCode::Advance)
            .map(|line| line.amount_minor.parse::<i64>().unwrap())
            .sum();
        IN_DEBT.1 + taken
    }
}

fn assert_is(model: &Model, books: &Books, receipts: &BTreeMap<String, (i64, i64, bool)>) {
    let booked: Vec<String> = model
        .booked
        .iter()
        .map(|entry| entry.compact().to_owned())
        .collect();
    let in_books: Vec<String> = books
        .handsets
        .iter()
        .flat_map(|handset| handset.booked.clone())
        .collect();
    assert_eq!(in_books, booked);
    for (place, handset) in books.handsets.iter().enumerate() {
        let apart: BTreeSet<String> = handset.apart.iter().cloned().collect();
        assert_eq!(Some(&apart), model.apart.get(&place), "{}", handset.code);
        let evidence: BTreeSet<Vec<u8>> = handset
            .evidence
            .iter()
            .map(|(_, _, bytes)| bytes.clone())
            .collect();
        let expected = model.evidence.get(&place).cloned().unwrap_or_default();
        assert_eq!(evidence, expected, "{}", handset.code);
        assert_eq!(handset.findings, [], "the days are honest");
    }
    let totals = totals_by_day(model.booked.iter().map(|entry| entry.body()));
    let days = books.days.iter().filter(|day| day.receipts + day.slips > 0);
    assert!(days.eq(totals.iter().filter(|day| day.receipts + day.slips > 0)));
    assert_eq!(*receipts, model.receipts());
    // All members' accounts together are all days together: nothing is lost between two books.
    let sum =
        |of: fn(&Sums) -> i64| -> i64 { books.accounts.iter().map(|each| of(&each.total)).sum() };
    let day = |of: fn(&DayTotalV1) -> i64| -> i64 { totals.iter().map(of).sum() };
    assert_eq!(sum(|total| total.net_g), day(|total| total.net_g));
    assert_eq!(
        sum(|total| total.payable_minor),
        day(|total| total.payable_minor)
    );
    assert_eq!(sum(|total| total.paid_minor), day(|total| total.paid_minor));
    let expected: usize = books.pails.iter().filter(|pail| !pail.cancelled).count();
    let pails = day(|total| total.pails);
    assert_eq!(
        i64::try_from(expected).unwrap(),
        pails,
        "no slip's pails go to the store here"
    );
    let member = books
        .members
        .iter()
        .find(|member| member.number.as_str() == IN_DEBT.0);
    let outstanding = member.unwrap().advance.as_ref();
    let expected = Some(model.outstanding()).filter(|minor| *minor > 0);
    assert_eq!(
        outstanding.map(|advance| advance.outstanding_minor),
        expected
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_order_ends_in_the_models_books(
        (carried, shuffled) in prop::collection::vec(carried(), 1..9)
            .prop_flat_map(|carried| (Just(carried.clone()), Just(carried).prop_shuffle())),
        repeated in prop::collection::vec(any::<prop::sample::Index>(), 0..4),
    ) {
        let (books, receipts) = books_after(&carried);
        assert_is(&Model::of(&carried), &books, &receipts);
        let mut other = shuffled.clone();
        other.extend(repeated.iter().map(|index| index.get(&shuffled).clone()));
        let (again, receipts_again) = books_after(&other);
        prop_assert_eq!(books, again);
        prop_assert_eq!(receipts, receipts_again);
    }
}

/// Everything, one entry a bundle, backwards: the worst order there is.
#[test]
fn one_by_one_backwards_ends_in_the_models_books() {
    let mut carried = Vec::new();
    for (handset, of) in WORLD.handsets.iter().enumerate() {
        for entry in of.entries.iter().rev() {
            let seq = entry.seq();
            carried.push(Carried {
                handset,
                first: seq,
                last: seq,
                altered: None,
            });
        }
    }
    let (books, receipts) = books_after(&carried);
    let model = Model::of(&carried);
    let all: usize = WORLD
        .handsets
        .iter()
        .map(|handset| handset.entries.len())
        .sum();
    assert_eq!(model.booked.len(), all);
    assert_is(&model, &books, &receipts);
}

/// What receipts take back of an advance, and a cancellation gives back, counts for the next one of
/// the same bundle: nobody is asked about sums that are right.
#[test]
fn an_advance_is_taken_back_to_its_end_within_one_bundle() {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, HANDSETS[0]);
    handset.open();
    let bought = delivery("bought");
    for _ in 0..2 {
        handset.deliver(&bought, IN_DEBT.0, None);
    }
    // The member is looked at once more before the cancellation, and has then more outstanding.
    handset.deliver(&delivery("held"), IN_DEBT.0, None);
    handset.cancel_latest();
    while handset.receipts().last().unwrap().advance.is_some() {
        handset.deliver(&bought, IN_DEBT.0, None);
    }
    handset.close();
    let taken = handset
        .receipts()
        .map(|receipt| receipt.assessment.repaid_minor());
    let cancelled = handset.receipts().nth(1).unwrap();
    assert_eq!(
        taken.sum::<i64>(),
        IN_DEBT.1 + cancelled.assessment.repaid_minor()
    );
    desk.write("day.json", &handset.bundle(1..=u64::MAX));
    let mut store = desk.store();
    let at = "2026-10-21T08:00:00+03:00".parse().unwrap();
    let imported = import(&mut store, &DeskCheck, &desk.path("day.json"), at).unwrap();
    let found: Vec<_> = imported
        .questions()
        .map(|found| found.code.as_str())
        .collect();
    assert_eq!(found, [""; 0]);
}

/// What a copied telephone writes contradicts the journal; it is kept apart, found, and changes
/// nothing that is booked, whenever it comes after what it contradicts.
#[test]
fn a_copied_handset_changes_nothing_that_is_booked() {
    let world = &*WORLD;
    let mut copy = world.handsets[0].turned_back_to(4);
    copy.deliver(&delivery("bought"), "M009", None);
    copy.close();
    let folder = tempfile::tempdir().unwrap();
    let ledger = folder.path().join("ledger.sqlite");
    std::fs::copy(world.desk.path("desk/ledger.sqlite"), &ledger).unwrap();
    let mut store = SqliteStore::open(&ledger).unwrap();
    let import_text = |store: &mut SqliteStore, text: &str| {
        let path = folder.path().join("bundle.json");
        std::fs::write(&path, text).unwrap();
        import(
            store,
            &DeskCheck,
            &path,
            "2026-10-21T08:00:00+03:00".parse().unwrap(),
        )
        .unwrap()
    };
    let all = 1..=u64::MAX;
    import_text(&mut store, &world.handsets[0].bundle(all.clone()));
    let before = Books::of(&store);
    let imported = import_text(&mut store, &copy.bundle(all.clone()));
    let found: Vec<_> = imported
        .questions()
        .map(|found| (found.seq, found.code.as_str()))
        .collect();
    assert_eq!(found, [(5, "fork"), (6, "fork")]);
    let after = Books::of(&store);
    assert_eq!(after.papers, before.papers);
    assert_eq!(after.handsets[0].booked, before.handsets[0].booked);
    let apart: BTreeSet<_> = after.handsets[0].apart.iter().map(Digest::of).collect();
    let copied: BTreeSet<_> = copy.entries[4..].iter().map(ParsedEntry::hash).collect();
    assert_eq!(apart, copied);
    // The journal goes on, and what contradicts it never joins.
    assert!(import_text(&mut store, &world.handsets[0].bundle(all)).nothing_new);
    let handset = store.handset(&world.handsets[0].code).unwrap().unwrap();
    assert_eq!(
        handset.head.hash,
        world.handsets[0].entries.last().unwrap().hash()
    );
}
