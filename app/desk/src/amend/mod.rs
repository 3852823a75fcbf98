//! What the office says of members, changed with a history: who changed what, and when.

pub(crate) mod command;

use crate::currency::{self, CurrencyError};
use crate::files::FileError;
use crate::outcome::Advice;
use crate::register::{self, RegisterError, Row};
use crate::store::{Act, MemberChange, Office, RegisterChange, Store, StoreError};
use crate::typed::{FigureError, count};
use combgate_core::record::MemberV1;
use combgate_core::units::{Code, Currency, Label, TextError};

/// A register that is not changed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum AmendError {
    /// What was given.
    #[error(transparent)]
    Register(#[from] RegisterError),
    /// A sum.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// A number or a name.
    #[error(transparent)]
    Text(#[from] TextError),
    /// A number that somebody has.
    #[error("member {0} is on the register already")]
    There(Code),
    /// Nobody of that number.
    #[error("member {0} is not on the register")]
    NoMember(Code),
    /// A member who asked to be forgotten.
    #[error("member {0} was forgotten")]
    Forgotten(Code),
    /// The currency.
    #[error(transparent)]
    Currency(#[from] CurrencyError),
    /// A file.
    #[error(transparent)]
    File(#[from] FileError),
    /// The ledger.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Advice for AmendError {
    fn hint(&self) -> String {
        match self {
            Self::Register(error) => error.hint(),
            Self::Figure(error) => error.hint(),
            Self::Text(_) => {
                "write a number of letters and digits, such as M012, and a name".into()
            }
            Self::There(_) => "change that member, or choose another number".to_owned(),
            Self::NoMember(_) => "look the number up on the register".to_owned(),
            Self::Forgotten(_) => {
                "whoever joins anew gets another number: the old one stays a pseudonym".to_owned()
            }
            Self::Currency(error) => error.hint(),
            Self::File(error) => error.hint(),
            Self::Store(error) => error.hint(),
        }
    }
}

/// A field of the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Field {
    Name,
    Village,
    Phone,
    Language,
    Premiums,
    AdvancePayee,
    Advance,
}

impl Field {
    /// Every field, in the register's order, after the number.
    pub(crate) const ALL: [Self; 7] = [
        Self::Name,
        Self::Village,
        Self::Phone,
        Self::Language,
        Self::Premiums,
        Self::AdvancePayee,
        Self::Advance,
    ];

    /// As it is called in files and forms.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Village => "village",
            Self::Phone => "phone",
            Self::Language => "language",
            Self::Premiums => "premiums",
            Self::AdvancePayee => "advance_payee",
            Self::Advance => "advance",
        }
    }

    /// What a member's entry says there, as it is typed.
    pub(crate) fn of(self, member: &MemberV1, currency: Option<Currency>) -> String {
        let label = |label: &Option<Label>| label.as_ref().map(ToString::to_string);
        let advance = member.advance.as_ref();
        let found = match self {
            Self::Name => Some(member.name.to_string()),
            Self::Village => label(&member.village),
            Self::Phone => label(&member.phone),
            Self::Language => member.language.as_ref().map(ToString::to_string),
            Self::Premiums => {
                let codes: Vec<&str> = member.premiums.iter().map(Code::as_str).collect();
                Some(codes.join(" "))
            }
            Self::AdvancePayee => advance.map(|advance| advance.payee.to_string()),
            Self::Advance => {
                advance.map(|advance| currency::plain(advance.outstanding_minor, currency))
            }
        };
        found.unwrap_or_default()
    }
}

/// Keeps members as the office says; says how many are new and how many are now otherwise.
pub(crate) fn keep(
    store: &impl Store,
    members: &[MemberV1],
    act: &Act,
) -> Result<(u64, u64), StoreError> {
    let (mut added, mut changed) = (0, 0);
    for member in members {
        // An old table of the office does not bring a forgotten name back, not even for a moment.
        if store.forgotten(&member.number)?.is_some() {
            continue;
        }
        let was = store.office_member(&member.number)?;
        match store.keep_member(member)? {
            RegisterChange::Added => added += 1,
            RegisterChange::Changed => changed += 1,
            RegisterChange::Unchanged => continue,
        }
        store.keep_change(&MemberChange {
            member: member.number.clone(),
            act: act.clone(),
            was,
            became: Some(member.clone()),
        })?;
    }
    Ok((added, changed))
}

