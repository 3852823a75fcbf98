//! An approved list as a file for the provider of mobile money.

use super::{ListView, PayError, standing};
use crate::currency::{self, plain};
use crate::files::write_with_word;
use crate::store::Store;
use crate::table::csv;
use chrono::{DateTime, FixedOffset};
use combgate_core::record::Means;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// Headings of the file.
const HEADINGS: [&str; 8] = [
    "list",
    "payment",
    "receipt",
    "member",
    "name",
    "telephone",
    "amount",
    "currency",
];

/// A file that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exported {
    /// The file.
    pub file: PathBuf,
    /// What says what the file holds.
    pub about: PathBuf,
    /// How many payments it holds.
    pub payments: usize,
    /// Their sum, minor units.
    pub minor: i64,
    /// What it holds, in words.
    pub holds: String,
}

/// What of an approved list is still to go out, ready to be written.
pub(crate) struct Prepared {
    /// The table.
    pub(crate) csv: String,
    /// What it holds, in words.
    pub(crate) holds: String,
    payments: usize,
    minor: i64,
}

/// Writes what of an approved list is still to go out, and beside it what the file holds.
pub fn export(
    store: &impl Store,
    view: &ListView,
    file: &Path,
    now: DateTime<FixedOffset>,
) -> Result<Exported, PayError> {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let prepared = prepare(store, view, &name, now)?;
    let about = write_with_word(file, &prepared.csv, &prepared.holds)?;
    Ok(Exported {
        file: file.to_owned(),
        about,
        payments: prepared.payments,
        minor: prepared.minor,
        holds: prepared.holds,
    })
}

/// The file of a name for the provider.
pub(crate) fn prepare(
    store: &impl Store,
    view: &ListView,
    name: &str,
    now: DateTime<FixedOffset>,
) -> Result<Prepared, PayError> {
    let list = view.list.id;
    let approved = view
        .list
        .approved
        .as_ref()
        .ok_or(PayError::NotApproved(list))?;
    if view.list.means != Means::MobileMoney {
        return Err(PayError::CashList(list));
    }
    let currency = currency::of_ledger(store)?;
    let mut rows = Vec::new();
    let mut minor: i64 = 0;
    for payment in standing(view).filter(|payment| payment.settled.is_none()) {
        let member = view.members.get(&payment.member);
        let phone = member
            .and_then(|member| member.phone.as_ref())
            .ok_or_else(|| PayError::NoPhone(payment.member.clone()))?;
        minor = minor.saturating_add(payment.minor);
        let owned = Cow::<str>::Owned;
        rows.push(vec![
            owned(list.to_string()),
            owned(payment.id.to_string()),
            owned(payment.receipt.to_string()),
            owned(payment.member.to_string()),
            owned(member.map_or_else(String::new, |member| member.name.to_string())),
            owned(dialled(phone.as_str())),
            owned(plain(payment.minor, currency)),
            owned(currency::unit(currency).to_owned()),
        ]);
    }
    if rows.is_empty() {
        return Err(PayError::NothingToConfirm(list));
    }
    let payments = rows.len();
    let csv = csv(&HEADINGS, rows)?;
    let holds = format!(
        "{name} holds payment list {list}, {payments} payments of {unit} {sum} together, as of \
         {now}.\n\
         Proposed by {proposed}, approved by {approved}.\n\
         It is personal data: members' names and telephone numbers. Give it to nobody but the \
         provider of mobile money, and delete it when the payments are confirmed.\n\
         Columns: {columns}. Telephone numbers stand without a plus sign. A cell that a spreadsheet \
         could take for a formula begins with an apostrophe, which is no part of it.\n",
        unit = currency::unit(currency),
        sum = currency::sum(minor, currency),
        now = now.to_rfc3339(),
        proposed = view.list.proposed.by,
        approved = approved.by,
        columns = HEADINGS.join(", "),
    );
    Ok(Prepared {
        csv,
        holds,
        payments,
        minor,
    })
}

/// A telephone number as providers take it: digits alone, country code first, no plus sign before
/// it, which a spreadsheet would take for a formula. A number with letters stays as it is.
fn dialled(phone: &str) -> String {
    let bare: String = phone
        .chars()
        .filter(|character| !" +-()/.".contains(*character))
        .collect();
    if !bare.is_empty() && bare.bytes().all(|byte| byte.is_ascii_digit()) {
        bare
    } else {
        phone.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::dialled;

    #[test]
    fn a_telephone_number_is_its_digits() {
        assert_eq!(dialled("+254 700 000 001"), "254700000001");
        assert_eq!(dialled("0700-000 001"), "0700000001");
        assert_eq!(dialled("=1+1"), "=1+1");
        assert_eq!(dialled("+"), "+");
    }
}
