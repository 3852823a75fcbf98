//! `combgate init`: sets the desk up, and takes in what the office says anew.
//!
//! The folder given with `--from` may hold `cooperative.json`, `policy.json`, `prices.json` and
//! `members.csv`. Everything in it is read and checked before anything is kept. The command may be
//! given again at any time: the desk's key stays, new policies and price lists are added, members
//! are brought up to date.

use crate::amend;
use crate::cli;
use crate::desk::{ledger_in, now};
use crate::files::{FileError, read_text};
use crate::keys::{DeskKey, DeskKeyError};
use crate::outcome::{Advice, Failure, Outcome};
use crate::register::{self, RegisterError};
use crate::store::{Act, Desk, Office, SqliteStore, Store, StoreError, Terms, TermsKind};
use combgate_core::intake::{Period, Terms as CheckedTerms, TermsError};
use combgate_core::record::{
    BriefV1, CooperativeV1, Digest, DocumentError, MemberV1, PolicyV1, PriceListV1,
    TERMS_BYTES_AT_MOST, from_text,
};
use combgate_core::units::{Code, Currency, Label, TextError};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Published limits and common practice, each line with its source.
const DEFAULT_POLICY: &str = include_str!("../../../demo-fixtures/policy/default.json");
/// Most bytes of the cooperative's description.
const COOPERATIVE_BYTES_AT_MOST: usize = 16 * 1024;

