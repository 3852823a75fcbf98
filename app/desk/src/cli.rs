//! The command line: what can be asked for, in which words.

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
    /// What to do
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Clone, Subcommand)]
pub enum Command {
    /// Work one figure out by the rules of the field
    Calc {
        /// Which figure
        #[command(subcommand)]
        what: Calc,
    },
    /// Serve the phone's page
    Serve(Serve),
}

/// Which figure.
#[derive(Debug, Clone, Subcommand)]
pub enum Calc {
    /// Moisture of honey from readings of a refractometer
    Moisture(CalcMoisture),
    /// Capped share of comb from points of a grid
    Capped(CalcCapped),
    /// How far a class III weighing scale may err at a load
    Scale(CalcScale),
}

/// Readings of one sample on one instrument; repeat the value for several readings.
#[derive(Debug, Clone, Args)]
#[command(group = ArgGroup::new("reading").required(true).args(["refractive_index", "brix", "water"]))]
pub struct CalcMoisture {
    /// Refractive index nD as read, 5 decimals at most
    #[arg(long, value_name = "N", allow_hyphen_values = true,
        action = ArgAction::Append)]
    pub refractive_index: Vec<String>,
    /// Sucrose scale as read, degrees Brix, 2 decimals at most
    #[arg(long, value_name = "N", allow_hyphen_values = true,
        action = ArgAction::Append)]
    pub brix: Vec<String>,
    /// Honey water scale as read, percent, 2 decimals at most
    #[arg(long, value_name = "N", allow_hyphen_values = true,
        action = ArgAction::Append)]
    pub water: Vec<String>,
    /// Temperature of prism and sample, degrees Celsius, 1 decimal at most; once, or once a reading
    #[arg(long, value_name = "C", required = true, allow_hyphen_values = true,
        action = ArgAction::Append)]
    pub temperature: Vec<String>,
    /// The instrument corrects for temperature by itself
    #[arg(long)]
    pub compensated: bool,
    /// What the instrument's last check read less the reference, in its own scale; without it the
    /// instrument counts as not checked
    #[arg(long, value_name = "X", allow_hyphen_values = true)]
    pub offset: Option<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Points of a grid laid over comb.
#[derive(Debug, Clone, Args)]
pub struct CalcCapped {
    /// Points on capped honey
    #[arg(
        long,
        value_name = "N",
        requires = "open",
        required_unless_present = "comb",
        conflicts_with = "comb",
        allow_hyphen_values = true
    )]
    pub capped: Option<String>,
    /// Points on open honey
    #[arg(
        long,
        value_name = "N",
        requires = "capped",
        conflicts_with = "comb",
        allow_hyphen_values = true
    )]
    pub open: Option<String>,
    /// Points on brood, pollen or empty cells
    #[arg(
        long,
        value_name = "N",
        requires = "capped",
        conflicts_with = "comb",
        allow_hyphen_values = true
    )]
    pub other: Option<String>,
    /// The three counts of one comb or comb side; repeat it for several
    #[arg(long, value_name = "CAPPED:OPEN[:OTHER]", action = ArgAction::Append,
        allow_hyphen_values = true)]
    pub comb: Vec<String>,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// A load on a weighing scale.
#[derive(Debug, Clone, Args)]
pub struct CalcScale {
    /// What stands on the scale, kilograms, 3 decimals at most
    #[arg(long, value_name = "KG", allow_hyphen_values = true)]
    pub load: String,
    /// The scale's verification interval e, whole grams
    #[arg(long, value_name = "G", allow_hyphen_values = true)]
    pub interval: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}

/// Where and what to serve.
#[derive(Debug, Clone, Args)]
pub struct Serve {
    /// Folder of the built page
    #[arg(long, value_name = "DIR")]
    pub page: PathBuf,
    /// Address to listen on
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:8700")]
    pub listen: SocketAddr,
}
