//! `combgate terms try`: what a policy or a price list would have done to receipts and slips of before.
//!
//! Every delivery is judged and priced anew from what was seen, read and weighed, by the same rules
//! as ever. Nothing is kept.

use crate::cli;
use crate::currency::{self, CurrencyError, sum};
use crate::desk;
use crate::files::{FileError, read_text};
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Journals, Office, Papers, SqliteStore, StoreError, TermsKind};
use chrono::{Months, NaiveDate};
use combgate_core::intake::{Decision, Delivery, Policy, PriceList, Terms, TermsError};
use combgate_core::record::{
    AssessmentV1, DocumentError, EntryBody, PolicyV1, PriceListV1, ReceiptNumber,
    TERMS_BYTES_AT_MOST,
};
use combgate_core::units::{Code, Currency};
use serde::Serialize;
use std::fmt::Write;
use std::ops::RangeInclusive;
use std::path::Path;

/// Terms that cannot be tried.
#[derive(Debug, thiserror::Error)]
pub(crate) enum TrialError {
    /// The file.
    #[error(transparent)]
    File(#[from] FileError),
    /// What is in it.
    #[error("this is no policy and no price list that can be taken: {0}")]
    Document(#[from] DocumentError),
    /// The two do not go together.
    #[error("policy {policy} and price list {price_list} do not go together: {error}")]
    Terms {
        /// Which policy.
        policy: Code,
        /// Which price list.
        price_list: Code,
        /// Why not.
        error: TermsError,
    },
    /// Nothing to go with it.
    #[error("the desk has no {0} yet to go with it")]
    Alone(&'static str),
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for TrialError {
    fn hint(&self) -> String {
        match self {
            Self::File(error) => error.hint(),
            Self::Document(_) => {
                "choose a policy or a price list as JSON; demo-fixtures/cooperative \
                                  holds one of each to begin from"
                    .to_owned()
            }
            Self::Terms { .. } => "correct one of the two, or try both together".to_owned(),
            Self::Alone(_) => "take one in, or try both together".to_owned(),
            Self::Currency(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// How a paper stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Stands {
    pub(crate) decision: Decision,
    pub(crate) grade: Option<Code>,
    pub(crate) payable_minor: i64,
}

impl From<&AssessmentV1> for Stands {
    fn from(assessment: &AssessmentV1) -> Self {
        Self {
            decision: assessment.decision,
            grade: assessment.grade.clone(),
            payable_minor: assessment.payable_minor.unwrap_or(0),
        }
    }
}

/// A paper that would have come out otherwise.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Change {
    pub(crate) handset: Code,
    pub(crate) seq: u64,
    pub(crate) number: ReceiptNumber,
    pub(crate) day: NaiveDate,
    pub(crate) was: Stands,
    pub(crate) would_be: Stands,
}

/// What would have come of it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Trial {
    pub(crate) first: NaiveDate,
    pub(crate) last: NaiveDate,
    /// Papers judged anew.
    pub(crate) papers: u64,
    /// Papers that cannot be judged by it, such as one of a product that it does not name.
    pub(crate) unjudged: u64,
    pub(crate) was_minor: i64,
    pub(crate) would_be_minor: i64,
    pub(crate) changes: Vec<Change>,
}

/// A policy or a price list, as its text says.
pub(crate) enum Tried {
    Policy(Policy),
    PriceList(PriceList),
}

/// Reads a text that is one of the two.
pub(crate) fn read_either(text: &str) -> Result<Tried, DocumentError> {
    if text.contains("combgate-policy/") {
        PolicyV1::read(text).map(Tried::Policy)
    } else {
        PriceListV1::read(text).map(Tried::PriceList)
    }
}

/// Terms of what is tried and, where one of the two is not, of the newest that the desk has.
pub(crate) fn terms_of(
    store: &impl Office,
    policy: Option<Policy>,
    prices: Option<PriceList>,
) -> Result<Terms, TrialError> {
    let newest = |kind, name| {
        store
            .newest_terms(kind)?
            .ok_or(TrialError::Alone(name))
            .map(|terms| terms.document)
    };
    let policy = match policy {
        Some(policy) => policy,
        None => PolicyV1::read(&newest(TermsKind::Policy, "policy")?)?,
    };
    let prices = match prices {
        Some(prices) => prices,
        None => PriceListV1::read(&newest(TermsKind::PriceList, "price list")?)?,
    };
    let (of_policy, of_prices) = (policy.parts().id.clone(), prices.parts().id.clone());
    Terms::new(policy, prices).map_err(|error| TrialError::Terms {
        policy: of_policy,
        price_list: of_prices,
        error,
    })
}

/// The last month of the books: from the day after, a month before their last day, to that day.
pub(crate) fn last_month(store: &impl Journals) -> Result<RangeInclusive<NaiveDate>, StoreError> {
    let last = store
        .latest_days(1)?
        .pop()
        .unwrap_or_else(|| desk::now().date_naive());
    let first = last
        .checked_sub_months(Months::new(1))
        .and_then(|day| day.succ_opt())
        .unwrap_or(last);
    Ok(first..=last)
}

/// The days asked for, else the last month of the books.
pub(crate) fn days_of(
    store: &impl Journals,
    asked: &cli::LastMonth,
) -> Result<RangeInclusive<NaiveDate>, StoreError> {
    let month = last_month(store)?;
    Ok(asked.from.unwrap_or(*month.start())..=asked.to.unwrap_or(*month.end()))
}

/// Judges and prices every paper of some days by other terms. Cancelled ones are left out.
pub(crate) fn judge_again(
    store: &SqliteStore,
    terms: &Terms,
    days: RangeInclusive<NaiveDate>,
) -> Result<Trial, StoreError> {
    let mut run = Trial {
        first: *days.start(),
        last: *days.end(),
        papers: 0,
        unjudged: 0,
        was_minor: 0,
        would_be_minor: 0,
        changes: Vec::new(),
    };
    for paper in store.papers_between(days)? {
        if paper.cancelled_by.is_some() {
            continue;
        }
        let entries = store.booked_among(&paper.handset, paper.seq..=paper.seq)?;
        let Some(entry) = entries.first() else {
            continue;
        };
        let Some((was, would_be)) = judged(entry.body(), terms) else {
            run.unjudged += 1;
            continue;
        };
        run.papers += 1;
        run.was_minor = run.was_minor.saturating_add(was.payable_minor);
        run.would_be_minor = run.would_be_minor.saturating_add(would_be.payable_minor);
        if was != would_be {
            run.changes.push(Change {
                handset: paper.handset,
                seq: paper.seq,
                number: paper.number,
                day: paper.day,
                was,
                would_be,
            });
        }
    }
    Ok(run)
}

fn judged(body: &EntryBody, terms: &Terms) -> Option<(Stands, Stands)> {
    let (signed, delivery, premiums, advance) = match body {
        EntryBody::Receipt(receipt) => (
            &receipt.assessment,
            &receipt.delivery,
            receipt.premiums.as_slice(),
            receipt.advance.as_ref(),
        ),
        EntryBody::Slip(slip) => (&slip.assessment, &slip.delivery, &[][..], None),
        _ => return None,
    };
    let advance = advance
        .map(|advance| advance.advance(terms.prices().parts().currency))
        .transpose()
        .ok()?;
    let delivery = Delivery::try_from(delivery).ok()?;
    let own = terms.assess(&delivery, premiums, advance.as_ref()).ok()?;
    Some((signed.into(), (&AssessmentV1::from(&own)).into()))
}

/// The command.
pub(crate) fn run(folder: &Path, asked: &cli::TryTerms) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    let run = ask(&desk.store, asked)?;
    let unit = currency::of_ledger(&desk.store)?;
    Ok(Outcome::done(if asked.json {
        json(&run)?
    } else {
        words(&run, unit)
    }))
}

fn ask(store: &SqliteStore, asked: &cli::TryTerms) -> Result<Trial, TrialError> {
    let read = |path: &Path| read_text(path, TERMS_BYTES_AT_MOST);
    let policy = match &asked.policy {
        Some(path) => Some(PolicyV1::read(&read(path)?)?),
        None => None,
    };
    let prices = match &asked.prices {
        Some(path) => Some(PriceListV1::read(&read(path)?)?),
        None => None,
    };
    let terms = terms_of(store, policy, prices)?;
    Ok(judge_again(store, &terms, days_of(store, &asked.days)?)?)
}

fn words(run: &Trial, unit: Option<Currency>) -> String {
    let mut text = format!(
        "{} to {}: {} papers judged anew, {} would come out otherwise, {} cannot be judged by it\n\
         payable {} was {}, would be {}\n",
        run.first,
        run.last,
        run.papers,
        run.changes.len(),
        run.unjudged,
        currency::unit(unit),
        sum(run.was_minor, unit),
        sum(run.would_be_minor, unit),
    );
    let told = |stands: &Stands| {
        let grade = stands.grade.as_ref().map_or("-", Code::as_str);
        format!(
            "{} {grade} {}",
            crate::store::decision_word(stands.decision),
            sum(stands.payable_minor, unit)
        )
    };
    for change in &run.changes {
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "  {}  {}: {} -> {}",
            change.day,
            change.number,
            told(&change.was),
            told(&change.would_be)
        );
    }
    text
}