/// A desk that cannot be set up. Nothing of the folder was taken in.
#[derive(Debug, thiserror::Error)]
pub(crate) enum InitError {
    /// The folder cannot be made.
    #[error("the folder {path} cannot be made: {error}")]
    Folder {
        /// Which folder.
        path: PathBuf,
        /// Why.
        error: std::io::Error,
    },
    /// A file cannot be read.
    #[error(transparent)]
    File(#[from] FileError),
    /// A document is not what it must be.
    #[error("{file}: {error}")]
    Document {
        /// Which file.
        file: &'static str,
        /// What is wrong.
        error: DocumentError,
    },
    /// Policy and price list do not go together.
    #[error("policy {policy} and price list {price_list} do not go together: {error}")]
    Terms {
        /// Which policy.
        policy: Code,
        /// Which price list.
        price_list: Code,
        /// Why not.
        error: TermsError,
    },
    /// Money of another kind than the books are kept in.
    #[error("the price list is in {new}, but the books are kept in {known}")]
    OtherCurrency {
        /// Of the new list.
        new: Currency,
        /// Of the lists before.
        known: Currency,
    },
    /// Who sets it up.
    #[error("--by: {0}")]
    By(TextError),
    /// The register.
    #[error(transparent)]
    Register(#[from] RegisterError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The key.
    #[error(transparent)]
    Key(#[from] DeskKeyError),
}

impl Advice for InitError {
    fn hint(&self) -> String {
        match self {
            Self::Folder { .. } => "choose a folder that may be written to".to_owned(),
            Self::File(error) => error.hint(),
            Self::Document { .. } => {
                "correct the file and give the command again; demo-fixtures/cooperative holds one \
                 of each kind to begin from"
                    .to_owned()
            }
            Self::Terms { .. } => {
                "correct one of the two files and give the command again".to_owned()
            }
            Self::OtherCurrency { .. } => {
                "keep one currency to a ledger: set up another desk for the other".to_owned()
            }
            Self::By(_) => "write the name of who does it".to_owned(),
            Self::Register(error) => error.hint(),
            Self::Store(error) => error.hint(),
            Self::Key(error) => error.hint(),
        }
    }
}

/// What a folder says, checked.
#[derive(Default)]
struct Given {
    cooperative: Option<CooperativeV1>,
    terms: Vec<Terms>,
    members: Option<Vec<MemberV1>>,
}

/// Sets the desk up in a folder.
pub(crate) fn run(asked: &cli::Init) -> Result<Outcome, Failure> {
    let act = Act {
        by: Label::new(&asked.by).map_err(InitError::By)?,
        at: now(),
    };
    let given = match &asked.from {
        Some(folder) => read_folder(folder, &act)?,
        None => Given::default(),
    };
    make_folder(&asked.folder)?;
    let mut store = SqliteStore::create(&ledger_in(&asked.folder)).map_err(InitError::from)?;
    let said = store.atomically(|store| set_up(store, given, &act))?;
    Ok(Outcome::done(format!(
        "The desk is set up in {}.\n{said}",
        asked.folder.display()
    )))
}

/// Takes in a policy or a price list from its text.
pub(crate) fn take_terms(
    store: &mut SqliteStore,
    kind: TermsKind,
    text: &str,
    act: &Act,
) -> Result<Terms, InitError> {
    let terms = match kind {
        TermsKind::Policy => policy("the policy", text, act)?,
        TermsKind::PriceList => price_list("the price list", text, act)?,
    };
    let given = Given {
        terms: vec![terms.clone()],
        ..Given::default()
    };
    store.atomically(|store| set_up(store, given, act))?;
    Ok(terms)
}

fn make_folder(folder: &Path) -> Result<(), InitError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder).map_err(|error| InitError::Folder {
        path: folder.to_owned(),
        error,
    })
}

fn read_folder(folder: &Path, act: &Act) -> Result<Given, InitError> {
    let read_if_there = |name: &str, limit| {
        let path = folder.join(name);
        path.try_exists()
            .unwrap_or(true)
            .then(|| read_text(&path, limit))
            .transpose()
    };
    // A folder that is not there is a slip, not a folder with nothing in it.
    if !folder.is_dir() {
        read_text(folder, 0)?;
    }
    let cooperative = read_if_there("cooperative.json", COOPERATIVE_BYTES_AT_MOST)?
        .map(|text| from_text("cooperative", text.trim(), COOPERATIVE_BYTES_AT_MOST))
        .transpose()
        .map_err(|error| InitError::Document {
            file: "cooperative.json",
            error,
        })?;
    let mut terms = Vec::new();
    if let Some(text) = read_if_there("policy.json", TERMS_BYTES_AT_MOST)? {
        terms.push(policy("policy.json", &text, act)?);
    }
    if let Some(text) = read_if_there("prices.json", TERMS_BYTES_AT_MOST)? {
        terms.push(price_list("prices.json", &text, act)?);
    }
    let members = read_if_there("members.csv", register::BYTES_AT_MOST)?
        .map(|text| register::read(&text))
        .transpose()?;
    Ok(Given {
        cooperative,
        terms,
        members,
    })
}

fn policy(file: &'static str, text: &str, act: &Act) -> Result<Terms, InitError> {
    let bad = |error| InitError::Document { file, error };
    let policy = PolicyV1::read(text).map_err(bad)?;
    let parts = policy.parts();
    let (id, period) = (&parts.id, parts.period);
    terms_row(file, TermsKind::Policy, id, period, text, act)
}

fn price_list(file: &'static str, text: &str, act: &Act) -> Result<Terms, InitError> {
    let bad = |error| InitError::Document { file, error };
    let prices = PriceListV1::read(text).map_err(bad)?;
    let parts = prices.parts();
    let (id, period) = (&parts.id, parts.period);
    terms_row(file, TermsKind::PriceList, id, period, text, act)
}

fn terms_row(
    file: &'static str,
    kind: TermsKind,
    code: &Code,
    period: Period,
    text: &str,
    act: &Act,
) -> Result<Terms, InitError> {
    // As it will stand in a brief, so that both sides digest the same text.
    let document = BriefV1::document(text).map_err(|error| InitError::Document { file, error })?;
    Ok(Terms {
        kind,
        code: code.clone(),
        digest: Digest::of(document.get()),
        first_day: period.from,
        last_day: period.until,
        document: document.get().to_owned(),
        taken_in_at: act.at,
        taken_in_by: Some(act.by.clone()),
    })
}

fn set_up(store: &SqliteStore, given: Given, act: &Act) -> Result<String, InitError> {
    let known = store.desk()?;
    let private_key = match &known {
        Some(desk) => desk.private_key.clone(),
        None => DeskKey::make()?,
    };
    let key = DeskKey::read(&private_key)?;
    let desk = Desk {
        private_key,
        public_key: key.public(),
        cooperative: given
            .cooperative
            .or_else(|| known.as_ref().and_then(|desk| desk.cooperative.clone())),
        address: known.and_then(|desk| desk.address),
    };
    store.keep_desk(&desk)?;
    let known_currency = newest_currency(store)?;
    for terms in &given.terms {
        store.keep_terms(terms)?;
    }
    if let (Some(known), Some(new)) = (known_currency, newest_currency(store)?)
        && known != new
    {
        return Err(InitError::OtherCurrency { new, known });
    }
    let by_default = store.newest_terms(TermsKind::Policy)?.is_none();
    if by_default {
        store.keep_terms(&policy("the default policy", DEFAULT_POLICY, act)?)?;
    }
    check_pair(store)?;
    let mut text = format!(
        "key          {}; handsets keep it from their first brief on\n",
        desk.public_key.id().short()
    );
    // Writing to a string cannot fail.
    if let Some(cooperative) = &desk.cooperative {
        let _ = writeln!(
            text,
            "cooperative  {}, {}",
            cooperative.name, cooperative.place
        );
    }
    for (kind, name) in [
        (TermsKind::Policy, "policy"),
        (TermsKind::PriceList, "price list"),
    ] {
        if let Some(terms) = store.newest_terms(kind)? {
            let _ = writeln!(text, "{name:<11}  {}", in_force(&terms));
        }
    }
    if by_default {
        text.push_str("             the default: published limits and common practice\n");
    }
    let members = given.members.as_deref().unwrap_or_default();
    let (added, changed) = amend::keep(store, members, act)?;
    let count = store.members()?.len();
    let _ = writeln!(text, "members      {count}: {added} new, {changed} changed");
    text.push_str(&missing(store, &desk, count)?);
    Ok(text)
}

fn newest_currency(store: &SqliteStore) -> Result<Option<Currency>, InitError> {
    let Some(prices) = store.newest_terms(TermsKind::PriceList)? else {
        return Ok(None);
    };
    let file = "the price list";
    PriceListV1::read(&prices.document)
        .map(|prices| Some(prices.parts().currency))
        .map_err(|error| InitError::Document { file, error })
}

/// The newest policy and the newest price list must go together, or no brief can be made.
fn check_pair(store: &SqliteStore) -> Result<(), InitError> {
    let (Some(policy), Some(prices)) = (
        store.newest_terms(TermsKind::Policy)?,
        store.newest_terms(TermsKind::PriceList)?,
    ) else {
        return Ok(());
    };
    let bad = |file| move |error| InitError::Document { file, error };
    let checked = CheckedTerms::new(
        PolicyV1::read(&policy.document).map_err(bad("the policy"))?,
        PriceListV1::read(&prices.document).map_err(bad("the price list"))?,
    );
    checked.map(|_| ()).map_err(|error| InitError::Terms {
        policy: policy.code,
        price_list: prices.code,
        error,
    })
}

fn in_force(terms: &Terms) -> String {
    match terms.last_day {
        Some(last) => format!("{}, {} to {last}", terms.code, terms.first_day),
        None => format!("{}, from {}", terms.code, terms.first_day),
    }
}

fn missing(store: &SqliteStore, desk: &Desk, members: usize) -> Result<String, StoreError> {
    let mut missing = Vec::new();
    if desk.cooperative.is_none() {
        missing.push("cooperative.json: who buys, where, and where members complain");
    }
    if store.newest_terms(TermsKind::PriceList)?.is_none() {
        missing.push("prices.json: what a kilogram of each grade pays");
    }
    if members == 0 {
        missing.push("members.csv: the register, unless all members are registered in the field");
    }
    if missing.is_empty() {
        return Ok("Next: `combgate enrol CARD` for each handset.\n".to_owned());
    }
    let listed: String = missing.iter().flat_map(|line| ["  ", line, "\n"]).collect();
    Ok(format!(
        "Still missing before a brief can be made; put them in a folder and give \
         `combgate init DIR --from FOLDER` again:\n{listed}"
    ))
}
