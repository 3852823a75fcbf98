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
mod reading;
mod standing;
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
                whole::upkeep_in_the_middle_of_work_changes_nothing
                office::the_desk_keeps_its_first_key
                office::terms_are_kept_by_digest_and_found_by_day
                office::an_advance_is_paid_back_by_each_handset
                office::a_handset_knows_the_members_it_can_know
                office::briefs_are_found_by_serial_and_handset
                office::a_member_is_found_by_number_and_by_name
                office::all_terms_are_listed_the_newest_first
                journals::entries_are_kept_once_and_booked_once
                journals::a_handsets_progress_is_kept
                journals::evidence_and_bundles_are_kept_once
                reading::entries_are_read_by_number_and_by_day
                reading::openings_and_closings_are_found_around_a_number
                reading::days_are_found_on_which_something_counts
                reading::what_came_last_and_what_was_refused_is_found
                standing::papers_of_some_days_stand_in_order
                standing::what_is_owed_to_a_member_adds_up
                standing::what_is_serious_about_a_paper_or_a_day_is_found
                standing::a_list_stands_at_what_is_not_reversed
                standing::pails_of_an_officers_day_stand_as_they_came
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

/// Methods of the store's traits by their source, and what of the suite calls none of them.
#[test]
fn every_method_of_a_store_is_asked_for_by_the_suite() {
    let read_all = |folder: &str| -> String {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let files = std::fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().path());
        let sources = files.filter(|path| path.extension().is_some_and(|kind| kind == "rs"));
        sources
            .map(|path| std::fs::read_to_string(path).unwrap())
            .collect()
    };
    let suite = read_all("tests/store");
    let source = read_all("src/store");
    let traits = source.split("\npub trait ").skip(1);
    let methods: Vec<&str> = traits
        .filter_map(|rest| rest.split_once("\n}").map(|(body, _)| body))
        .flat_map(|body| body.split("\n    fn ").skip(1))
        .filter_map(|method| method.split(['(', '<']).next())
        .collect();
    assert!(methods.len() > 100, "{methods:?}");
    let left_out: Vec<&&str> = methods
        .iter()
        .filter(|method| !suite.contains(&format!(".{method}(")))
        .collect();
    assert!(left_out.is_empty(), "no check calls {left_out:?}");
}
