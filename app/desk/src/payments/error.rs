//! Why something is not paid.

use crate::currency::CurrencyError;
use crate::files::FileError;
use crate::outcome::{Advice, Exit};
use crate::store::StoreError;
use crate::table::TableError;
use combgate_core::clerk::PersonError;
use combgate_core::record::{NumberError, ReceiptNumber};
use combgate_core::units::{Label, TextError};

/// Something that is not paid.
#[derive(Debug, thiserror::Error)]
pub enum PayError {
    /// Nothing is owed.
    #[error("nothing is owed that could go on a list")]
    NothingDue,
    /// Nothing is owed on a receipt.
    #[error("nothing is owed on receipt {0}, or it is not booked")]
    NotOwed(ReceiptNumber),
    /// Something serious was found.
    #[error("receipt {receipt} is questioned: {sentence}")]
    Questioned {
        /// Which receipt.
        receipt: ReceiptNumber,
        /// What was found.
        sentence: String,
    },
    /// It is on a list already.
    #[error("receipt {receipt} stands on payment list {list}")]
    Listed {
        /// Which receipt.
        receipt: ReceiptNumber,
        /// Which list.
        list: i64,
    },
    /// No such list.
    #[error("there is no payment list {0}")]
    NoList(i64),
    /// A person who did the earlier part.
    #[error(transparent)]
    Person(#[from] PersonError),
    /// Approved before.
    #[error("payment list {list} was approved by {by}")]
    ApprovedBefore {
        /// Which list.
        list: i64,
        /// By whom.
        by: Label,
    },
    /// What is owed changed since the list was proposed.
    #[error("receipt {receipt} on payment list {list} was paid or cancelled since")]
    Changed {
        /// Which receipt.
        receipt: ReceiptNumber,
        /// Which list.
        list: i64,
    },
    /// All of the list was reversed.
    #[error("nothing is left on payment list {0}")]
    Empty(i64),
    /// Not approved yet.
    #[error("payment list {0} is not approved")]
    NotApproved(i64),
    /// Mobile money without a reference.
    #[error("mobile money is confirmed with the provider's reference")]
    NoReference,
    /// Nothing on the list to confirm.
    #[error("nothing on payment list {0} is still to be paid")]
    NothingToConfirm(i64),
    /// Nothing on the list to reverse.
    #[error("nothing on payment list {0} is still to be reversed")]
    NothingToReverse(i64),
    /// A list of cash is no file for a provider.
    #[error("payment list {0} is paid in cash")]
    CashList(i64),
    /// Members without a telephone number.
    #[error("the register has no telephone number of member {0}")]
    NoPhone(combgate_core::units::Code),
    /// A text.
    #[error("{option}: {error}")]
    Text {
        /// Which option.
        option: &'static str,
        /// What is wrong with it.
        error: TextError,
    },
    /// A receipt's number.
    #[error(transparent)]
    Number(#[from] NumberError),
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// The table.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for PayError {
    fn hint(&self) -> String {
        let fixed = match self {
            Self::Changed { receipt, list } => {
                return format!(
                    "take it off with `combgate pay reverse {list} --receipt {receipt} --reason \
                     …`, then approve the rest"
                );
            }
            Self::Currency(error) => return error.hint(),
            Self::Table(error) => return error.hint(),
            Self::File(error) => return error.hint(),
            Self::Store(error) => return error.hint(),
            Self::NothingDue | Self::NotOwed(_) => {
                "see what is owed, and why something is not on it, with `combgate pay list`"
            }
            Self::Questioned { .. } => {
                "settle it with the officer first; if it is to be paid all the same, say why: \
                 `combgate pay propose --receipt NUMBER --despite REASON …`"
            }
            Self::Listed { .. } => "see that list with `combgate pay show LIST`",
            Self::NoList(_) => "see the lists with `combgate pay list`",
            Self::Person(_) => "ask a colleague to give the command with their name",
            Self::ApprovedBefore { .. } => {
                "nothing more is to be approved; export it, or confirm that it was paid"
            }
            Self::Empty(_) => "propose a new list",
            Self::NotApproved(_) => {
                "have another person than the proposer approve it with `combgate pay approve LIST`"
            }
            Self::NoReference => "give the reference that the provider showed with --reference",
            Self::NothingToConfirm(_) | Self::NothingToReverse(_) => {
                "see where each payment stands with `combgate pay show LIST`"
            }
            Self::CashList(_) => "pay it out against signature; only mobile money is exported",
            Self::NoPhone(_) => {
                "take the number in with the register, or reverse that payment and pay in cash"
            }
            Self::Text { .. } => "write it again by hand",
            Self::Number(_) => "copy the number from the receipt",
        };
        fixed.to_owned()
    }

    fn exit(&self) -> Exit {
        match self {
            Self::Person(_)
            | Self::Questioned { .. }
            | Self::Listed { .. }
            | Self::Changed { .. }
            | Self::ApprovedBefore { .. } => Exit::Questioned,
            _ => Exit::Unusable,
        }
    }
}
