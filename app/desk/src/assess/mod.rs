//! `combgate assess`: judges one delivery by a policy, and prices it by a price list.

mod words;

use crate::cli;
use crate::files::{FileError, read_text};
use crate::outcome::{Advice, Failure, Outcome, json};
use combgate_core::intake::{
    AssessError, Assessment, Delivery, DeliveryError, Policy, Terms, TermsError, judge,
};
use combgate_core::record::{
    AssessmentV1, DeliveryV1, DocumentError, ENTRY_BYTES_AT_MOST, PolicyV1, PriceListV1,
    TERMS_BYTES_AT_MOST, from_text,
};
use combgate_core::units::{Code, Currency, TextError};
use std::path::{Path, PathBuf};

/// A delivery that is not assessed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum AssessCommandError {
    /// A file cannot be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// A document is not what it must be.
    #[error("{file}: {error}")]
    Document {
        /// Which file.
        file: PathBuf,
        /// What is wrong.
        error: DocumentError,
    },
    /// Policy and price list.
    #[error("the policy and the price list do not go together: {0}")]
    Terms(#[from] TermsError),
    /// A premium's code.
    #[error("--premium: {0}")]
    Premium(#[from] TextError),
    /// The delivery cannot be.
    #[error(transparent)]
    Delivery(#[from] DeliveryError),
    /// It cannot be assessed.
    #[error(transparent)]
    Assess(#[from] AssessError),
}

impl Advice for AssessCommandError {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::Document { .. } | Self::Delivery(_) | Self::Assess(_) => {
                "correct that file; demo-fixtures holds deliveries, policies and price lists to \
                 compare it with"
                    .to_owned()
            }
            Self::Terms(_) => "correct one of the two files".to_owned(),
            Self::Premium(_) => "give the code as the price list has it".to_owned(),
        }
    }
}

/// Assesses a delivery.
pub(crate) fn run(asked: &cli::Assess) -> Result<Outcome, Failure> {
    let (assessment, currency) = assess(asked)?;
    let answer = AssessmentV1::from(&assessment);
    Ok(Outcome::done(if asked.json {
        json(&answer)?
    } else {
        words::words(&answer, currency)
    }))
}

fn assess(asked: &cli::Assess) -> Result<(Assessment, Option<Currency>), AssessCommandError> {
    let wire: DeliveryV1 = document(&asked.delivery, ENTRY_BYTES_AT_MOST, |text| {
        from_text("delivery", text, ENTRY_BYTES_AT_MOST)
    })?;
    let delivery = Delivery::try_from(&wire).map_err(|error| AssessCommandError::Document {
        file: asked.delivery.clone(),
        error,
    })?;
    let policy: Policy = document(&asked.policy, TERMS_BYTES_AT_MOST, PolicyV1::read)?;
    let Some(prices) = &asked.prices else {
        let judgement = judge(&delivery, &policy)?;
        let price = None;
        return Ok((Assessment { judgement, price }, None));
    };
    let prices = document(prices, TERMS_BYTES_AT_MOST, PriceListV1::read)?;
    let currency = prices.parts().currency;
    let premiums: Vec<Code> = asked
        .premium
        .iter()
        .map(|code| Code::new(code))
        .collect::<Result<_, _>>()?;
    let terms = Terms::new(policy, prices)?;
    Ok((terms.assess(&delivery, &premiums, None)?, Some(currency)))
}

fn document<T>(
    path: &Path,
    limit: usize,
    read: impl FnOnce(&str) -> Result<T, DocumentError>,
) -> Result<T, AssessCommandError> {
    let text = read_text(path, limit)?;
    read(&text).map_err(|error| AssessCommandError::Document {
        file: path.to_owned(),
        error,
    })
}
