//! How the tables came to be what they are, step by step.

use super::cells::integer;
use super::growing;
use combgate_core::record::{EntryBody, ParsedEntry};
use rusqlite::{Transaction, params};
use rusqlite_migration::{HookError, HookResult, M};

/// Every change of the tables, oldest first. A step that was released is never edited: the next
/// change is the next step. What a new table says of old entries is read out of the entries.
pub(super) fn all() -> Vec<M<'static>> {
    vec![
        M::up(include_str!("../schema.sql")),
        M::up_with_hook(include_str!("../steps/receiving.sql"), pails_of_old_papers),
        M::up_with_hook(include_str!("../steps/payments.sql"), payments_of_old),
        M::up(include_str!("../steps/closing.sql")),
        M::up(include_str!("../steps/clerks.sql")),
        M::up(include_str!("../steps/forgetting.sql")),
        M::up(include_str!("../steps/amending.sql")),
        M::up(include_str!("../steps/sending.sql")),
        M::up(include_str!("../steps/reversing.sql")),
        M::up_with_hook(
            include_str!("../steps/growing.sql"),
            growing::sums_of_old_days,
        ),
        M::up_with_hook(
            include_str!("../steps/summing.sql"),
            growing::officers_of_old,
        ),
        M::up(include_str!("../steps/serious.sql")),
    ]
}

/// Reads every booked entry of some kinds that an older program kept.
fn each_booked(
    ledger: &Transaction<'_>,
    kinds: &str,
    mut take: impl FnMut(&str, &ParsedEntry) -> rusqlite::Result<()>,
) -> HookResult {
    let mut statement = ledger.prepare(&format!(
        "SELECT handset, compact FROM entry WHERE booked = 1 AND kind IN ({kinds})"
    ))?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let handset: String = row.get(0)?;
        let entry = ParsedEntry::parse(&row.get::<_, String>(1)?)
            .map_err(|error| HookError::Hook(error.to_string()))?;
        take(&handset, &entry)?;
    }
    Ok(())
}

fn pails_of_old_papers(ledger: &Transaction<'_>) -> HookResult {
    let mut insert =
        ledger.prepare("INSERT INTO pail (handset, seq, place, number) VALUES (?1, ?2, ?3, ?4)")?;
    each_booked(ledger, "'receipt', 'slip'", |handset, entry| {
        for (place, pail) in (1..).zip(expected_pails(entry.body())) {
            let (seq, place) = (integer(entry.seq()), integer(place));
            insert.execute(params![handset, seq, place, pail])?;
        }
        Ok(())
    })
}

/// The receipt of a payment is found as the import finds it: the first of its number.
fn payments_of_old(ledger: &Transaction<'_>) -> HookResult {
    let mut insert = ledger.prepare(
        "INSERT INTO field_payment (handset, seq, paper) \
         SELECT ?1, ?2, seq FROM paper WHERE handset = ?1 AND number = ?3 AND kind = 'receipt' \
            AND seq < ?2 ORDER BY seq LIMIT 1",
    )?;
    each_booked(ledger, "'payment'", |handset, entry| {
        if let EntryBody::Payment(payment) = entry.body() {
            let number = payment.number.to_string();
            insert.execute(params![handset, integer(entry.seq()), number])?;
        }
        Ok(())
    })
}

/// Numbers of the pails that a paper sends to the store.
fn expected_pails(body: &EntryBody) -> Vec<&str> {
    crate::receiving::sent(body)
        .iter()
        .map(|pail| pail.number.as_str())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rusqlite::Connection;
    use rusqlite_migration::Migrations;

    #[test]
    fn the_steps_apply_from_nothing() {
        assert_eq!(Migrations::new(all()).validate(), Ok(()));
    }

    #[test]
    fn after_each_step_the_tables_are_those_that_the_step_says() {
        let added: &[&[&str]] = &[
            &[
                "brief",
                "bundle",
                "desk",
                "entry",
                "evidence",
                "finding",
                "handset",
                "member",
                "paper",
                "repayment",
                "terms",
            ],
            &["pail", "receiving"],
            &["field_payment", "payment", "payment_list"],
            &["cash", "closed_day"],
            &["account", "finding_step", "revocation", "session"],
            &["forgotten", "sealed"],
            &["member_change", "reversal"],
            &[],
            &[],
            &["day_grade", "day_stands", "day_tally", "day_total"],
            &["officer_day"],
            &[],
        ];
        assert_eq!(added.len(), all().len(), "a step has no check");
        let mut connection = Connection::open_in_memory().unwrap();
        let mut expected: Vec<&str> = Vec::new();
        for (step, tables) in added.iter().enumerate() {
            Migrations::new(all())
                .to_version(&mut connection, step + 1)
                .unwrap();
            let found: Vec<String> = connection
                .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
                .unwrap()
                .query_map([], |row| row.get(0))
                .unwrap()
                .map(Result::unwrap)
                .collect();
            expected.extend(*tables);
            expected.sort_unstable();
            assert_eq!(found, expected);
        }
    }
}
