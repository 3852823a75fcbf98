//! The command line: what can be asked for, in which words.

mod books;
mod calc;
mod clerks;
mod office;

pub use books::*;
pub use calc::*;
pub use clerks::*;
pub use office::*;

use chrono::NaiveDate;
use clap::{ArgAction, ArgGroup, Args, Parser, Subcommand};
use std::net::SocketAddr;
use std::path::PathBuf;

/// The desk of a honey cooperative: takes in what the officers bought, judges it again and keeps
/// the books
#[derive(Debug, Clone, Parser)]
#[command(
    name = "combgate",
    version,
    after_help = "Exit codes: 0 done, 1 something is questioned or an import was refused, 2 unusable input."
)]
pub struct Cli {
    /// Folder of the desk, which holds its ledger
    #[arg(
        long,
        global = true,
        env = "COMBGATE_DESK",
        default_value = ".",
        value_name = "DIR"
    )]
    pub desk: PathBuf,
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Clone, Subcommand)]
pub enum Command {
    /// Set the desk up in a folder, or take in anew who buys, the terms and the register
    Init(Init),
    /// Put a handset on the desk's list from its enrolment card
    Enrol(Enrol),
    /// Make a brief for an officer: register, policy, price list, float
    Brief(MakeBrief),
    /// Show or say where handsets reach this desk over the network; briefs carry it
    Address(SetAddress),
    /// Take bundles into the ledger: verify, judge again, book
    Import(Import),
    /// Receive a pail at the store: weighed again and its seal looked at by another person
    Receive(Receive),
    /// List pails that are on their way, that came, and that no paper names
    Pails(AskPails),
    /// Pay what is owed: propose, approve by a second person, export, settle, reverse
    Pay {
        /// Which step
        #[command(subcommand)]
        what: Pay,
    },
    /// Look at a member's account, change the register, forget a member
    Member {
        /// What of it
        #[command(subcommand)]
        what: AskMember,
    },
    /// Look at policies and price lists, and take a new one in
    Terms {
        /// What to do
        #[command(subcommand)]
        what: TermsWhat,
    },
    /// Hold an officer's cash and pails of a day against what was counted and what came
    Reconcile(AskReconcile),
    /// Write down cash given to an officer during a day, or taken back
    Cash(GiveCash),
    /// Close a day: nothing is booked on it any more
    Close(Close),
    /// List closed days, and whether their sums are still those that are kept beside the entries
    Closed(AskClosed),
    /// Write part of the books into a file, with a word on what it holds
    Export(Export),
    /// Print what was bought, paid and owed on one day
    Daybook(AskDayBook),
    /// Write the whole desk, its private key included, into one file
    Backup(Backup),
    /// Make a desk of a backup, in a folder that has none
    Restore(Restore),
    /// List the handsets: who has handed over up to where; or write their keys for others to check by
    Handsets(ListHandsets),
    /// Show one entry as its handset signed it, and what was found in it
    Entry(AskEntry),
    /// Check whether a bundle is whole, or what a receipt's code is worth, without a ledger
    Verify(Verify),
    /// Judge one delivery by a policy, and price it by a price list
    Assess(Assess),
    /// Work one figure out by the rules of the field
    Calc {
        /// Which figure
        #[command(subcommand)]
        what: Calc,
    },
    /// Say who may sign in at the desk
    Account {
        /// What to do
        #[command(subcommand)]
        what: AccountWhat,
    },
    /// List findings, those that are settled left out
    Findings(AskFindings),
    /// Write down what is done with a finding
    Settle(Settle),
    /// Carry out a reversal that was decided on because of a finding; nothing is erased
    Reverse(ReverseFinding),
    /// Make the acknowledgement of all that a handset handed over
    Acknowledge(Acknowledge),
    /// Say from when on a handset is no longer believed
    Revoke(Revoke),
    /// Print kilograms by day and grade, moisture, and last digits of what was weighed
    Statistics(AskStatistics),
    /// Serve the clerk's pages, the phone's page, and what handsets send
    Serve(Serve),
}

/// Where and what to serve.
#[derive(Debug, Clone, Args)]
pub struct Serve {
    /// Address of the clerk's pages, one of this machine's own [default without --page:
    /// 127.0.0.1:8710]
    #[arg(long, value_name = "ADDRESS")]
    pub clerk: Option<SocketAddr>,
    /// Folder of the phone's built page
    #[arg(long, value_name = "DIR")]
    pub page: Option<PathBuf>,
    /// Address of the phone's page
    #[arg(
        long,
        value_name = "ADDRESS",
        default_value = "127.0.0.1:8700",
        requires = "page"
    )]
    pub phone: SocketAddr,
    /// Address at which handsets hand over, such as 0.0.0.0:8720; by which name they know it is said
    /// with `combgate address`
    #[arg(long, value_name = "ADDRESS")]
    pub sync: Option<SocketAddr>,
    /// Certificate of that address, with all that it rests on, PEM; it is read again when renewed
    #[arg(long, value_name = "FILE", requires_all = ["sync", "key"])]
    pub certificate: Option<PathBuf>,
    /// The certificate's key, PEM
    #[arg(long, value_name = "FILE", requires = "certificate")]
    pub key: Option<PathBuf>,
    /// A proxy on another machine stands in front of that address, and has the certificate
    #[arg(long, requires = "sync", conflicts_with = "certificate")]
    pub behind_proxy: bool,
}

