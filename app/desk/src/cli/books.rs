//! What can be asked of the books: receiving, reconciling, paying, closing.

use chrono::NaiveDate;
use clap::{ArgAction, ArgGroup, Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// A pail as it stands in the store.
#[derive(Debug, Clone, Args)]
#[command(group = ArgGroup::new("seen").required(true).args(["seal", "broken", "no_seal"]))]
pub struct Receive {
    /// Number painted on the pail
    #[arg(value_name = "PAIL")]
    pub pail: String,
    /// What the full pail weighs here, kilograms, 3 decimals at most
    #[arg(long, value_name = "KG", allow_hyphen_values = true)]
    pub gross: String,
    /// What the empty pail weighs, where that is known here
    #[arg(long, value_name = "KG", allow_hyphen_values = true)]
    pub tare: Option<String>,
    /// Number of the seal on it, which is whole
    #[arg(long, value_name = "SEAL")]
    pub seal: Option<String>,
    /// Number of the seal on it, which is broken
    #[arg(long, value_name = "SEAL")]
    pub broken: Option<String>,
    /// It bears no seal
    #[arg(long)]
    pub no_seal: bool,
    /// Step of the store's scale, its interval e, whole grams
    #[arg(long, value_name = "G", allow_hyphen_values = true)]
    pub interval: String,
    /// Known weight that was put on the store's scale today
    #[arg(
        long,
        value_name = "KG",
        requires = "shown",
        allow_hyphen_values = true
    )]
    pub known: Option<String>,
    /// What the scale showed for it
    #[arg(
        long,
        value_name = "KG",
        requires = "known",
        allow_hyphen_values = true
    )]
    pub shown: Option<String>,
    /// Number of the pail's receipt or slip, where the pail stands on several
    #[arg(long, value_name = "NUMBER")]
    pub paper: Option<String>,
    /// It holds other honey than when it was received before, and its bundle is not here yet
    #[arg(long, conflicts_with_all = ["paper", "again"])]
    pub no_paper: bool,
    /// Weigh a received pail again, for this reason; the earlier weighing is set aside, not erased
    #[arg(long, value_name = "REASON")]
    pub again: Option<String>,
    /// Who receives it: another person than who bought it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Pails of which days.
