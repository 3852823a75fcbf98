//! The clerk's desk: one program, `combgate`, with its ledger inside.
//!
//! - [`cli`]: what can be asked for; [`run`] does it.
//! - [`outcome`]: what a command says, how it ends, and what to do when it fails.
//! - [`calc`]: the measuring rules of core, one figure at a time.
//! - [`serve`]: the phone's page over HTTP.

pub mod calc;
pub mod cli;
pub mod keys;
pub mod outcome;
pub mod serve;
pub mod store;

mod typed;

use cli::{Cli, Command};
use outcome::{Failure, Outcome};

/// Does what the command line asks for.
pub fn run(cli: Cli) -> Result<Outcome, Failure> {
    match cli.command {
        Command::Calc { what } => calc::run(&what),
        Command::Serve(asked) => serve::run(&asked),
    }
}
