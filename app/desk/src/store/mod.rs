//! The ledger: what the desk keeps, behind one small trait.
//!
//! [`Store`] is [`Office`] (desk, terms, register, briefs), [`Journals`] (handsets, entries,
//! evidence, bundles), [`Papers`] (receipts, slips, findings), [`Depot`] (pails at the store),
//! [`Payments`] (what the desk pays), [`Closing`] (closed days), [`Forgetting`] (members who asked
//! for it), [`History`] (what was changed), [`Reversals`] (what a finding undid), [`Sums`] (of days) and
//! [`Clerks`] (accounts, sessions, what was done with findings and handsets), with
//! [`Store::atomically`] to make several changes one. Only this module's `sqlite` knows SQL; another
//! database is another implementation that passes the same checks.

mod clerks;
mod closing;
mod depot;
mod forgetting;
mod history;
mod payments;
mod reversals;
mod rows;
mod sqlite;
mod sums;

pub use clerks::{Account, Cause, Clerks, FindingStep, Revocation, Role, Session, Step, word_of};
pub use closing::{CashGiven, ClosedDay, Closing, DaySums};
pub use depot::{Depot, PailPlace, PailRow, Received, ReceivingRow, SetAside};
pub use forgetting::{Forgetting, Forgotten, Naming, Sealed, SealedKind};
pub use history::{History, MemberChange};
pub use payments::{Act, PaymentList, PaymentRow, Payments, Reversed, Settled};
pub use reversals::{OfWhat, Reversal, Reversals};
pub use rows::{
    Brief, BriefGiven, BundleRow, Desk, Evidence, FindingRow, Handset, Kept, MembersFound, Paper,
    PaperKind, RegisterChange, Terms, TermsKind, Waiting,
};
pub(crate) use rows::{decision_word, filed_under};
pub use sqlite::{SqliteStore, is_backup};
pub use sums::{DayBookSums, DayStands, Sums, Tallied, TallyRow};

use crate::outcome::Advice;
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{Digest, KeyId, MemberV1, ParsedEntry, ReceiptNumber};
use combgate_core::units::Code;
use std::ops::{Range, RangeInclusive};
use std::path::PathBuf;
use uuid::Uuid;

/// A ledger that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No ledger in the folder.
    #[error("there is no ledger in {0}")]
    NoLedger(PathBuf),
    /// The folder or the file cannot be made or opened.
    #[error("the ledger {path} cannot be opened: {reason}")]
    Unopened {
        /// Which file.
        path: PathBuf,
        /// Why.
        reason: String,
    },
    /// Another program writes.
    #[error("another program is writing to the ledger; nothing was changed")]
    Busy,
    /// No room.
    #[error("the disk is full; nothing was changed")]
    DiskFull,
    /// Made by a newer program.
    #[error("the ledger was made by a newer version of this program; nothing was changed")]
    Newer,
    /// Something in it is not what it must be.
    #[error("the ledger is damaged: {what} ({detail})")]
    Damaged {
        /// What is damaged.
        what: &'static str,
        /// In which way.
        detail: String,
    },
    /// Something would count on a closed day.
    #[error("{0} is closed: nothing can be booked on it; nothing was changed")]
    DayClosed(NaiveDate),
    /// Anything else the database says.
    #[error("the ledger refused: {0}; nothing was changed")]
    Refused(String),
}

impl Advice for StoreError {
    fn hint(&self) -> String {
        match self {
            Self::NoLedger(_) => {
                "name the desk's folder with --desk or COMBGATE_DESK, or make one \
                                  with `combgate init DIR`"
                    .to_owned()
            }
            Self::Unopened { .. } => {
                "look at the folder's permissions and whether its disk is there".to_owned()
            }
            Self::Busy => {
                "wait until the other import has ended, then give the command again".to_owned()
            }
            Self::DiskFull => "make room on the disk, then give the command again".to_owned(),
            Self::Newer => "update this program, then give the command again".to_owned(),
            Self::Damaged { .. } => {
                "stop working with it, keep the folder as it is, and restore the last backup into \
                 another folder"
                    .to_owned()
            }
            Self::DayClosed(_) => {
                "book it on a day that is open; a correction of a closed day is a reversal on an \
                 open one"
                    .to_owned()
            }
            Self::Refused(_) => {
                "give the command again; if it happens again, keep the folder as it is and report \
                 this fault"
                    .to_owned()
            }
        }
    }
}

