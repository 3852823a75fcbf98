//! `combgate address`: where handsets reach this desk over the network. Briefs made from then on
//! carry it, and the listener answers to no other name.

use crate::cli;
use crate::desk::{self, OpenDesk};
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Desk, Office, Store, StoreError};
use combgate_core::record::{AddressError, DeskAddress};
use serde::Serialize;
use std::path::Path;

/// An address that is not kept.
#[derive(Debug, thiserror::Error)]
pub(crate) enum SetAddressError {
    /// What was typed.
    #[error(transparent)]
    Address(#[from] AddressError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for SetAddressError {
    fn hint(&self) -> String {
        match self {
            Self::Address(_) => {
                "give the address at which the officers' phones reach this desk, such as \
                 https://desk.example:8720"
                    .to_owned()
            }
            Self::Store(error) => error.hint(),
        }
    }
}

/// Keeps an address as typed; an empty one is none.
pub(crate) fn set(
    desk: &mut OpenDesk,
    typed: &str,
) -> Result<Option<DeskAddress>, SetAddressError> {
    let address = match typed.trim() {
        "" => None,
        typed => Some(DeskAddress::new(typed)?),
    };
    let changed = Desk {
        address: address.clone(),
        ..desk.desk.clone()
    };
    desk.store.atomically(|store| store.keep_desk(&changed))?;
    desk.desk = changed;
    Ok(address)
}

#[derive(Serialize)]
struct Answer {
    address: Option<DeskAddress>,
}

/// The command: shows the address, or keeps another.
pub(crate) fn run(folder: &Path, asked: &cli::SetAddress) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let (address, is_new) = if asked.none {
        (set(&mut desk, "")?, true)
    } else if let Some(typed) = &asked.address {
        (set(&mut desk, typed)?, true)
    } else {
        (desk.desk.address, false)
    };
    if asked.json {
        return Ok(Outcome::done(json(&Answer { address })?));
    }
    let told = match address {
        Some(address) => format!("Handsets reach this desk at {address}\n"),
        None => "Handsets do not reach this desk over the network.\n".to_owned(),
    };
    let next = if is_new {
        "Briefs made from now on say so: give each officer a new one.\n"
    } else {
        ""
    };
    Ok(Outcome::done(told + next))
}