/// Which entry.
#[derive(Debug, Clone, Args)]
pub struct AskEntry {
    /// Number of a receipt or slip, such as K7-26-00001; or the code of the handset that signed it
    #[arg(value_name = "PAPER|HANDSET")]
    pub of: String,
    /// Its place in the handset's journal, where a handset is named
    #[arg(value_name = "ENTRY")]
    pub seq: Option<u64>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Where this desk is reached.
#[derive(Debug, Clone, Args)]
pub struct SetAddress {
    /// The address, such as https://desk.example:8720
    #[arg(value_name = "ADDRESS", conflicts_with = "none")]
    pub address: Option<String>,
    /// Handsets reach it over no network any more
    #[arg(long)]
    pub none: bool,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Where the desk is, and what it starts with.
#[derive(Debug, Clone, Args)]
pub struct Init {
    /// Folder of the desk; it is made if it is not there
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Folder that may hold cooperative.json, policy.json, prices.json and members.csv
    #[arg(long, value_name = "FOLDER")]
    pub from: Option<PathBuf>,
    /// Who does it, for the history of register and terms
    #[arg(long, value_name = "NAME", default_value = "command line")]
    pub by: String,
}

/// Which handset, under which code.
#[derive(Debug, Clone, Args)]
pub struct Enrol {
    /// File with the handset's enrolment card
    #[arg(value_name = "CARD")]
    pub card: PathBuf,
    /// Code that begins its receipt numbers: letters and digits, such as K7 [default: the next free]
    #[arg(long, value_name = "CODE")]
    pub code: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// For whom, and what goes along.
#[derive(Debug, Clone, Args)]
#[command(group = ArgGroup::new("whose").required(true).args(["handset", "all"]))]
pub struct MakeBrief {
    /// Code of the handset
    #[arg(long, value_name = "CODE")]
    pub handset: Option<String>,
    /// One for each handset in use, each with the same float
    #[arg(long)]
    pub all: bool,
    /// File to write; with --all, the folder for them
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Cash given to the officer, in the price list's currency, such as 120000 or 120000.50
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub float: Option<String>,
    /// Last day it may be worked by [default: in 30 days, or when policy or prices end]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub until: Option<NaiveDate>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which bundles.
#[derive(Debug, Clone, Args)]
pub struct Import {
    /// Bundle files
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// File to write the acknowledgement to, or a folder where bundles are of several handsets
    #[arg(long, value_name = "OUT")]
    pub acknowledgement: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which day.
#[derive(Debug, Clone, Args)]
pub struct AskDayBook {
    /// The day
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub day: NaiveDate,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Where to.
#[derive(Debug, Clone, Args)]
pub struct Backup {
    /// File to write, or an earlier backup to replace; whoever can read it can sign as this desk
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// From where, and where to.
#[derive(Debug, Clone, Args)]
pub struct Restore {
    /// File that `combgate backup` wrote
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Folder of the restored desk; it is made if it is not there
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// Where to.
#[derive(Debug, Clone, Args)]
pub struct ListHandsets {
    /// Write their keys to this file instead, signed by the desk, for whoever checks receipts
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    pub keys: Option<PathBuf>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which file.
#[derive(Debug, Clone, Args)]
pub struct Verify {
    /// Bundle file, or a file with the text of the code on a receipt or slip
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The desk's list of handsets, by which a receipt's code is checked
    #[arg(long, value_name = "FILE")]
    pub handsets: Option<PathBuf>,
    /// Key of the desk that must have signed the list: all 43 characters
    #[arg(long, value_name = "KEY", requires = "handsets")]
    pub desk_key: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which delivery, by which terms.
#[derive(Debug, Clone, Args)]
pub struct Assess {
    /// File with a delivery
    #[arg(value_name = "DELIVERY")]
    pub delivery: PathBuf,
    /// File with a policy
    #[arg(long, value_name = "POLICY")]
    pub policy: PathBuf,
    /// File with a price list; without it nothing is priced
    #[arg(long, value_name = "PRICES")]
    pub prices: Option<PathBuf>,
    /// Code of a premium that the member has a right to; repeat it for several
    #[arg(long, value_name = "CODE", requires = "prices", action = ArgAction::Append)]
    pub premium: Vec<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}
