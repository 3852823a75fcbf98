//! The ledger's one currency: that of the price list taken in last.

use crate::outcome::Advice;
use crate::store::{Office, StoreError, TermsKind};
use combgate_core::record::{DocumentError, PriceListV1};
use combgate_core::units::Currency;
use combgate_ui::figures::{decimal, money};

/// A currency that cannot be told.
#[derive(Debug, thiserror::Error)]
pub enum CurrencyError {
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A price list in the ledger.
    #[error("the price list in the ledger cannot be read: {0}")]
    PriceList(#[from] DocumentError),
}

impl Advice for CurrencyError {
    fn hint(&self) -> String {
        match self {
            Self::Store(error) => error.hint(),
            Self::PriceList(_) => {
                "update this program, or take the price list in again with `combgate init`"
                    .to_owned()
            }
        }
    }
}

/// The currency; `None` before there is a price list.
pub(crate) fn of_ledger(store: &impl Office) -> Result<Option<Currency>, CurrencyError> {
    let prices = store
        .newest_terms(TermsKind::PriceList)?
        .map(|terms| PriceListV1::read(&terms.document))
        .transpose()?;
    Ok(prices.map(|prices| prices.parts().currency))
}

/// Money for people; bare minor units as long as there is no currency.
pub(crate) fn sum(minor: i64, currency: Option<Currency>) -> String {
    money(minor, decimals(currency))
}

/// Money for another program: a plain decimal in the currency's main unit.
pub(crate) fn plain(minor: i64, currency: Option<Currency>) -> String {
    let places = usize::from(decimals(currency));
    decimal(minor, places, places)
}

/// What the currency is called in headings.
pub(crate) fn unit(currency: Option<Currency>) -> &'static str {
    currency.map_or("minor units", Currency::code)
}

fn decimals(currency: Option<Currency>) -> u8 {
    // OK because ISO 4217 knows no more than four decimals.
    u8::try_from(currency.map_or(0, Currency::decimals)).unwrap_or_default()
}
