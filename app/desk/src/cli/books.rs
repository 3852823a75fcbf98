//! What can be asked of the books: receiving, reconciling, paying, closing.

use chrono::NaiveDate;
use clap::{ArgGroup, Args};

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
    /// Interval e of the store's scale, whole grams
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
    /// First day of the papers [default: 30 days before the last]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub from: Option<NaiveDate>,
    /// Last day of the papers [default: today]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub to: Option<NaiveDate>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}
