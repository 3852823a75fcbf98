//! Which figure is to be worked out, and from what.

use clap::{ArgAction, ArgGroup, Args, Subcommand};

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
    /// The step of the scale, its interval e, whole grams
    #[arg(long, value_name = "G", allow_hyphen_values = true)]
    pub interval: String,
    /// Answer in JSON
    #[arg(long)]
    pub json: bool,
}