#[derive(Debug, Clone, Args)]
pub struct AskPails {
    /// First day of the papers [default: 180 days before the last]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<NaiveDate>,
    /// Last day of the papers [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<NaiveDate>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// A step of paying.
#[derive(Debug, Clone, Subcommand)]
pub enum Pay {
    /// List what is owed, by means, and what must be looked at first
    List(PayList),
    /// Put receipts on a new payment list
    Propose(PayPropose),
    /// Show a payment list
    Show(PayShow),
    /// Approve a payment list: another person than who proposed it
    Approve(PayApprove),
    /// Write an approved list as CSV for the provider of mobile money
    Export(PayExport),
    /// Say that the money of a list, or of one receipt on it, went out
    Confirm(PayConfirm),
    /// Reverse the payments of a list, or of one receipt on it; nothing is erased
    Reverse(PayReverse),
}

/// How to answer.
#[derive(Debug, Clone, Args)]
pub struct PayList {
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which receipts, by which means.
#[derive(Debug, Clone, Args)]
pub struct PayPropose {
    /// By what means the list is paid
    #[arg(long, value_enum)]
    pub means: MeansWord,
    /// Only receipts of this member; repeat it for several
    #[arg(long, value_name = "MEMBER", action = ArgAction::Append)]
    pub member: Vec<String>,
    /// Only this receipt, whatever the member's usual means; repeat it for several
    #[arg(long, value_name = "NUMBER", action = ArgAction::Append, conflicts_with = "member")]
    pub receipt: Vec<String>,
    /// Why it is paid although something serious was found on it
    #[arg(long, value_name = "REASON", requires = "receipt")]
    pub despite: Option<String>,
    /// Who proposes it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Means of paying.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MeansWord {
    /// Coins and notes
    Cash,
    /// A telephone's money
    MobileMoney,
}

/// Which list.
#[derive(Debug, Clone, Args)]
pub struct PayShow {
    /// Number of the list
    #[arg(value_name = "LIST")]
    pub list: i64,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which list, and by whom.
#[derive(Debug, Clone, Args)]
pub struct PayApprove {
    /// Number of the list
    #[arg(value_name = "LIST")]
    pub list: i64,
    /// Who approves it: another person than who proposed it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which list, and where to.
#[derive(Debug, Clone, Args)]
pub struct PayExport {
    /// Number of the list
    #[arg(value_name = "LIST")]
    pub list: i64,
    /// File to write; what it holds is written beside it
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which payments went out.
#[derive(Debug, Clone, Args)]
pub struct PayConfirm {
    /// Number of the list
    #[arg(value_name = "LIST")]
    pub list: i64,
    /// Only this receipt
    #[arg(long, value_name = "NUMBER")]
    pub receipt: Option<String>,
    /// The provider's reference, or that of the paper which was signed for cash
    #[arg(long, value_name = "REFERENCE")]
    pub reference: Option<String>,
    /// Who says so
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which payments no longer count.
#[derive(Debug, Clone, Args)]
pub struct PayReverse {
    /// Number of the list
    #[arg(value_name = "LIST")]
    pub list: i64,
    /// Only this receipt
    #[arg(long, value_name = "NUMBER")]
    pub receipt: Option<String>,
    /// Why
    #[arg(long, value_name = "REASON")]
    pub reason: String,
    /// Who reverses it; of money that went out, another person than who said so
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Whose account, over which days.
#[derive(Debug, Clone, Args)]
pub struct AskStatement {
    /// The member's number
    #[arg(value_name = "MEMBER")]
    pub member: String,
    /// First day [default: the first of the account]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<NaiveDate>,
    /// Last day [default: today, or the last of the account if that is later]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<NaiveDate>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which officer's day.
#[derive(Debug, Clone, Args)]
pub struct AskReconcile {
    /// The day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub day: NaiveDate,
    /// Only this handset
    #[arg(long, value_name = "CODE")]
    pub handset: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Cash given to an officer.
#[derive(Debug, Clone, Args)]
pub struct GiveCash {
    /// Code of the officer's handset
    #[arg(long, value_name = "CODE")]
    pub handset: String,
    /// How much, in the price list's currency; below nothing for cash taken back
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub amount: String,
    /// The officer's day it belongs to [default: the open day]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub day: Option<NaiveDate>,
    /// What for
    #[arg(long, value_name = "WORDS")]
    pub note: Option<String>,
    /// Who gives it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which day, and by whom.
#[derive(Debug, Clone, Args)]
pub struct Close {
    /// The last day to close; all before it are closed with it
    #[arg(value_name = "YYYY-MM-DD")]
    pub day: NaiveDate,
    /// Who closes it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// What to compare with, and how to answer.
#[derive(Debug, Clone, Args)]
pub struct AskClosed {
    /// Add up every signed entry of the closed days again, and compare with that too; it takes some
    /// seconds for every hundred thousand entries
    #[arg(long)]
    pub entries: bool,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// What to write, and where.
#[derive(Debug, Clone, Args)]
pub struct Export {
    /// What is written
    #[arg(value_enum)]
    pub what: ExportWhat,
    /// File to write; what it holds is written beside it
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// In which form; signed entries are always one to a line
    #[arg(long, value_enum, default_value_t = ExportForm::Csv)]
    pub form: ExportForm,
    /// First day [default: the first of the books]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<NaiveDate>,
    /// Last day [default: the last of the books]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<NaiveDate>,
    /// Answer in JSON; what is written stays in its own form
    #[arg(long)]
    pub json: bool,
}

/// What can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExportWhat {
    /// The day book: what was bought and paid by day and handset
    Daybook,
    /// Receipts and slips, one row each
    Papers,
    /// The desk's payments, one row each
    Payments,
    /// The register
    Members,
    /// Signed entries as they came, one to a line
    Entries,
}

/// In which form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ExportForm {
    /// For spreadsheets
    Csv,
    /// For programs
    Json,
}
