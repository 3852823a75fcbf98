//! The journal store in a real browser: order, completeness, one receipt a delivery.

#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that fails should stop at once"
)]

use combgate_core::record::{EntryBody, MemberRegisteredV1};
use combgate_core::units::{Code, Label};
use combgate_field::handset::Handset;
use combgate_field::platform::database::Database;
use combgate_field::platform::journal::{Entry, IssueError, Issued, Journal, JournalError, Next};
use combgate_field::platform::state::{self, Slot};
use std::convert::Infallible;
use uuid::Uuid;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

fn entry(seq: u32) -> Entry {
    Entry {
        seq,
        compact: format!("header.payload-{seq}.signature"),
    }
}

fn delivery(number: u128) -> Uuid {
    Uuid::from_u128(number)
}

/// A database that no other test has.
async fn empty(name: &str) -> Database {
    // Names are the tests' own, and the browser profile is new for every run.
    Database::open_as(name).await.expect("a database")
}

#[wasm_bindgen_test]
async fn entries_are_kept_in_order_and_byte_for_byte() {
    let database = empty("order").await;
    let journal = Journal::open(&database).await.expect("a journal");
    assert_eq!(journal.head().await, Ok(None));
    for seq in 1..=12 {
        journal
            .append(&entry(seq), None)
            .await
            .expect("the next entry");
    }
    assert_eq!(journal.head().await, Ok(Some(entry(12))));
    let all = journal.entries(1..=u32::MAX).await.expect("entries");
    assert_eq!(
        all,
        (1..=12).map(|seq| entry(seq).compact).collect::<Vec<_>>()
    );
    let some = journal.entries(10..=11).await.expect("entries");
    assert_eq!(some, vec![entry(10).compact, entry(11).compact]);
    #[expect(clippy::reversed_empty_ranges, reason = "an empty range is the point")]
    let none = journal.entries(5..=4).await;
    assert_eq!(none, Ok(Vec::new()));
}

#[wasm_bindgen_test]
async fn a_gap_or_a_place_taken_is_refused_and_changes_nothing() {
    let database = empty("gap").await;
    let journal = Journal::open(&database).await.expect("a journal");
    let refused = |given, next| Err(JournalError::NotNext { given, next });
    assert_eq!(journal.append(&entry(2), None).await, refused(2, 1));
    assert_eq!(journal.append(&entry(0), None).await, refused(0, 1));
    journal
        .append(&entry(1), Some(delivery(1)))
        .await
        .expect("the first entry");
    assert_eq!(journal.append(&entry(3), None).await, refused(3, 2));
    let other = Entry {
        seq: 1,
        compact: "another".to_owned(),
    };
    assert_eq!(
        journal.append(&other, Some(delivery(2))).await,
        refused(1, 2)
    );
    assert_eq!(journal.entries(0..=9).await, Ok(vec![entry(1).compact]));
    assert_eq!(journal.of_delivery(delivery(2)).await, Ok(None));
}

#[wasm_bindgen_test]
async fn it_survives_being_closed_and_opened_again() {
    let database = empty("reopened").await;
    let journal = Journal::open(&database).await.expect("a journal");
    journal
        .append(&entry(1), Some(delivery(7)))
        .await
        .expect("the first entry");
    drop((journal, database));
    let database = Database::open_as("reopened")
        .await
        .expect("the same database");
    let journal = Journal::open(&database).await.expect("a whole journal");
    assert_eq!(journal.head().await, Ok(Some(entry(1))));
    assert_eq!(journal.of_delivery(delivery(7)).await, Ok(Some(entry(1))));
    journal
        .append(&entry(2), None)
        .await
        .expect("the next entry");
}

#[wasm_bindgen_test]
async fn two_handles_cannot_both_take_a_place() {
    let here = Journal::open(&empty("two").await).await.expect("a journal");
    let there = Journal::open(&empty("two").await)
        .await
        .expect("the same journal");
    here.append(&entry(1), None).await.expect("the first entry");
    assert_eq!(
        there.append(&entry(1), None).await,
        Err(JournalError::NotNext { given: 1, next: 2 })
    );
    assert_eq!(there.head().await, Ok(Some(entry(1))));

    // Both at once: the locks make one wait for the other, so both find their own place.
    let make = async |next: Next| Ok::<_, Infallible>(entry(next.seq).compact);
    let (left, right) = both(here.issue(None, make), there.issue(None, make)).await;
    let places = [
        left.expect("an entry").into_entry().seq,
        right.expect("another").into_entry().seq,
    ];
    assert!(places == [2, 3] || places == [3, 2], "{places:?}");
}

