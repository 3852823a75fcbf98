//! Closed days and cash as tables.

use super::SqliteStore;
use super::cells::{Cells, damaged, integer};
use crate::store::{Act, CashGiven, ClosedDay, Closing, DaySums, Papers, StoreError};
use chrono::NaiveDate;
use combgate_core::clerk::ClosedTo;
use combgate_core::units::{Code, Label};
use rusqlite::{Row, params};
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

impl Closing for SqliteStore {
    fn closed_to(&self) -> Result<ClosedTo, StoreError> {
        let last = self.first("SELECT max(day) AS day FROM closed_day", [], |row| {
            row.parsed_if_any("day")
        })?;
        Ok(ClosedTo::new(last.flatten()))
    }

    fn close_day(&self, closed: &ClosedDay) -> Result<(), StoreError> {
        let sums = &closed.sums;
        self.connection.execute(
            "INSERT INTO closed_day (day, closed_by, closed_at, receipts, slips, cancellations, \
             net_g, payable_minor, paid_minor, desk_minor) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            params![
                closed.day.to_string(),
                closed.closed.by.as_str(),
                closed.closed.at.to_rfc3339(),
                integer(sums.receipts),
                integer(sums.slips),
                integer(sums.cancellations),
                sums.net_g,
                sums.payable_minor,
                sums.paid_minor,
                sums.desk_minor,
            ],
        )?;
        Ok(())
    }

    fn closed_days(&self) -> Result<Vec<ClosedDay>, StoreError> {
        self.all(
            "SELECT day, closed_by, closed_at, receipts, slips, cancellations, net_g, \
             payable_minor, paid_minor, desk_minor FROM closed_day ORDER BY day DESC",
            [],
            |row| {
                Ok(ClosedDay {
                    day: row.parsed("day")?,
                    closed: Act {
                        by: row.checked("closed_by")?,
                        at: row.parsed("closed_at")?,
                    },
                    sums: DaySums {
                        receipts: row.count("receipts")?,
                        slips: row.count("slips")?,
                        cancellations: row.count("cancellations")?,
                        net_g: row.plain("net_g")?,
                        payable_minor: row.plain("payable_minor")?,
                        paid_minor: row.plain("paid_minor")?,
                        desk_minor: row.plain("desk_minor")?,
                    },
                })
            },
        )
    }

    fn days_booked(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<NaiveDate>, StoreError> {
        let mut found = BTreeSet::new();
        for first_of in [
            "SELECT min(day) AS day FROM entry \
                 WHERE booked = 1 AND day IS NOT NULL AND day BETWEEN ?1 AND ?2",
            "SELECT min(settled_day) AS day FROM payment WHERE settled_day BETWEEN ?1 AND ?2",
            "SELECT min(reversed_day) AS day FROM payment WHERE reversed_day BETWEEN ?1 AND ?2",
            "SELECT min(day) AS day FROM receiving WHERE day BETWEEN ?1 AND ?2",
        ] {
            found.extend(self.each_day(first_of, &days)?);
        }
        Ok(found.into_iter().collect())
    }

    fn first_day(&self) -> Result<Option<NaiveDate>, StoreError> {
        let first = self.first(
            "SELECT min(day) AS day FROM entry WHERE booked = 1 AND day IS NOT NULL",
            [],
            |row| row.parsed_if_any("day"),
        )?;
        Ok(first.flatten())
    }

    fn count_late(&self, handset: &Code, seq: u64, on: NaiveDate) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE entry SET late_from = day, day = ?3 \
             WHERE handset = ?1 AND seq = ?2 AND booked = 1 AND late_from IS NULL",
            params![handset.as_str(), integer(seq), on.to_string()],
        )?;
        self.connection.execute(
            "UPDATE finding SET day = ?3 WHERE handset = ?1 AND seq = ?2",
            params![handset.as_str(), integer(seq), on.to_string()],
        )?;
        if let Some(before) = self.paper(handset, seq)? {
            self.stand(&before, -1)?;
        }
        self.connection.execute(
            "UPDATE paper SET late_from = day, day = ?3 \
             WHERE handset = ?1 AND seq = ?2 AND late_from IS NULL",
            params![handset.as_str(), integer(seq), on.to_string()],
        )?;
        if let Some(now) = self.paper(handset, seq)? {
            self.stand(&now, 1)?;
        }
        self.refresh_on_the_way(handset.as_str(), seq)
    }

    fn counts_on(&self, handset: &Code, seq: u64) -> Result<Option<NaiveDate>, StoreError> {
        let day = self.first(
            "SELECT day FROM entry WHERE handset = ?1 AND seq = ?2 AND booked = 1",
            params![handset.as_str(), integer(seq)],
            |row| row.parsed_if_any("day"),
        )?;
        Ok(day.flatten())
    }

    fn give_cash(&self, cash: &CashGiven) -> Result<(), StoreError> {
        self.connection.execute(
            "INSERT INTO cash (handset, day, minor, note, given_by, given_at) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![
                cash.handset.as_str(),
                cash.day.to_string(),
                cash.minor,
                cash.note.as_ref().map(Label::as_str),
                cash.by.as_str(),
                cash.at.to_rfc3339(),
            ],
        )?;
        Ok(())
    }

    fn cash_given(&self, handset: &Code, day: NaiveDate) -> Result<Vec<CashGiven>, StoreError> {
        self.all(
            "SELECT handset, day, minor, note, given_by, given_at FROM cash \
             WHERE day = ?1 AND handset = ?2 ORDER BY id",
            [day.to_string(), handset.to_string()],
            read_cash,
        )
    }
}

fn read_cash(row: &Row<'_>) -> Result<CashGiven, StoreError> {
    Ok(CashGiven {
        handset: row.checked("handset")?,
        day: row.parsed("day")?,
        minor: row.plain("minor")?,
        note: row.checked_if_any("note")?,
        by: row.checked("given_by")?,
        at: row
            .plain::<String>("given_at")?
            .parse()
            .map_err(damaged("given_at"))?,
    })
}

impl SqliteStore {
    /// Refuses what would count on a closed day.
    pub(super) fn still_open(&self, day: NaiveDate) -> Result<(), StoreError> {
        if self.closed_to()?.contains(day) {
            Err(StoreError::DayClosed(day))
        } else {
            Ok(())
        }
    }
}
