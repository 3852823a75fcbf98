//! What the office says: members and terms, with their history.

use super::{AskStatement, LastMonth};
use clap::{ArgGroup, Args, Subcommand};
use std::path::PathBuf;

/// What of a member.
#[derive(Debug, Clone, Subcommand)]
pub enum AskMember {
    /// Print a member's account over some days: kilograms, grades, value, deductions, paid, owed
    Statement(AskStatement),
    /// Put a member on the register, or change what it says of one
    Set(SetMember),
    /// Bring the register up to date from a table or a list as JSON
    Take(TakeMembers),
    /// Print who changed what of a member, and when
    History(MemberHistory),
    /// Forget a member who asks for it: the books and signatures stay, the name leaves the desk
    Forget(Forget),
    /// Open what was sealed when a member was forgotten, with the key that was written then
    Unseal(Unseal),
}

/// Whom, and what is to stand there. What is left out stays as it is; an empty text takes it away.
#[derive(Debug, Clone, Args)]
pub struct SetMember {
    /// The member's number
    #[arg(value_name = "MEMBER")]
    pub member: String,
    /// Name; a new member needs one
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// Village
    #[arg(long, value_name = "VILLAGE")]
    pub village: Option<String>,
    /// Telephone, only when paid by it
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    pub phone: Option<String>,
    /// Language of receipts, such as sw
    #[arg(long, value_name = "CODE")]
    pub language: Option<String>,
    /// Codes of premiums the member has a right to, with blanks between them
    #[arg(long, value_name = "CODES")]
    pub premiums: Option<String>,
    /// Who lent an advance
    #[arg(long, value_name = "NAME")]
    pub advance_payee: Option<String>,
    /// What of it is outstanding, in the price list's currency, such as 15000
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub advance: Option<String>,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which file.
#[derive(Debug, Clone, Args)]
pub struct TakeMembers {
    /// Table (CSV) or list (JSON), as `combgate export members` writes it
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Whose history.
#[derive(Debug, Clone, Args)]
pub struct MemberHistory {
    /// The member's number
    #[arg(value_name = "MEMBER")]
    pub member: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Whom, and where the key goes.
#[derive(Debug, Clone, Args)]
pub struct Forget {
    /// The member's number
    #[arg(value_name = "MEMBER")]
    pub member: String,
    /// File for the key that opens the sealed documents; keep it away from the desk
    #[arg(long, value_name = "FILE")]
    pub key_out: PathBuf,
    /// Why
    #[arg(long, value_name = "REASON")]
    pub reason: String,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// With which key.
#[derive(Debug, Clone, Args)]
pub struct Unseal {
    /// The member's number
    #[arg(value_name = "MEMBER")]
    pub member: String,
    /// File that `combgate member forget` wrote the key to
    #[arg(long, value_name = "FILE")]
    pub key: PathBuf,
}

/// What of policies and price lists.
#[derive(Debug, Clone, Subcommand)]
pub enum TermsWhat {
    /// List them with their days in force, and who took them in
    List(ListTerms),
    /// See what a policy or a price list would have done to last month's receipts
    Try(TryTerms),
    /// Take a policy or a price list in; it stays for ever, because receipts name it
    Take(TakeTerms),
}

/// How to answer.
#[derive(Debug, Clone, Args)]
pub struct ListTerms {
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which terms, and on which days' papers.
#[derive(Debug, Clone, Args)]
#[command(group = ArgGroup::new("tried").required(true).multiple(true).args(["policy", "prices"]))]
pub struct TryTerms {
    /// File with a policy [default: the newest that the desk has]
    #[arg(long, value_name = "FILE")]
    pub policy: Option<PathBuf>,
    /// File with a price list [default: the newest that the desk has]
    #[arg(long, value_name = "FILE")]
    pub prices: Option<PathBuf>,
    /// Which days.
    #[command(flatten)]
    pub days: LastMonth,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Which file.
#[derive(Debug, Clone, Args)]
pub struct TakeTerms {
    /// File with a policy or a price list
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Who does it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}
