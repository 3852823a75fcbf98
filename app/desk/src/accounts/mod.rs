//! Who may sign in at the desk, and what each role may do.

mod command;
mod password;

pub(crate) use command::run;
pub use password::{PasswordError, fits, hashed};

use crate::outcome::Advice;
use crate::store::{Account, Clerks, Role, Store, StoreError};
use chrono::{DateTime, FixedOffset};
use combgate_core::units::{Code, TextError};

/// What is asked for at the desk. Looking is everybody's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Right {
    /// Take in bundles and make acknowledgements.
    Import,
    /// Settle findings.
    Settle,
    /// Enrol handsets and give out briefs.
    Handsets,
    /// Take handsets out of use.
    Revoke,
    /// Change the register.
    Register,
    /// Take in policies and price lists.
    Terms,
    /// Receive pails at the store.
    Receive,
    /// Propose, export and settle payments.
    Pay,
    /// Approve payments.
    ApprovePayments,
    /// Reverse payments.
    ReversePayments,
    /// Close days, and write down cash given to officers.
    Close,
    /// Take part of the books out as a file.
    Export,
    /// Make a backup, which holds the desk's key.
    BackUp,
    /// Forget a member.
    Forget,
}

impl Role {
    /// Every role, in the order of the work.
    pub const ALL: [Self; 3] = [Self::Receiver, Self::Bookkeeper, Self::Approver];

    /// Whether a role may do it. Who books does not set prices, and who approves does not book.
    pub const fn may(self, right: Right) -> bool {
        match right {
            Right::Import => matches!(self, Self::Receiver | Self::Bookkeeper),
            Right::Settle | Right::Handsets | Right::Register | Right::Pay | Right::Close => {
                matches!(self, Self::Bookkeeper)
            }
            Right::Receive => matches!(self, Self::Receiver),
            Right::Revoke
            | Right::ReversePayments
            | Right::Export
            | Right::BackUp
            | Right::Forget => {
                matches!(self, Self::Bookkeeper | Self::Approver)
            }
            Right::Terms | Right::ApprovePayments => matches!(self, Self::Approver),
        }
    }
}

/// An account that cannot be made or changed.
#[derive(Debug, thiserror::Error)]
pub enum AccountError {
    /// A name.
    #[error("'{name}' cannot be an account's name: {error}")]
    Name {
        /// As typed.
        name: String,
        /// Why not.
        error: TextError,
    },
    /// The name is or was somebody's.
    #[error("{0} is, or was, the name of another account")]
    Taken(Code),
    /// Nobody of that name.
    #[error("there is no account {0}")]
    Unknown(Code),
    /// The password.
    #[error(transparent)]
    Password(#[from] PasswordError),
    /// Where a password was to come from.
    #[error("no password could be read: {0}")]
    Unread(std::io::Error),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for AccountError {
    fn hint(&self) -> String {
        match self {
            Self::Name { .. } => "use letters, digits, '-' or '.', such as neema.o".to_owned(),
            Self::Taken(_) => {
                "choose another name: what was done under a name stays under it".to_owned()
            }
            Self::Unknown(_) => "see who there is with `combgate account list`".to_owned(),
            Self::Password(error) => error.hint(),
            Self::Unread(_) => "write the password on one line to standard input, such as \
                 `combgate account add NAME --role bookkeeper < FILE`"
                .to_owned(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// A name as it is kept: in small letters, so that nobody can pass for another by a capital.
pub fn account_name(typed: &str) -> Result<Code, AccountError> {
    Code::new(&typed.to_ascii_lowercase()).map_err(|error| AccountError::Name {
        name: typed.chars().take(Code::MAX).collect(),
        error,
    })
}

/// Makes an account.
pub fn add(
    store: &mut impl Store,
    name: Code,
    role: Role,
    password: &str,
    now: DateTime<FixedOffset>,
) -> Result<Account, AccountError> {
    let account = Account {
        password: hashed(password, &name)?,
        name,
        role,
        made_at: now,
        removed_at: None,
    };
    store.atomically(|store| {
        if store.keep_account(&account)? {
            Ok(())
        } else {
            Err(AccountError::Taken(account.name.clone()))
        }
    })?;
    Ok(account)
}

/// Somebody who may sign in.
pub fn active(store: &impl Clerks, name: &Code) -> Result<Option<Account>, StoreError> {
    Ok(store
        .account(name)?
        .filter(|account| account.removed_at.is_none()))
}

/// Everybody who may sign in, in order of name.
pub fn active_ones(store: &impl Clerks) -> Result<Vec<Account>, StoreError> {
    let mut accounts = store.accounts()?;
    accounts.retain(|account| account.removed_at.is_none());
    Ok(accounts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_role_both_books_and_sets_prices() {
        for role in Role::ALL {
            assert!(
                !(role.may(Right::Settle) && role.may(Right::Terms)),
                "{role:?}"
            );
        }
        assert!(!Role::Receiver.may(Right::Settle));
        assert!(Role::Bookkeeper.may(Right::Import));
    }

    #[test]
    fn names_differ_by_more_than_a_capital() {
        assert_eq!(account_name(" Neema.O ").unwrap().as_str(), "neema.o");
        assert!(account_name("neema osale").is_err());
    }
}