#[wasm_bindgen_test]
async fn a_delivery_gets_one_receipt_however_often_it_is_asked_for() {
    let journal = Journal::open(&empty("once").await)
        .await
        .expect("a journal");
    let make = async |next: Next| Ok::<_, Infallible>(entry(next.seq).compact);
    let first = journal.issue(Some(delivery(1)), make).await;
    assert_eq!(first, Ok(Issued::New(entry(1))));

    // After a crash the draft comes back with its delivery and is issued again.
    let again = journal
        .issue(Some(delivery(1)), async |_| -> Result<String, Infallible> {
            panic!("an issued delivery must not be made again")
        })
        .await;
    assert_eq!(again, Ok(Issued::Already(entry(1))));

    // Two taps at once.
    let taps = both(
        journal.issue(Some(delivery(2)), make),
        journal.issue(Some(delivery(2)), make),
    );
    let (left, right) = taps.await;
    let (left, right) = (left.expect("a receipt"), right.expect("the same receipt"));
    assert_ne!(
        matches!(left, Issued::New(_)),
        matches!(right, Issued::New(_))
    );
    assert_eq!(left.into_entry(), right.into_entry());
    assert_eq!(journal.head().await, Ok(Some(entry(2))));

    // Past the lock, the store itself refuses.
    assert_eq!(
        journal.append(&entry(3), Some(delivery(2))).await,
        Err(JournalError::AlreadyIssued)
    );
    assert_eq!(journal.head().await, Ok(Some(entry(2))));
}

#[wasm_bindgen_test]
async fn an_entry_that_cannot_be_made_leaves_no_trace() {
    let journal = Journal::open(&empty("unmade").await)
        .await
        .expect("a journal");
    let refused = journal
        .issue(Some(delivery(1)), async |_| Err("the day is closed"))
        .await;
    assert_eq!(refused, Err(IssueError::Make("the day is closed")));
    assert_eq!(journal.head().await, Ok(None));
    assert_eq!(journal.of_delivery(delivery(1)).await, Ok(None));
    let make = async |next: Next| {
        assert_eq!(
            next,
            Next {
                seq: 1,
                previous: None
            }
        );
        Ok::<_, Infallible>(entry(next.seq).compact)
    };
    assert_eq!(
        journal.issue(Some(delivery(1)), make).await,
        Ok(Issued::New(entry(1)))
    );
    let make = async |next: Next| {
        assert_eq!(
            next,
            Next {
                seq: 2,
                previous: Some(entry(1))
            }
        );
        Ok::<_, Infallible>(entry(next.seq).compact)
    };
    assert_eq!(journal.issue(None, make).await, Ok(Issued::New(entry(2))));
}

#[wasm_bindgen_test]
async fn lost_entries_are_noticed_at_the_start() {
    let name = "lost";
    let database = empty(name).await;
    let journal = Journal::open(&database).await.expect("a journal");
    for seq in 1..=3 {
        journal
            .append(&entry(seq), None)
            .await
            .expect("the next entry");
    }
    // What no function of ours can do: take an entry out, behind the store's back.
    let raw = indexed_db_futures::database::Database::open(name)
        .await
        .expect("the raw database");
    take_out(&raw, 2).await.expect("an entry removed");
    assert_eq!(
        Journal::open(&database).await.err(),
        Some(JournalError::Gap { last: 3, count: 2 })
    );
    let rest = Journal::open_damaged(&database).entries(1..=9).await;
    assert_eq!(rest, Ok(vec![entry(1).compact, entry(3).compact]));
}

