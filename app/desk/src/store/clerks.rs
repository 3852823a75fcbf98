//! Rows of those who work at the desk, and of what they did.

use super::{FindingRow, StoreError};
use chrono::{DateTime, FixedOffset};
use clap::ValueEnum;
use combgate_core::record::Digest;
use combgate_core::units::{Code, Label};

/// What somebody may do at the desk; nobody holds two roles, so that no one hand does all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, ValueEnum)]
pub enum Role {
    /// Takes in bundles and what arrives at the store.
    Receiver,
    /// Keeps the books: findings, handsets, register, briefs.
    Bookkeeper,
    /// Says what is paid and what prices hold, and takes handsets out of use.
    Approver,
}

/// Somebody who may sign in.
#[derive(Clone, PartialEq, Eq)]
pub struct Account {
    /// By which they sign in.
    pub name: Code,
    /// What they may do.
    pub role: Role,
    /// Argon2id, as a PHC string.
    pub password: String,
    /// When it was made.
    pub made_at: DateTime<FixedOffset>,
    /// When it was taken away; its name is not given again.
    pub removed_at: Option<DateTime<FixedOffset>>,
}

/// Never shows the password's hash.
impl std::fmt::Debug for Account {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Account")
            .field("name", &self.name)
            .field("role", &self.role)
            .finish_non_exhaustive()
    }
}

/// Somebody signed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// Digest of the identity that the browser holds.
    pub digest: Digest,
    /// Who.
    pub account: Code,
    /// When they signed in.
    pub begun_at: DateTime<FixedOffset>,
    /// When they last asked for something.
    pub seen_at: DateTime<FixedOffset>,
}

/// What a clerk can do with a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, ValueEnum)]
pub enum Step {
    /// It is as it should be, for a reason: nothing more to do.
    Accept,
    /// The officer is asked.
    Ask,
    /// It is not believed; nothing is paid on it.
    Dispute,
    /// What it stands on is to be reversed.
    Reverse,
}

/// What a clerk did with a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingStep {
    /// In whose journal.
    pub handset: Code,
    /// In which entry.
    pub seq: u64,
    /// The finding's code.
    pub code: String,
    /// The finding's sentence.
    pub sentence: String,
    /// What was done.
    pub step: Step,
    /// Why, or what is asked.
    pub words: Label,
    /// By whom.
    pub account: Code,
    /// When.
    pub taken_at: DateTime<FixedOffset>,
}

impl FindingStep {
    /// Whether it was taken on this finding.
    pub fn is_on(&self, handset: &Code, finding: &FindingRow) -> bool {
        self.handset == *handset
            && self.seq == finding.seq
            && self.code == finding.code
            && self.sentence == finding.sentence
    }
}

/// The word for a value, the same on the command line, in the ledger and in answers.
pub fn word_of(value: &impl ValueEnum) -> String {
    value
        .to_possible_value()
        .map_or_else(String::new, |value| value.get_name().to_owned())
}

/// Why a handset is no longer believed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, ValueEnum)]
pub enum Cause {
    /// Nobody knows where it is.
    Lost,
    /// Another handset took its place.
    Replaced,
    /// The desk took it out of use.
    Revoked,
}

/// A handset taken out of use.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revocation {
    /// Which.
    pub handset: Code,
    /// Its entries from this moment on are findings.
    pub from_at: DateTime<FixedOffset>,
    /// Why.
    pub cause: Cause,
    /// Which took its place.
    pub replacement: Option<Code>,
    /// What the clerk wrote.
    pub words: Label,
    /// By whom.
    pub account: Code,
    /// When.
    pub made_at: DateTime<FixedOffset>,
}

/// Who works at the desk, and what they did.
pub trait Clerks {
    /// Keeps a new account; false if the name is or was somebody's.
    fn keep_account(&self, account: &Account) -> Result<bool, StoreError>;
    /// An account by its name, one taken away included.
    fn account(&self, name: &Code) -> Result<Option<Account>, StoreError>;
    /// All accounts in order of name, those taken away included.
    fn accounts(&self) -> Result<Vec<Account>, StoreError>;
    /// Changes the password, or takes the account away; whoever is signed in with it no longer is.
    fn change_account(&self, account: &Account) -> Result<(), StoreError>;

    /// Keeps that somebody signed in.
    fn begin_session(&self, session: &Session) -> Result<(), StoreError>;
    /// Who holds an identity.
    fn session(&self, digest: &Digest) -> Result<Option<Session>, StoreError>;
    /// Keeps when somebody was last seen.
    fn see_session(&self, session: &Session) -> Result<(), StoreError>;
    /// Ends a session.
    fn end_session(&self, digest: &Digest) -> Result<(), StoreError>;
    /// Ends the sessions begun before a moment.
    fn end_sessions_before(&self, moment: DateTime<FixedOffset>) -> Result<(), StoreError>;

    /// Keeps what a clerk did with a finding.
    fn take_step(&self, step: &FindingStep) -> Result<(), StoreError>;
    /// Steps taken on findings of a handset, in the order taken.
    fn steps(&self, handset: &Code) -> Result<Vec<FindingStep>, StoreError>;

    /// Takes a handset out of use, or says so anew.
    fn revoke(&self, revocation: &Revocation) -> Result<(), StoreError>;
    /// The first entry booked that was written at the moment from which its handset is out of use,
    /// or after it. The chain orders entries, not the clock: all that follow were written later too.
    fn disbelieved_from(&self, handset: &Code) -> Result<Option<u64>, StoreError>;
    /// Keeps that an entry is the first of them, unless an earlier one is.
    fn disbelieve_from(&self, handset: &Code, seq: u64) -> Result<(), StoreError>;
    /// Whether a handset is out of use.
    fn revocation(&self, handset: &Code) -> Result<Option<Revocation>, StoreError>;
}
