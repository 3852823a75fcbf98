//! What every ledger must do, whatever database is behind it.
//!
//! The suite knows the trait alone. A second database runs it with one more line at the end.

#![allow(clippy::unwrap_used)] // helpers of tests

mod amending;
mod clerks;
mod closing;
#[path = "../common/mod.rs"]
mod common;
mod depot;
mod forgetting;
mod journals;
mod office;
mod papers;
mod payments;
mod sums;
mod whole;

use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::clerk::ReviewState;
use combgate_core::record::{
    ClockNoticedV1, Digest, EntryBody, JournalHead, ParsedEntry, PublicKey, SoftwareKey,
    UnsignedEntry,
};
use combgate_desk::store::{Handset, SqliteStore};
use common::handset::{code, label};
use std::path::Path;

/// Opens the ledger of a folder; opened again it holds what was kept.
type Open<S> = fn(&Path) -> S;

fn key(scalar: u8) -> PublicKey {
    SoftwareKey::from_scalar(&[scalar; 32])
        .unwrap()
        .public()
        .unwrap()
}

fn at(minute: u32) -> DateTime<FixedOffset> {
    format!("2026-10-09T08:{minute:02}:00+03:00")
        .parse()
        .unwrap()
}

fn day(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, day).unwrap()
}

fn handset(name: &str, scalar: u8) -> Handset {
    Handset {
        code: code(name),
        name: label("Telephone"),
        key: key(scalar),
        enrolled_at: at(0),
        head: JournalHead::EMPTY,
        review: ReviewState::new(code(name)),
    }
}

/// An entry whose content differs with the second figure; nothing here looks at signatures.
fn entry(seq: u64, content: i64) -> ParsedEntry {
    let body = EntryBody::ClockNoticed(Box::new(ClockNoticedV1 {
        before: at(0),
        jump_seconds: content,
    }));
    let head = JournalHead {
        seq: seq - 1,
        hash: Digest::NONE,
    };
    let unsigned = UnsignedEntry::after(head, key(1).id(), at(1), &body).unwrap();
    ParsedEntry::parse(&unsigned.signed(&[1; 64])).unwrap()
}

macro_rules! conformance {
    ($name:ident, $open:expr) => {
        mod $name {
            use super::*;

            conformance!(@each $open;
                whole::work_is_kept_whole_or_not_at_all
                office::the_desk_keeps_its_first_key
                office::terms_are_kept_by_digest_and_found_by_day
                office::an_advance_is_paid_back_by_each_handset
                office::a_handset_knows_the_members_it_can_know
                journals::entries_are_kept_once_and_booked_once
                journals::a_handsets_progress_is_kept
                journals::evidence_and_bundles_are_kept_once
                papers::papers_are_found_by_number_delivery_and_day
                papers::findings_are_kept_once_in_order
                depot::a_pail_of_a_paper_is_received_once
                depot::a_pail_without_a_paper_waits_for_one
                payments::a_receipt_stands_on_one_list
                payments::only_what_another_person_approved_is_settled
                payments::what_is_owed_is_found_by_member_and_receipt
                closing::a_closed_day_is_closed
                closing::what_comes_late_counts_on_another_day
                forgetting::a_name_does_not_come_back
                amending::changes_are_kept_until_a_member_is_forgotten
                amending::a_debt_is_reversed_in_parts_and_undone_once
                clerks::an_account_is_made_once_and_its_name_is_not_given_again
                clerks::a_session_ends_with_its_account_its_time_or_on_demand
                clerks::steps_are_kept_in_the_order_taken
                clerks::a_handset_out_of_use_is_not_believed_from_an_entry_on
                sums::sums_of_a_day_add_up_by_handset_and_grade
                sums::counts_add_up_over_days
                sums::an_officers_day_adds_up_and_keeps_what_was_counted
            );
        }
    };
    (@each $open:expr; $($room:ident::$check:ident)*) => {$(
        #[test]
        fn $check() {
            let folder = tempfile::tempdir().unwrap();
            super::$room::$check($open, folder.path());
        }
    )*};
}

conformance!(sqlite, |folder| SqliteStore::create(
    &folder.join("ledger.sqlite")
)
.unwrap());
