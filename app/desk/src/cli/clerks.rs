//! Of those who work at the desk: accounts, findings, handsets out of use.

use crate::store::{Cause, Role, Step};
use chrono::{DateTime, FixedOffset, NaiveDate};
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// What to do with accounts. A password is read from standard input, one line.
#[derive(Debug, Clone, Subcommand)]
pub enum AccountWhat {
    /// Make an account
    Add(AddAccount),
    /// List accounts
    List(ListAccounts),
    /// Take an account away; its name is not given again
    Remove(NamedAccount),
    /// Give an account a new password
    Password(NamedAccount),
}

/// Who, and what they may do.
#[derive(Debug, Clone, Args)]
pub struct AddAccount {
    /// Name to sign in by
    #[arg(value_name = "NAME")]
    pub name: String,
    /// What they may do
    #[arg(long, value_name = "ROLE")]
    pub role: Role,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// All accounts.
#[derive(Debug, Clone, Args)]
pub struct ListAccounts {
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which account.
#[derive(Debug, Clone, Args)]
pub struct NamedAccount {
    /// Its name
    #[arg(value_name = "NAME")]
    pub name: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Whose findings.
#[derive(Debug, Clone, Args)]
pub struct AskFindings {
    /// Of this handset alone
    #[arg(long, value_name = "CODE")]
    pub handset: Option<String>,
    /// Settled findings too
    #[arg(long)]
    pub all: bool,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which finding, and what is done with it.
#[derive(Debug, Clone, Args)]
pub struct Settle {
    /// Identities of findings, as `combgate findings` shows them: the same is done with all or none
    #[arg(value_name = "FINDING", required = true)]
    pub findings: Vec<String>,
    /// What is done
    #[arg(long, value_name = "STEP")]
    pub step: Step,
    /// Why, or what the officer is asked
    #[arg(long, value_name = "TEXT")]
    pub words: String,
    /// Account of whoever does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Because of which finding, and what of it.
#[derive(Debug, Clone, Args)]
pub struct ReverseFinding {
    /// Identity of the finding, on which `combgate settle --step reverse` was decided
    #[arg(value_name = "FINDING")]
    pub finding: String,
    /// What is reversed, or undone again
    #[arg(long, value_enum)]
    pub what: ReverseWhat,
    /// Why
    #[arg(long, value_name = "REASON")]
    pub reason: String,
    /// Account of whoever does it: another person than who decided
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// What is reversed because of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReverseWhat {
    /// The desk's payments on its receipt
    Payments,
    /// What its receipt owes
    Debt,
    /// The payments, and what its receipt then owes
    All,
    /// Nothing: the reversal of the debt is undone, and it is owed again
    Undo,
}

/// For which handset.
#[derive(Debug, Clone, Args)]
pub struct Acknowledge {
    /// Code of the handset
    #[arg(long, value_name = "CODE")]
    pub handset: String,
    /// File to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which handset, and from when on.
#[derive(Debug, Clone, Args)]
pub struct Revoke {
    /// Code of the handset
    #[arg(long, value_name = "CODE")]
    pub handset: String,
    /// Moment from which its entries are findings, such as 2026-10-09T12:00:00+03:00
    #[arg(long, value_name = "MOMENT")]
    pub from: DateTime<FixedOffset>,
    /// Why
    #[arg(long, value_name = "CAUSE")]
    pub cause: Cause,
    /// Code of the handset that takes its place
    #[arg(long, value_name = "CODE")]
    pub replacement: Option<String>,
    /// More of why
    #[arg(long, value_name = "TEXT")]
    pub words: String,
    /// Account of whoever does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Some days of the books: their last month, where nothing is said.
#[derive(Debug, Clone, Args)]
pub struct LastMonth {
    /// First day [default: a month before the last day of the books]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<NaiveDate>,
    /// Last day [default: the last day of the books]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<NaiveDate>,
}

/// Of which days.
#[derive(Debug, Clone, Args)]
pub struct AskStatistics {
    /// Which days.
    #[command(flatten)]
    pub days: LastMonth,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}