/// Desk, terms, register and briefs.
pub trait Office {
    /// The desk, once it is set up.
    fn desk(&self) -> Result<Option<Desk>, StoreError>;
    /// Keeps the desk; its key stays what it was first.
    fn keep_desk(&self, desk: &Desk) -> Result<(), StoreError>;

    /// Keeps a policy or a price list; false if exactly this one is kept already.
    fn keep_terms(&self, terms: &Terms) -> Result<bool, StoreError>;
    /// A policy's or price list's document by its digest.
    fn terms(&self, kind: TermsKind, digest: &Digest) -> Result<Option<Terms>, StoreError>;
    /// Of those in force on a day, the one that began last, since a newer one begins where an older
    /// one without an end stops; of several that began together, the one taken in last.
    fn terms_in_force(&self, kind: TermsKind, day: NaiveDate) -> Result<Option<Terms>, StoreError>;
    /// The one taken in last, in force or not.
    fn newest_terms(&self, kind: TermsKind) -> Result<Option<Terms>, StoreError>;

    /// Keeps a member as the office says. An advance other than the office's last word starts
    /// being paid back anew; the same word again changes nothing.
    fn keep_member(&self, member: &MemberV1) -> Result<RegisterChange, StoreError>;
    /// Keeps a member registered by a handset; the first registration of a number stands.
    fn keep_field_member(&self, handset: &Code, member: &MemberV1) -> Result<(), StoreError>;
    /// A member that a handset can know: of the office, registered by itself, or given out in a
    /// brief. The advance is less what this handset's receipts took back, so that the answer does
    /// not depend on which handset's bundles came first.
    fn member_seen_by(&self, handset: &Code, number: &Code)
    -> Result<Option<MemberV1>, StoreError>;
    /// Counts what a handset's receipt took back of an advance; less than nothing undoes it.
    fn repay(&self, member: &Code, handset: &Code, minor: i64) -> Result<(), StoreError>;
    /// The whole register in order of number, each number once; an advance is less what all
    /// receipts took back, and left out when nothing is outstanding.
    fn members(&self) -> Result<Vec<MemberV1>, StoreError>;
    /// What [`Office::members`] says of one number.
    fn member(&self, number: &Code) -> Result<Option<MemberV1>, StoreError>;
    /// Members of the register whose number or name holds a text, in any letters, those at some
    /// places of all that were found, counted from 0; with how many there are, and how many members
    /// in all. Which places, is asked when it is known how many were found.
    fn members_like(
        &self,
        text: &str,
        part: impl FnOnce(usize) -> Range<usize>,
    ) -> Result<MembersFound, StoreError>;

    /// Keeps a brief under the next serial, which it returns; all members count as given out.
    fn keep_brief(&self, brief: &Brief) -> Result<(), StoreError>;
    /// Cash given with a brief, minor units, if this handset was given one of this serial.
    fn float_given(&self, serial: u32, handset: &Code) -> Result<Option<i64>, StoreError>;
    /// Whether this handset was given any brief.
    fn gave_briefs(&self, handset: &Code) -> Result<bool, StoreError>;
    /// Serial of the next brief.
    fn next_serial(&self) -> Result<u32, StoreError>;
    /// Briefs given out last, the newest first, without their documents.
    fn briefs_given(&self, most: usize) -> Result<Vec<BriefGiven>, StoreError>;
    /// The newest brief given to a handset, without its document.
    fn last_given(&self, handset: &Code) -> Result<Option<BriefGiven>, StoreError>;
    /// A brief by its serial.
    fn brief(&self, serial: u32) -> Result<Option<Brief>, StoreError>;
    /// The newest brief of a handset.
    fn newest_brief(&self, handset: &Code) -> Result<Option<Brief>, StoreError>;
    /// Every policy or price list, by first day, the newest first.
    fn all_terms(&self, kind: TermsKind) -> Result<Vec<Terms>, StoreError>;
}

