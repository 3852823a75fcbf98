//! `combgate pay …`.

use super::answer::{
    ExportAnswer, ListAnswer, Overview, OverviewAnswer, list_words, overview_words,
};
use super::{
    ListView, PayError, Proposal, approve, confirm, due_receipts, export, propose, reverse, view,
};
use crate::cli::{MeansWord, Pay};
use crate::closing::open_day;
use crate::currency;
use crate::desk;
use crate::outcome::{Failure, Outcome, json};
use crate::store::{Act, Payments, Reversed, SqliteStore};
use combgate_core::record::{Means, ReceiptNumber};
use combgate_core::units::{Code, Label, TextError};
use std::path::Path;

/// Does a step of paying.
pub(crate) fn run(folder: &Path, what: &Pay) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let store = &mut desk.store;
    let now = desk::now();
    let act = |by: &str| {
        Ok::<_, PayError>(Act {
            by: Label::new(by).map_err(text("--by"))?,
            at: now,
        })
    };
    match what {
        Pay::List(asked) => {
            let overview = overview(store)?;
            Ok(Outcome::done(if asked.json {
                json(&OverviewAnswer::of(&overview))?
            } else {
                overview_words(&overview)
            }))
        }
        Pay::Propose(asked) => {
            let proposal = Proposal {
                means: means(asked.means),
                members: each(&asked.member, |member| {
                    Code::new(member).map_err(text("--member"))
                })?,
                receipts: each(&asked.receipt, number)?,
                despite: asked
                    .despite
                    .as_deref()
                    .map(|reason| Label::new(reason).map_err(text("--despite")))
                    .transpose()?,
            };
            let view = propose(store, &proposal, &act(&asked.by)?)?;
            answer(store, &view, asked.json)
        }
        Pay::Show(asked) => answer(store, &view(store, asked.list)?, asked.json),
        Pay::Approve(asked) => {
            let view = approve(store, asked.list, &act(&asked.by)?)?;
            answer(store, &view, asked.json)
        }
        Pay::Export(asked) => {
            let exported = export(store, &view(store, asked.list)?, &asked.out, now)?;
            Ok(Outcome::done(if asked.json {
                json(&ExportAnswer::of(&exported))?
            } else {
                exported.holds
            }))
        }
        Pay::Confirm(asked) => {
            let reference = asked
                .reference
                .as_deref()
                .map(|reference| Code::new(reference).map_err(text("--reference")))
                .transpose()?;
            let receipt = asked.receipt.as_deref().map(number).transpose()?;
            let view = confirm(
                store,
                asked.list,
                receipt.as_ref(),
                reference.as_ref(),
                open_day(store, now.date_naive())?,
                &act(&asked.by)?,
            )?;
            answer(store, &view, asked.json)
        }
        Pay::Reverse(asked) => {
            let reversed = Reversed {
                day: open_day(store, now.date_naive())?,
                act: act(&asked.by)?,
                because: Label::new(&asked.reason).map_err(text("--reason"))?,
            };
            let receipt = asked.receipt.as_deref().map(number).transpose()?;
            let view = reverse(store, asked.list, receipt.as_ref(), &reversed)?;
            answer(store, &view, asked.json)
        }
    }
}

fn overview(store: &SqliteStore) -> Result<Overview, PayError> {
    Ok(Overview {
        currency: currency::of_ledger(store)?,
        due: due_receipts(store)?,
        lists: store
            .payment_lists(usize::MAX)?
            .into_iter()
            .map(|list| open_list(store, list.id))
            .filter_map(Result::transpose)
            .collect::<Result<_, _>>()?,
        get_back: store.payments_too_many()?,
    })
}

/// A list, unless nothing is left to do with it.
fn open_list(store: &SqliteStore, list: i64) -> Result<Option<ListView>, PayError> {
    let (_, open) = store.list_stands(list)?;
    (open > 0).then(|| view(store, list)).transpose()
}

fn answer(store: &SqliteStore, view: &ListView, as_json: bool) -> Result<Outcome, Failure> {
    Ok(Outcome::done(if as_json {
        json(&ListAnswer::of(view))?
    } else {
        list_words(view, currency::of_ledger(store)?)
    }))
}

const fn means(word: MeansWord) -> Means {
    match word {
        MeansWord::Cash => Means::Cash,
        MeansWord::MobileMoney => Means::MobileMoney,
    }
}

fn each<T>(
    typed: &[String],
    read: impl Fn(&str) -> Result<T, PayError>,
) -> Result<Vec<T>, PayError> {
    typed.iter().map(|typed| read(typed)).collect()
}

fn number(typed: &str) -> Result<ReceiptNumber, PayError> {
    Ok(ReceiptNumber::try_from(typed.to_owned())?)
}

fn text(option: &'static str) -> impl Fn(TextError) -> PayError {
    move |error| PayError::Text { option, error }
}
