//! The measuring rules of core, one figure at a time, without a ledger.

mod capped;
mod moisture;
mod scale;

use crate::cli::Calc;
use crate::outcome::{Failure, Outcome};

/// Works a figure out.
pub fn run(what: &Calc) -> Result<Outcome, Failure> {
    match what {
        Calc::Moisture(asked) => moisture::run(asked),
        Calc::Capped(asked) => capped::run(asked),
        Calc::Scale(asked) => scale::run(asked),
    }
}