/// Handsets and what came from them.
pub trait Journals {
    /// All handsets in order of code.
    fn handsets(&self) -> Result<Vec<Handset>, StoreError>;
    /// A handset by its code.
    fn handset(&self, code: &Code) -> Result<Option<Handset>, StoreError>;
    /// A handset by its key.
    fn handset_of_key(&self, key: &KeyId) -> Result<Option<Handset>, StoreError>;
    /// Adds a handset.
    fn add_handset(&self, handset: &Handset) -> Result<(), StoreError>;
    /// Keeps how far a handset is booked, and what its review remembers.
    fn keep_progress(&self, handset: &Handset) -> Result<(), StoreError>;

    /// Keeps an entry whose signature is good; false if it is kept already.
    fn keep_entry(
        &self,
        handset: &Code,
        entry: &ParsedEntry,
        kept: Kept,
    ) -> Result<bool, StoreError>;
    /// Books an entry that was kept apart.
    fn book_entry(&self, handset: &Code, seq: u64, hash: &Digest) -> Result<(), StoreError>;
    /// The compact form of the entry booked under a number; an empty text where it is sealed.
    fn booked(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError>;
    /// Compact forms kept apart under these numbers, in order of number, then of hash.
    fn apart(&self, handset: &Code, seqs: RangeInclusive<u64>) -> Result<Vec<String>, StoreError>;
    /// What is kept apart above a number.
    fn waiting_above(&self, handset: &Code, seq: u64) -> Result<Option<Waiting>, StoreError>;
    /// Entries booked under these numbers that are not sealed, in order of number.
    fn booked_among(
        &self,
        handset: &Code,
        seqs: RangeInclusive<u64>,
    ) -> Result<Vec<ParsedEntry>, StoreError>;
    /// Openings of a day booked, in order of handset and number, whatever day they count on.
    fn openings_of(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError>;
    /// Openings and closings that count on a day, in order of handset and number.
    fn ends_on(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError>;
    /// The next opening or closing of a handset booked after a number.
    fn end_after(&self, handset: &Code, seq: u64) -> Result<Option<ParsedEntry>, StoreError>;
    /// The last opening or closing of a handset that is booked.
    fn last_end(&self, handset: &Code) -> Result<Option<ParsedEntry>, StoreError>;
    /// The moment of the first entry booked.
    fn first_moment(&self, handset: &Code) -> Result<Option<DateTime<FixedOffset>>, StoreError>;
    /// The last days on which something booked counts, the newest first.
    fn latest_days(&self, most: usize) -> Result<Vec<NaiveDate>, StoreError>;
    /// The day before a day, and the one after it, on which something booked counts.
    fn days_around(
        &self,
        day: NaiveDate,
    ) -> Result<(Option<NaiveDate>, Option<NaiveDate>), StoreError>;
    /// Entries booked that count on a day, in order of handset and number.
    fn booked_on(&self, day: NaiveDate) -> Result<Vec<(Code, ParsedEntry)>, StoreError>;

    /// The compact form of the last opening of a day booked before a number.
    fn opened_before(&self, handset: &Code, seq: u64) -> Result<Option<String>, StoreError>;

    /// Keeps what was refused; false if the same bytes are kept already.
    fn keep_evidence(&self, evidence: &Evidence) -> Result<bool, StoreError>;
    /// What of a handset was refused, in order of number and digest.
    fn evidence(&self, handset: &Code) -> Result<Vec<Evidence>, StoreError>;
    /// The same without its bytes: the number that each claims, and why it was refused.
    fn refusals(&self, handset: &Code) -> Result<Vec<(Option<u64>, String)>, StoreError>;

    /// Keeps that a bundle was imported; an earlier import of the same file stands.
    fn keep_bundle(&self, bundle: &BundleRow) -> Result<(), StoreError>;
    /// An import of exactly this file.
    fn bundle(&self, file: &Digest) -> Result<Option<BundleRow>, StoreError>;
    /// The bundle of a handset imported last.
    fn latest_bundle(&self, handset: &Code) -> Result<Option<BundleRow>, StoreError>;
    /// The bundles imported last, the newest first.
    fn latest_bundles(&self, most: u32) -> Result<Vec<BundleRow>, StoreError>;
}

/// Receipts, slips and findings.
pub trait Papers {
    /// Keeps a receipt or slip.
    fn keep_paper(&self, paper: &Paper) -> Result<(), StoreError>;
    /// The receipt or slip of an entry.
    fn paper(&self, handset: &Code, seq: u64) -> Result<Option<Paper>, StoreError>;
    /// A handset's receipt of a number; the first, should it have used the number twice.
    fn receipt(&self, number: &ReceiptNumber, of: &Code) -> Result<Option<Paper>, StoreError>;
    /// The receipt or slip of a number, of the handset that it names; the first, should it have used
    /// the number twice.
    fn numbered(&self, number: &ReceiptNumber) -> Result<Option<Paper>, StoreError>;
    /// The receipt or slip of a delivery, whatever the handset and the day.
    fn issued(&self, delivery: Uuid) -> Result<Option<ReceiptNumber>, StoreError>;
    /// Keeps what a receipt stands at after a payment or a cancellation.
    fn change_paper(&self, paper: &Paper) -> Result<(), StoreError>;
    /// Receipts and slips of a day in order of handset and number of entry.
    fn papers_on(&self, day: NaiveDate) -> Result<Vec<Paper>, StoreError>;

    /// Some receipts and slips of a day: those at these places of all in order of handset and number
    /// of entry, counted from 0.
    fn papers_part(&self, day: NaiveDate, part: Range<usize>) -> Result<Vec<Paper>, StoreError>;
    /// Receipts and slips of some days in order of day, handset and number of entry.
    fn papers_between(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<Paper>, StoreError>;

    /// Keeps a finding; false if it is kept already.
    fn keep_finding(&self, handset: &Code, finding: &FindingRow) -> Result<bool, StoreError>;
    /// Findings in a handset's entries of these numbers, in order.
    fn findings(
        &self,
        handset: &Code,
        seqs: RangeInclusive<u64>,
    ) -> Result<Vec<FindingRow>, StoreError>;
    /// Findings in entries that count on a day, in order of handset and entry.
    fn findings_on(&self, day: NaiveDate) -> Result<Vec<(Code, FindingRow)>, StoreError>;
    /// How many serious findings there are in entries that count on these days.
    fn serious_on(&self, days: RangeInclusive<NaiveDate>) -> Result<u64, StoreError>;
}

/// The whole ledger.
pub trait Store:
    Office
    + Journals
    + Papers
    + Depot
    + Payments
    + Closing
    + Forgetting
    + History
    + Reversals
    + Sums
    + Clerks
    + Sized
{
    /// Makes all changes of some work, or none of them: an error, a kill or a power cut in between
    /// leaves the ledger as it was. Others who write at the same time wait.
    fn atomically<T, E: From<StoreError>>(
        &mut self,
        work: impl FnOnce(&Self) -> Result<T, E>,
    ) -> Result<T, E>;

    /// Work on the ledger's files that another core may do, as often as it likes, while changes are
    /// made here; what it leaves undone is done sooner or later without it. `None` where a database
    /// sees to that by itself.
    fn upkeep(&self) -> Option<Upkeep> {
        None
    }
}

/// See [`Store::upkeep`].
pub type Upkeep = Box<dyn FnMut() + Send>;