/// The first screen comes up before the journal was counted; nothing is added before it was.
#[wasm_bindgen_test]
async fn nothing_is_added_to_a_journal_that_lost_entries() {
    let name = "lost-and-added";
    let database = empty(name).await;
    let opened = async || {
        let journal = Journal::open_damaged(&database);
        let handset = Handset::open(database.clone(), journal).await;
        handset.expect("a handset")
    };
    let somebody = |number: &str| {
        EntryBody::MemberRegistered(Box::new(MemberRegisteredV1 {
            member: Code::new(number).expect("a number"),
            name: Label::new("Somebody").expect("a name"),
            village: None,
            phone: None,
            consent: true,
            photos: false,
            sharing: false,
        }))
    };
    let handset = opened().await;
    let name_of_it = Label::new("Handset").expect("a name");
    handset.enrol(name_of_it).await.expect("a key");
    for number in ["N1", "N2"] {
        handset.add(somebody(number)).await.expect("an entry");
    }
    let raw = indexed_db_futures::database::Database::open(name)
        .await
        .expect("the raw database");
    take_out(&raw, 2).await.expect("an entry removed");
    let handset = opened().await;
    let looked = handset.ensure_whole().await;
    assert!(looked.is_err_and(|refused| refused.is_damage()));
    let added = handset.add(somebody("N3")).await;
    assert!(added.is_err_and(|refused| refused.is_damage()));
    let left = Journal::open_damaged(&database).entries(1..=9).await;
    assert_eq!(left.map(|left| left.len()), Ok(2));
}

#[wasm_bindgen_test]
async fn everything_written_asks_for_strict_durability() {
    let database = empty("durability").await;
    let journal = Journal::open(&database).await.expect("a journal");
    // The browser itself says what each transaction was given (Indexed Database API 3.0,
    // IDBTransaction.durability).
    js_sys::eval(
        "window.durabilities = [];
         const original = IDBDatabase.prototype.transaction;
         IDBDatabase.prototype.transaction = function (...given) {
           const made = original.apply(this, given);
           if (made.mode !== 'readonly') window.durabilities.push(made.durability);
           return made;
         };",
    )
    .expect("a listener");
    journal
        .append(&entry(1), Some(delivery(1)))
        .await
        .expect("the first entry");
    state::write(&database, Slot::Brief, "a brief")
        .await
        .expect("a brief");
    let seen = js_sys::eval("window.durabilities.join()")
        .expect("a list")
        .as_string();
    let seen = seen.expect("text");
    assert!(seen.starts_with("strict,strict"), "{seen}");
    assert!(seen.split(',').all(|each| each == "strict"), "{seen}");
}

#[wasm_bindgen_test]
async fn state_is_kept_by_slot() {
    let database = empty("state").await;
    assert_eq!(state::read(&database, Slot::Brief).await, Ok(None));
    state::write(&database, Slot::Brief, "one")
        .await
        .expect("a brief");
    state::write(&database, Slot::Brief, "two")
        .await
        .expect("a newer brief");
    assert_eq!(
        state::read(&database, Slot::Brief).await,
        Ok(Some("two".to_owned()))
    );
    assert_eq!(state::read(&database, Slot::DeskKey).await, Ok(None));
    for last in [100, 9, 25] {
        let record = last.to_string();
        state::write(&database, Slot::Bundle(last), &record)
            .await
            .expect("a record");
    }
    assert_eq!(
        state::bundles(&database).await,
        Ok(vec!["9".into(), "25".into(), "100".into()])
    );
}

async fn take_out(
    raw: &indexed_db_futures::database::Database,
    seq: u32,
) -> indexed_db_futures::Result<()> {
    use indexed_db_futures::prelude::*;
    use indexed_db_futures::transaction::TransactionMode;
    let transaction = raw
        .transaction("journal")
        .with_mode(TransactionMode::Readwrite)
        .build()?;
    transaction.object_store("journal")?.delete(seq).await?;
    transaction.commit().await
}

/// Runs both at once and waits for both.
async fn both<A: 'static, B: 'static>(
    left: impl Future<Output = A>,
    right: impl Future<Output = B>,
) -> (A, B) {
    let (mut left, mut right) = (std::pin::pin!(left), std::pin::pin!(right));
    let (mut a, mut b) = (None, None);
    std::future::poll_fn(move |context| {
        if a.is_none()
            && let std::task::Poll::Ready(value) = left.as_mut().poll(context)
        {
            a = Some(value);
        }
        if b.is_none()
            && let std::task::Poll::Ready(value) = right.as_mut().poll(context)
        {
            b = Some(value);
        }
        match (a.take(), b.take()) {
            (Some(a), Some(b)) => std::task::Poll::Ready((a, b)),
            (left, right) => {
                (a, b) = (left, right);
                std::task::Poll::Pending
            }
        }
    })
    .await
}
