//! `combgate brief`: what an officer works by, signed for one handset.

use crate::cli;
use crate::desk::{self, OpenDesk};
use crate::files::{FileError, write_whole};
use crate::keys::DeskKeyError;
use crate::outcome::{Advice, Failure, Outcome, json};
use crate::store::{Brief, Clerks, Handset, Journals, Office, Store, StoreError, Terms, TermsKind};
use crate::typed::{FigureError, count};
use chrono::{Days, NaiveDate};
use combgate_core::record::{
    AssignedV1, BriefError, BriefV1, CooperativeV1, DeskAddress, DocumentError, TermsText,
};
use combgate_core::units::{Code, Currency, Money, MoneyError, TextError};
use combgate_ui::figures::money;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// How long a brief is good for when nothing is said: a month is long enough for the remotest
/// round, and short enough for prices.
const DAYS_GOOD: Days = Days::new(30);

/// A brief that is not made.
#[derive(Debug, thiserror::Error)]
pub(crate) enum MakeBriefError {
    /// A code.
    #[error(transparent)]
    Code(#[from] TextError),
    /// No such handset.
    #[error("no handset {0} is enrolled")]
    NoHandset(Code),
    /// All that are in use, and none is.
    #[error("no handset is in use")]
    NobodyInUse,
    /// Out of use.
    #[error("handset {0} is out of use")]
    OutOfUse(Code),
    /// Who buys is not known.
    #[error("the desk does not know the cooperative's name yet")]
    NoCooperative,
    /// Nothing in force.
    #[error("no {what} is in force on {day}")]
    NotInForce {
        /// A policy or a price list.
        what: &'static str,
        /// On which day.
        day: NaiveDate,
    },
    /// Past, or beyond what the terms cover.
    #[error("the brief cannot be good until {asked}: {first} to {last} is possible")]
    Until {
        /// Asked for.
        asked: NaiveDate,
        /// Today.
        first: NaiveDate,
        /// The last day that policy and price list cover.
        last: NaiveDate,
    },
    /// Policy and price list.
    #[error(transparent)]
    Terms(#[from] BriefError),
    /// The float.
    #[error(transparent)]
    Float(#[from] FigureError),
    /// A float that is no sum of money to hand over.
    #[error("a float of {0} minor units cannot be handed over")]
    NoFloat(i64),
    /// Money.
    #[error(transparent)]
    Money(#[from] MoneyError),
    /// The document.
    #[error(transparent)]
    Document(#[from] DocumentError),
    /// The desk's key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The file; the brief is kept in the ledger all the same.
    #[error(transparent)]
    File(#[from] FileError),
}

impl Advice for MakeBriefError {
    fn hint(&self) -> String {
        const TAKE_IN: &str = "put it in a folder and take it in with `combgate init DIR --from \
                               FOLDER`";
        match self {
            Self::Code(_) | Self::NoHandset(_) | Self::NobodyInUse => {
                "enrol the handset from its card with `combgate enrol CARD`".to_owned()
            }
            Self::OutOfUse(_) => {
                "give the brief to the handset that took its place, or enrol another".to_owned()
            }
            Self::NoCooperative => format!("write cooperative.json, {TAKE_IN}"),
            Self::NotInForce { what, .. } => format!("write a {what} that covers it, {TAKE_IN}"),
            Self::Until { .. } => {
                "choose a day between these two with --until, or leave it out".to_owned()
            }
            Self::Terms(_) | Self::Document(_) => {
                format!("correct the policy or the price list, {TAKE_IN}")
            }
            Self::Float(error) => error.hint(),
            Self::NoFloat(_) | Self::Money(_) => {
                "give the cash that the officer takes along, such as --float 120000 for 120,000.00"
                    .to_owned()
            }
            Self::Key(error) => error.hint(),
            Self::Store(error) => error.hint(),
            Self::File(error) => error.hint(),
        }
    }
}

/// Makes a brief, or one for each handset in use, and writes each to a file.
pub(crate) fn run(folder: &Path, asked: &cli::MakeBrief) -> Result<Outcome, Failure> {
    let mut desk = desk::open(folder)?;
    let Some(handset) = &asked.handset else {
        return all(&mut desk, asked);
    };
    let written = make_file(&mut desk, asked, handset, &asked.out)?;
    Ok(Outcome::done(if asked.json {
        json(&written.answer())?
    } else {
        written.words()
    }))
}

fn all(desk: &mut OpenDesk, asked: &cli::MakeBrief) -> Result<Outcome, Failure> {
    let mut written = Vec::new();
    for handset in in_use(&desk.store).map_err(MakeBriefError::from)? {
        let file = asked.out.join(format!("brief-{}.jws", handset.code));
        written.push(make_file(desk, asked, handset.code.as_str(), &file)?);
    }
    if written.is_empty() {
        return Err(MakeBriefError::NobodyInUse.into());
    }
    Ok(Outcome::done(if asked.json {
        json(&written.iter().map(Written::answer).collect::<Vec<_>>())?
    } else {
        let texts: Vec<_> = written.iter().map(Written::words).collect();
        texts.join("\n")
    }))
}

/// Handsets that are not out of use, in order of code.
pub(crate) fn in_use(store: &(impl Clerks + Journals)) -> Result<Vec<Handset>, StoreError> {
    let mut handsets = Vec::new();
    for handset in store.handsets()? {
        if store.revocation(&handset.code)?.is_none() {
            handsets.push(handset);
        }
    }
    Ok(handsets)
}

#[derive(Serialize)]
struct Answer<'a> {
    file: &'a Path,
    serial: u32,
    handset: &'a Code,
    valid_until: NaiveDate,
    policy: &'a Code,
    price_list: &'a Code,
    members: usize,
    currency: Currency,
    float_minor: i64,
}

/// What somebody asks for.
pub(crate) struct Wanted<'a> {
    /// Code of the handset, as typed.
    pub(crate) handset: &'a str,
    /// Cash, as typed.
    pub(crate) float: Option<&'a str>,
    /// Last day.
    pub(crate) until: Option<NaiveDate>,
}

/// A brief that was made, and where it is.
struct Written {
    ready: Ready,
    brief: Brief,
    members: usize,
    file: PathBuf,
}

fn make_file(
    desk: &mut OpenDesk,
    asked: &cli::MakeBrief,
    handset: &str,
    file: &Path,
) -> Result<Written, MakeBriefError> {
    let wanted = Wanted {
        handset,
        float: asked.float.as_deref(),
        until: asked.until,
    };
    let (ready, brief, members) = make(desk, &wanted)?;
    write_whole(file, &format!("{}\n", brief.compact))?;
    Ok(Written {
        ready,
        brief,
        members,
        file: file.to_owned(),
    })
}

/// Makes a brief, which is kept in the ledger.
pub(crate) fn make_brief(
    desk: &mut OpenDesk,
    wanted: &Wanted<'_>,
) -> Result<Brief, MakeBriefError> {
    make(desk, wanted).map(|(_, brief, _)| brief)
}

/// What a brief is made of.
struct Ready {
    handset: Handset,
    cooperative: CooperativeV1,
    address: Option<DeskAddress>,
    policy: Terms,
    prices: Terms,
    currency: Currency,
    last_day: NaiveDate,
    float_minor: i64,
}

fn make(desk: &mut OpenDesk, wanted: &Wanted<'_>) -> Result<(Ready, Brief, usize), MakeBriefError> {
    let ready = gather(desk, wanted)?;
    let OpenDesk { store, key, .. } = desk;
    let now = desk::now();
    let (brief, members) = store.atomically(|store| {
        let members = store.members()?;
        let count = members.len();
        let serial = store.next_serial()?;
        let document = BriefV1 {
            // Set when it is made ready for signing.
            format: String::new(),
            serial,
            issued_at: now,
            valid_until: ready.last_day,
            cooperative: ready.cooperative.clone(),
            desk_jwk: key.public().jwk(),
            sealing_jwk: Some(key.opening()?.public().jwk()),
            desk_address: ready.address.clone(),
            handset: AssignedV1 {
                code: ready.handset.code.clone(),
                kid: ready.handset.key.id(),
            },
            float_minor: ready.float_minor,
            policy: BriefV1::document(&ready.policy.document)?,
            price_list: BriefV1::document(&ready.prices.document)?,
            members,
        };
        let compact = key.sign(&document.unsigned(key.public().id())?)?;
        let brief = Brief {
            serial,
            handset: ready.handset.code.clone(),
            issued_at: now,
            last_day: ready.last_day,
            float_minor: ready.float_minor,
            compact,
        };
        store.keep_brief(&brief)?;
        Ok::<_, MakeBriefError>((brief, count))
    })?;
    Ok((ready, brief, members))
}

impl Written {
    fn answer(&self) -> Answer<'_> {
        Answer {
            file: &self.file,
            serial: self.brief.serial,
            handset: &self.brief.handset,
            valid_until: self.brief.last_day,
            policy: &self.ready.policy.code,
            price_list: &self.ready.prices.code,
            members: self.members,
            currency: self.ready.currency,
            float_minor: self.ready.float_minor,
        }
    }

    fn words(&self) -> String {
        let ready = &self.ready;
        // OK because ISO 4217 knows no more than four decimals.
        let decimals = u8::try_from(ready.currency.decimals()).unwrap_or_default();
        format!(
            "Brief {serial} for handset {handset} is in {file}, good until {last}.\n\
             policy      {policy}\n\
             price list  {prices}\n\
             members     {members}\n\
             float       {currency} {float}\n",
            serial = self.brief.serial,
            handset = self.brief.handset,
            file = self.file.display(),
            last = self.brief.last_day,
            policy = ready.policy.code,
            prices = ready.prices.code,
            members = self.members,
            currency = ready.currency,
            float = money(ready.float_minor, decimals),
        )
    }
}

fn gather(desk: &OpenDesk, wanted: &Wanted<'_>) -> Result<Ready, MakeBriefError> {
    let store = &desk.store;
    let code = Code::new(wanted.handset)?;
    let handset = store
        .handset(&code)?
        .ok_or(MakeBriefError::NoHandset(code))?;
    if store.revocation(&handset.code)?.is_some() {
        return Err(MakeBriefError::OutOfUse(handset.code));
    }
    let cooperative = desk
        .desk
        .cooperative
        .clone()
        .ok_or(MakeBriefError::NoCooperative)?;
    let today = desk::now().date_naive();
    let in_force = |kind, what| {
        store
            .terms_in_force(kind, today)?
            .ok_or(MakeBriefError::NotInForce { what, day: today })
    };
    let policy = in_force(TermsKind::Policy, "policy")?;
    let prices = in_force(TermsKind::PriceList, "price list")?;
    let checked = TermsText {
        policy: &policy.document,
        price_list: &prices.document,
    }
    .read()?;
    let currency = checked.prices().parts().currency;
    Ok(Ready {
        last_day: last_day(wanted.until, today, &policy, &prices)?,
        float_minor: float(wanted.float, currency)?,
        handset,
        cooperative,
        address: desk.desk.address.clone(),
        policy,
        prices,
        currency,
    })
}

fn last_day(
    asked: Option<NaiveDate>,
    today: NaiveDate,
    policy: &Terms,
    prices: &Terms,
) -> Result<NaiveDate, MakeBriefError> {
    let covered = [policy.last_day, prices.last_day]
        .into_iter()
        .flatten()
        .min()
        .unwrap_or(NaiveDate::MAX);
    let Some(asked) = asked else {
        let month = today.checked_add_days(DAYS_GOOD).unwrap_or(today);
        return Ok(month.min(covered));
    };
    if (today..=covered).contains(&asked) {
        Ok(asked)
    } else {
        Err(MakeBriefError::Until {
            asked,
            first: today,
            last: covered,
        })
    }
}

/// Cash is typed as people say it, in the currency's own decimals.
fn float(typed: Option<&str>, currency: Currency) -> Result<i64, MakeBriefError> {
    let Some(typed) = typed else { return Ok(0) };
    let decimals = usize::try_from(currency.decimals()).unwrap_or_default();
    let minor = count("--float", typed, decimals)?;
    if minor < 0 {
        return Err(MakeBriefError::NoFloat(minor));
    }
    Ok(Money::new(minor, currency)?.minor())
}