/// Brings the register up to date from a table or a list as JSON; says how many members are new and
/// how many are now otherwise.
pub(crate) fn take<S: Store>(
    store: &mut S,
    text: &str,
    act: &Act,
) -> Result<(u64, u64), AmendError> {
    let members = register::read(text)?;
    store.atomically(|store| Ok(keep(store, &members, act)?))
}

/// The register's word on a member.
pub(crate) fn known(store: &impl Office, number: &Code) -> Result<Option<MemberV1>, StoreError> {
    store.member(number)
}

/// Changes one member, or puts a new one on the register.
///
/// Fields that are not typed stay as they are. `is_new` says what is meant, so that a number typed
/// wrong neither changes somebody else nor makes somebody up.
pub(crate) fn set<S: Store>(
    store: &mut S,
    number: &str,
    typed: impl Fn(Field) -> Option<String>,
    is_new: Option<bool>,
    act: &Act,
) -> Result<(MemberV1, RegisterChange), AmendError> {
    let number = Code::new(number)?;
    store.atomically(|store| {
        if store.forgotten(&number)?.is_some() {
            return Err(AmendError::Forgotten(number.clone()));
        }
        let was = known(store, &number)?;
        match (&was, is_new) {
            (Some(_), Some(true)) => return Err(AmendError::There(number.clone())),
            (None, Some(false)) => return Err(AmendError::NoMember(number.clone())),
            _ => {}
        }
        let currency = currency::of_ledger(store)?;
        let mut member = register::check(&row(&number, was.as_ref(), currency, typed)?)?;
        // Receipts took some of it back since; who leaves that figure as it stands means no new
        // word on the advance.
        if let (Some(was), Some(office)) = (was, store.office_member(&number)?)
            && was.advance == member.advance
        {
            member.advance = office.advance;
        }
        let (added, changed) = keep(store, std::slice::from_ref(&member), act)?;
        let change = match (added, changed) {
            (1, _) => RegisterChange::Added,
            (_, 1) => RegisterChange::Changed,
            _ => RegisterChange::Unchanged,
        };
        Ok((known(store, &number)?.unwrap_or(member), change))
    })
}

fn row(
    number: &Code,
    was: Option<&MemberV1>,
    currency: Option<Currency>,
    typed: impl Fn(Field) -> Option<String>,
) -> Result<Row, FigureError> {
    let field = |field: Field| {
        typed(field).unwrap_or_else(|| was.map_or_else(String::new, |was| field.of(was, currency)))
    };
    let advance = match field(Field::Advance).trim() {
        "" => String::new(),
        typed => {
            let places = currency.map_or(0, Currency::decimals);
            let places = usize::try_from(places).unwrap_or_default();
            count("--advance", typed, places)?.to_string()
        }
    };
    Ok(Row {
        number: number.to_string(),
        name: field(Field::Name),
        village: field(Field::Village).trim().to_owned(),
        phone: field(Field::Phone).trim().to_owned(),
        language: field(Field::Language).trim().to_owned(),
        premiums: field(Field::Premiums),
        advance_payee: field(Field::AdvancePayee).trim().to_owned(),
        advance_outstanding_minor: advance,
    })
}

/// What a change changed: which field, before and after.
pub(crate) fn differences(
    change: &MemberChange,
    currency: Option<Currency>,
) -> Vec<(Field, String, String)> {
    let of = |member: &Option<MemberV1>, field: Field| {
        let member = member.as_ref();
        member.map_or_else(String::new, |member| field.of(member, currency))
    };
    Field::ALL
        .into_iter()
        .map(|field| (field, of(&change.was, field), of(&change.became, field)))
        .filter(|(_, was, became)| was != became)
        .collect()
}
