//! `combgate handsets`: who has handed over up to where; and the handsets' keys, signed, for
//! everybody to have.

use crate::cli;
use crate::desk::{self, OpenDesk};
use crate::files::{FileError, write_whole};
use crate::keys::DeskKeyError;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Cause, Clerks, Handset, Journals, Office, StoreError, word_of};
use chrono::{DateTime, FixedOffset, NaiveDate};
use combgate_core::record::{DocumentError, HandsetsV1, KeyOfV1};
use combgate_core::units::{Code, Label};
use serde::Serialize;
use std::fmt::Write;
use std::path::Path;

/// Where a handset stands at the desk.
#[derive(Debug, Clone)]
pub(crate) struct Standing {
    pub(crate) handset: Handset,
    /// Entries kept apart that wait for others.
    pub(crate) waiting: u64,
    /// When its last bundle came.
    pub(crate) handed_over: Option<DateTime<FixedOffset>>,
    /// The day that it has open, as far as it handed over.
    pub(crate) open_day: Option<NaiveDate>,
    /// The last day of its newest brief.
    pub(crate) brief_until: Option<NaiveDate>,
    /// Why it is out of use.
    pub(crate) out_of_use: Option<Cause>,
    /// Which took its place.
    pub(crate) replaced_by: Option<Code>,
}

/// Where all handsets stand, in order of code.
pub(crate) fn standing(
    store: &(impl Clerks + Journals + Office),
) -> Result<Vec<Standing>, StoreError> {
    let stands = |handset: Handset| {
        let code = &handset.code;
        let waiting = store.waiting_above(code, handset.head.seq)?;
        let brief = store.last_given(code)?;
        let revocation = store.revocation(code)?;
        Ok(Standing {
            waiting: waiting.map_or(0, |waiting| waiting.count),
            handed_over: store.latest_bundle(code)?.map(|bundle| bundle.imported_at),
            open_day: handset.review.day_in_hand(),
            brief_until: brief.map(|brief| brief.last_day),
            out_of_use: revocation.as_ref().map(|revocation| revocation.cause),
            replaced_by: revocation.and_then(|revocation| revocation.replacement),
            handset,
        })
    };
    store.handsets()?.into_iter().map(stands).collect()
}

/// A list that is not made.
#[derive(Debug, thiserror::Error)]
pub(crate) enum HandsetsError {
    /// Who buys is not known.
    #[error("the desk does not know the cooperative's name yet")]
    NoCooperative,
    /// The document.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The file.
    #[error(transparent)]
    File(#[from] FileError),
}

impl Advice for HandsetsError {
    fn hint(&self) -> String {
        match self {
            Self::NoCooperative => {
                "write cooperative.json, put it in a folder and take it in with \
                                    `combgate init DIR --from FOLDER`"
                    .to_owned()
            }
            Self::Document(_) => "restore the last backup of the desk's folder".to_owned(),
            Self::Key(error) => error.hint(),
            Self::Store(error) => error.hint(),
            Self::File(error) => error.hint(),
        }
    }
}

/// Lists the handsets, or writes their keys to a file.
pub(crate) fn run(folder: &Path, asked: &cli::ListHandsets) -> Result<Outcome, Failure> {
    let desk = desk::open(folder)?;
    if let Some(out) = &asked.keys {
        return Ok(write_keys(&desk, out)?);
    }
    let all = standing(&desk.store)?;
    Ok(Outcome::done(if asked.json {
        json(&all.iter().map(Answer::of).collect::<Vec<_>>())?
    } else {
        words(&all)
    }))
}

#[derive(Serialize)]
struct Answer<'a> {
    handset: &'a Code,
    name: &'a Label,
    key: String,
    booked_to: u64,
    waiting: u64,
    handed_over: Option<DateTime<FixedOffset>>,
    open_day: Option<NaiveDate>,
    brief_until: Option<NaiveDate>,
    out_of_use: Option<String>,
    replaced_by: Option<&'a Code>,
}

impl<'a> Answer<'a> {
    fn of(standing: &'a Standing) -> Self {
        let handset = &standing.handset;
        Self {
            handset: &handset.code,
            name: &handset.name,
            key: handset.key.id().to_string(),
            booked_to: handset.head.seq,
            waiting: standing.waiting,
            handed_over: standing.handed_over,
            open_day: standing.open_day,
            brief_until: standing.brief_until,
            out_of_use: standing.out_of_use.map(|cause| word_of(&cause)),
            replaced_by: standing.replaced_by.as_ref(),
        }
    }
}

fn words(all: &[Standing]) -> String {
    if all.is_empty() {
        return "No handset is enrolled yet: take one on with `combgate enrol CARD`.\n".to_owned();
    }
    let day = |day: Option<NaiveDate>| day.map_or_else(|| "-".to_owned(), |day| day.to_string());
    let mut text = format!(
        "{:<9}{:>10}{:>9}  {:<17}{:<12}{:<13}name\n",
        "handset", "booked to", "waiting", "last bundle", "day open", "brief until"
    );
    for each in all {
        let came = each.handed_over.map_or_else(
            || "-".to_owned(),
            |moment| moment.format("%Y-%m-%d %H:%M").to_string(),
        );
        let by = each.replaced_by.as_ref();
        let by = by.map_or_else(String::new, |code| format!(" by {code}"));
        let out_of_use = each.out_of_use.map_or_else(String::new, |cause| {
            format!(", out of use: {}{by}", word_of(&cause))
        });
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{:<9}{:>10}{:>9}  {came:<17}{:<12}{:<13}{}{out_of_use}",
            each.handset.code.as_str(),
            each.handset.head.seq,
            each.waiting,
            day(each.open_day),
            day(each.brief_until),
            each.handset.name,
        );
    }
    text
}

fn write_keys(desk: &OpenDesk, out: &Path) -> Result<Outcome, HandsetsError> {
    let cooperative = desk.desk.cooperative.as_ref();
    let cooperative = cooperative.ok_or(HandsetsError::NoCooperative)?;
    let handsets: Vec<_> = desk
        .store
        .handsets()?
        .into_iter()
        .map(|handset| KeyOfV1 {
            code: handset.code,
            jwk: handset.key.jwk(),
        })
        .collect();
    let count = handsets.len();
    let public = desk.key.public();
    let list = HandsetsV1::new(desk::now(), cooperative.name.clone(), &public, handsets);
    let compact = desk.key.sign(&list.unsigned(public.id())?)?;
    write_whole(out, &format!("{compact}\n"))?;
    Ok(Outcome::done(format!(
        "The keys of {count} handsets are in {file}, signed by the desk {kid}.\n\
         Whoever has this file and knows the desk's key can check the code on a receipt with \
         `combgate verify STUB --handsets FILE --desk-key KEY`.\n",
        file = out.display(),
        kid = public.id(),
    )))
}
