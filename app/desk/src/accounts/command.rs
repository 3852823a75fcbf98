//! `combgate account`: who may sign in.

use super::{AccountError, account_name, active, add, hashed};
use crate::cli::AccountWhat;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Account, Clerks, Store};
use chrono::{DateTime, FixedOffset};
use clap::ValueEnum;
use combgate_core::units::Code;
use serde::Serialize;
use std::fmt::Write;
use std::io::{BufRead, IsTerminal, Read};
use std::path::Path;

/// Most bytes of a line with a password; one too long for hashing is still told as that.
const LINE_BYTES_AT_MOST: u64 = 4 * 1024;

#[derive(Serialize)]
struct AccountAnswer<'a> {
    name: &'a Code,
    role: String,
    made_at: DateTime<FixedOffset>,
    #[serde(skip_serializing_if = "Option::is_none")]
    removed_at: Option<DateTime<FixedOffset>>,
}

/// Does what is asked with accounts.
pub(crate) fn run(folder: &Path, asked: &AccountWhat) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let now = desk::now();
    match asked {
        AccountWhat::Add(asked) => {
            let name = account_name(&asked.name)?;
            let account = add(&mut desk.store, name, asked.role, &read_password()?, now)?;
            let said = format!("{} may sign in as {}.\n", account.name, role_of(&account));
            answered(&account, said, asked.json)
        }
        AccountWhat::List(asked) => list(&desk.store.accounts()?, asked.json),
        AccountWhat::Remove(asked) => {
            let mut account = known(&desk.store, &asked.name)?;
            account.removed_at = Some(now);
            change(&mut desk.store, &account)?;
            let said = format!("{} may no longer sign in.\n", account.name);
            answered(&account, said, asked.json)
        }
        AccountWhat::Password(asked) => {
            let mut account = known(&desk.store, &asked.name)?;
            account.password =
                hashed(&read_password()?, &account.name).map_err(AccountError::from)?;
            change(&mut desk.store, &account)?;
            let said = format!(
                "{} has a new password, and must sign in again with it.\n",
                account.name
            );
            answered(&account, said, asked.json)
        }
    }
}

fn change(store: &mut impl Store, account: &Account) -> Result<(), AccountError> {
    store.atomically(|store| Ok(store.change_account(account)?))
}

fn known(store: &impl Clerks, typed: &str) -> Result<Account, AccountError> {
    let name = account_name(typed)?;
    active(store, &name)?.ok_or(AccountError::Unknown(name))
}

/// One line of standard input.
fn read_password() -> Result<String, AccountError> {
    let input = std::io::stdin().lock();
    if input.is_terminal() {
        eprintln!("Type the password and press Enter. It shows as you type.");
    }
    let mut line = String::new();
    std::io::BufReader::new(input.take(LINE_BYTES_AT_MOST))
        .read_line(&mut line)
        .map_err(AccountError::Unread)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}

fn role_of(account: &Account) -> String {
    account
        .role
        .to_possible_value()
        .map_or_else(String::new, |role| role.get_name().to_owned())
}

fn answer(account: &Account) -> AccountAnswer<'_> {
    AccountAnswer {
        name: &account.name,
        role: role_of(account),
        made_at: account.made_at,
        removed_at: account.removed_at,
    }
}

fn answered(account: &Account, said: String, as_json: bool) -> Result<Outcome, Failure> {
    Ok(Outcome::done(if as_json {
        json(&answer(account))?
    } else {
        said
    }))
}

fn list(accounts: &[Account], as_json: bool) -> Result<Outcome, Failure> {
    if as_json {
        let answers: Vec<_> = accounts.iter().map(answer).collect();
        return Ok(Outcome::done(json(&answers)?));
    }
    let mut text = String::new();
    for account in accounts {
        let removed = account.removed_at.map_or_else(String::new, |at| {
            format!("  taken away {}", at.date_naive())
        });
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{:<20}  {:<10}{removed}",
            account.name.as_str(),
            role_of(account)
        );
    }
    if accounts.is_empty() {
        text.push_str("Nobody may sign in yet: make an account with `combgate account add`.\n");
    }
    Ok(Outcome::done(text))
}
