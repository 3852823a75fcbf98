//! The clerk's desk: one program, `combgate`, with its ledger inside.
//!
//! - [`cli`]: what can be asked for; [`run`] does it.
//! - [`outcome`]: what a command says, how it ends, and what to do when it fails.
//! - [`calc`]: the measuring rules of core, one figure at a time.
//! - [`serve`]: the phone's page and the clerk's pages over HTTP.
//! - [`sync`]: the listener for handsets.
//! - [`pages`]: the clerk's pages; [`words`]: what they say.
//! - [`accounts`]: who may do what; [`findings`]: what is open and what is done about it.
//! - [`store`]: the ledger; [`desk`]: the folder it lies in; [`keys`]: signatures.
//! - [`import`](mod@import): bundles into the ledger; [`receiving`]: pails at the store;
//!   [`payments`]: what the desk pays; [`statement`]: a member's account.
//!
//! The other commands are one file each, named as they are typed.

pub mod accounts;
pub mod calc;
pub mod cli;
pub mod closing;
pub mod desk;
pub mod findings;
pub mod import;
pub mod keys;
pub mod outcome;
pub mod pages;
pub mod payments;
pub mod receiving;
pub mod reconcile;
pub mod serve;
pub mod statement;
pub mod store;
pub mod sync;
pub mod words;

mod address;
mod amend;
mod assess;
mod backup;
mod brief;
mod currency;
mod daybook;
mod enrol;
mod entry;
mod export;
mod files;
pub mod forget;
mod handsets;
mod init;
mod member;
pub mod register;
mod revoke;
mod statistics;
mod table;
mod terms;
mod typed;
mod verify;

pub use table::TableError;
pub use typed::FigureError;

use cli::{Cli, Command};
use outcome::{Failure, Outcome};

/// Does what the command line asks for.
pub fn run(cli: Cli) -> Result<Outcome, Failure> {
    let desk = cli.desk;
    match cli.command {
        Command::Init(asked) => init::run(&asked),
        Command::Enrol(asked) => enrol::run(&desk, &asked),
        Command::Brief(asked) => brief::run(&desk, &asked),
        Command::Address(asked) => address::run(&desk, &asked),
        Command::Import(asked) => import::run(&desk, &asked),
        Command::Receive(asked) => receiving::command::run(&desk, &asked),
        Command::Pails(asked) => receiving::list::run(&desk, &asked),
        Command::Pay { what } => payments::command::run(&desk, &what),
        Command::Member { what } => member::run(&desk, &what),
        Command::Terms { what } => terms::run(&desk, &what),
        Command::Reconcile(asked) => reconcile::command::run(&desk, &asked),
        Command::Cash(asked) => reconcile::cash::run(&desk, &asked),
        Command::Close(asked) => closing::run(&desk, &asked),
        Command::Closed(asked) => closing::list(&desk, &asked),
        Command::Export(asked) => export::run(&desk, &asked),
        Command::Daybook(asked) => daybook::run(&desk, &asked),
        Command::Handsets(asked) => handsets::run(&desk, &asked),
        Command::Entry(asked) => entry::run(&desk, &asked),
        Command::Verify(asked) => verify::run(&asked),
        Command::Assess(asked) => assess::run(&asked),
        Command::Backup(asked) => backup::back_up(&desk, &asked),
        Command::Restore(asked) => backup::restore(&asked),
        Command::Calc { what } => calc::run(&what),
        Command::Account { what } => accounts::run(&desk, &what),
        Command::Findings(asked) => findings::list(&desk, &asked),
        Command::Settle(asked) => findings::settle(&desk, &asked),
        Command::Reverse(asked) => findings::run_reverse(&desk, &asked),
        Command::Acknowledge(asked) => import::acknowledge_handset(&desk, &asked),
        Command::Revoke(asked) => revoke::run(&desk, &asked),
        Command::Statistics(asked) => statistics::run(&desk, &asked),
        Command::Serve(asked) => serve::run(&desk, &asked),
    }
}
