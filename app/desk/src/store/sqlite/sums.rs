//! Sums and counts by day as tables.

use super::SqliteStore;
use super::cells::{Cells, integer};
use crate::store::{DayBookSums, DayStands, Paper, StoreError, Sums, Tallied, TallyRow};
use chrono::NaiveDate;
use combgate_core::clerk::{DayBook, DayBookRow, DayCounted, DayMoved, GradeTotal};
use combgate_core::intake::Decision;
use combgate_core::record::DayTotalV1;
use combgate_core::units::Code;
use rusqlite::{Connection, Row, params};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

const STANDS: &str = "coalesce(sum(net_g), 0) AS net_g, \
     coalesce(sum(payable_minor), 0) AS payable_minor, \
     coalesce(sum(owed_minor), 0) AS owed_minor FROM day_stands";

impl Sums for SqliteStore {
    fn keep_sums(&self, book: &DayBook) -> Result<(), StoreError> {
        keep(&self.connection, book)
    }

    fn day_sums(&self, day: NaiveDate) -> Result<DayBookSums, StoreError> {
        read(self, day)
    }

    fn keep_moved(&self, handset: &Code, opening: u64, moved: &DayMoved) -> Result<(), StoreError> {
        keep_moved(&self.connection, handset.as_str(), opening, moved)
    }

    fn moved(&self, handset: &Code, opening: u64) -> Result<DayMoved, StoreError> {
        let kept = self.first(
            "SELECT paid_minor, returned_minor, counted_minor, counted_full, expected_full \
             FROM officer_day WHERE handset = ?1 AND opening = ?2",
            params![handset.as_str(), integer(opening)],
            read_moved,
        )?;
        kept.ok_or_else(|| StoreError::Damaged {
            what: "the sums of an officer's day",
            detail: format!("nothing is kept of the day that entry {opening} of {handset} opened"),
        })
    }

    fn day_stands(&self, day: NaiveDate) -> Result<DayStands, StoreError> {
        let stands = self.first(
            &format!("SELECT {STANDS} WHERE day = ?1"),
            [day.to_string()],
            read_stands,
        )?;
        Ok(stands.unwrap_or_default())
    }

    fn stands_by_grade(
        &self,
        days: RangeInclusive<NaiveDate>,
    ) -> Result<Vec<(NaiveDate, Code, DayStands)>, StoreError> {
        self.all(
            &format!(
                "SELECT day, grade, {STANDS} WHERE day BETWEEN ?1 AND ?2 AND receipts > 0 \
                 GROUP BY day, grade ORDER BY day, grade"
            ),
            [days.start().to_string(), days.end().to_string()],
            |row| Ok((row.parsed("day")?, row.checked("grade")?, read_stands(row)?)),
        )
    }

    fn keep_tally(&self, day: NaiveDate, rows: &[TallyRow]) -> Result<(), StoreError> {
        keep_tally(&self.connection, &day.to_string(), rows)
    }

    fn tallied(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<TallyRow>, StoreError> {
        self.all(
            "SELECT what, about, scale, value, sum(count) AS count FROM day_tally \
                 WHERE day BETWEEN ?1 AND ?2 GROUP BY what, about, scale, value",
            [days.start().to_string(), days.end().to_string()],
            |row| {
                Ok(TallyRow {
                    what: match row.plain::<String>("what")?.as_str() {
                        "moisture" => Tallied::Moisture,
                        "limit" => Tallied::Limit,
                        _ => Tallied::Digit,
                    },
                    about: row.plain("about")?,
                    scale: row.plain("scale")?,
                    value: row.plain("value")?,
                    count: row.count("count")?,
                })
            },
        )
    }
}

impl SqliteStore {
    /// Adds a receipt to what its day stands at, or takes it off before it changes.
    pub(super) fn stand(&self, paper: &Paper, times: i64) -> Result<(), StoreError> {
        stand(&self.connection, paper, times)
    }
}

/// See [`SqliteStore::stand`].
pub(super) fn stand(ledger: &Connection, paper: &Paper, times: i64) -> Result<(), StoreError> {
    let Some(grade) = &paper.grade else {
        return Ok(());
    };
    if paper.decision != Decision::Buy || paper.cancelled_by.is_some() {
        return Ok(());
    }
    ledger
        .prepare_cached(
            "INSERT INTO day_stands (day, grade, receipts, net_g, payable_minor, owed_minor) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT (day, grade) DO UPDATE SET \
             receipts = receipts + ?3, net_g = net_g + ?4, \
             payable_minor = payable_minor + ?5, owed_minor = owed_minor + ?6",
        )?
        .execute(params![
            paper.day.to_string(),
            grade.as_str(),
            times,
            times.saturating_mul(paper.net_g),
            times.saturating_mul(paper.payable_minor),
            times.saturating_mul(paper.facts().owed_minor()),
        ])?;
    Ok(())
}

/// Adds to what an officer's day came to.
pub(super) fn keep_moved(
    ledger: &Connection,
    handset: &str,
    opening: u64,
    moved: &DayMoved,
) -> Result<(), StoreError> {
    // Nothing moves any more once it was counted, so what is kept of that is never undone.
    ledger
        .prepare_cached(
            "INSERT INTO officer_day (handset, opening, paid_minor, returned_minor, \
             counted_minor, counted_full, expected_full) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7) \
             ON CONFLICT (handset, opening) DO UPDATE SET paid_minor = paid_minor + ?3, \
             returned_minor = returned_minor + ?4, counted_minor = ?5, counted_full = ?6, \
             expected_full = ?7",
        )?
        .execute(params![
            handset,
            integer(opening),
            moved.paid_minor,
            moved.returned_minor,
            moved.counted.map(|counted| counted.cash_minor),
            moved.counted.map(|counted| integer(counted.full_pails)),
            moved.counted.map(|counted| integer(counted.expected_full)),
        ])?;
    Ok(())
}

fn read_moved(row: &Row<'_>) -> Result<DayMoved, StoreError> {
    let counted = match row.plain::<Option<i64>>("counted_minor")? {
        Some(cash_minor) => Some(DayCounted {
            cash_minor,
            full_pails: row.count("counted_full")?,
            expected_full: row.count("expected_full")?,
        }),
        None => None,
    };
    Ok(DayMoved {
        paid_minor: row.plain("paid_minor")?,
        returned_minor: row.plain("returned_minor")?,
        counted,
    })
}

fn read_stands(row: &Row<'_>) -> Result<DayStands, StoreError> {
    Ok(DayStands {
        net_g: row.plain("net_g")?,
        payable_minor: row.plain("payable_minor")?,
        owed_minor: row.plain("owed_minor")?,
    })
}

/// Adds to what is counted of a day.
pub(super) fn keep_tally(
    ledger: &Connection,
    day: &str,
    rows: &[TallyRow],
) -> Result<(), StoreError> {
    let mut add = ledger.prepare_cached(
        "INSERT INTO day_tally (day, what, about, scale, value, count) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT (day, what, about, scale, value) \
         DO UPDATE SET count = count + ?6",
    )?;
    for row in rows {
        let what = match row.what {
            Tallied::Moisture => "moisture",
            Tallied::Limit => "limit",
            Tallied::Digit => "digit",
        };
        add.execute(params![
            day,
            what,
            row.about,
            row.scale,
            row.value,
            integer(row.count)
        ])?;
    }
    Ok(())
}

/// Adds to the sums of a day what a book of newly booked entries came to.
pub(super) fn keep(ledger: &Connection, book: &DayBook) -> Result<(), StoreError> {
    let day = book.day().to_string();
    let mut total = ledger.prepare_cached(
        "INSERT INTO day_total (day, handset, receipts, slips, cancellations, pails, net_g, \
         payable_minor, paid_minor) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) \
         ON CONFLICT (day, handset) DO UPDATE SET receipts = receipts + ?3, slips = slips + ?4, \
         cancellations = cancellations + ?5, pails = pails + ?6, net_g = net_g + ?7, \
         payable_minor = payable_minor + ?8, paid_minor = paid_minor + ?9",
    )?;
    for DayBookRow { handset, total: of } in book.rows() {
        total.execute(params![
            day,
            handset.as_str(),
            integer(of.receipts),
            integer(of.slips),
            integer(of.cancellations),
            of.pails,
            of.net_g,
            of.payable_minor,
            of.paid_minor,
        ])?;
    }
    let mut grade = ledger.prepare_cached(
        "INSERT INTO day_grade (day, grade, receipts, net_g, payable_minor) \
         VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT (day, grade) DO UPDATE SET \
         receipts = receipts + ?3, net_g = net_g + ?4, payable_minor = payable_minor + ?5",
    )?;
    for (name, of) in book.grades() {
        grade.execute(params![
            day,
            name.as_str(),
            of.receipts,
            of.net_g,
            of.payable_minor
        ])?;
    }
    Ok(())
}

/// The sums of a day.
pub(super) fn read(store: &SqliteStore, day: NaiveDate) -> Result<DayBookSums, StoreError> {
    let rows = store.all(
        "SELECT handset, receipts, slips, cancellations, pails, net_g, payable_minor, paid_minor \
             FROM day_total WHERE day = ?1 ORDER BY handset",
        [day.to_string()],
        |row| {
            Ok(DayBookRow {
                handset: row.checked("handset")?,
                total: DayTotalV1 {
                    day,
                    receipts: row.count("receipts")?,
                    slips: row.count("slips")?,
                    cancellations: row.count("cancellations")?,
                    pails: row.plain("pails")?,
                    net_g: row.plain("net_g")?,
                    payable_minor: row.plain("payable_minor")?,
                    paid_minor: row.plain("paid_minor")?,
                },
            })
        },
    )?;
    let grades: Vec<_> = store.all(
        "SELECT grade, receipts, net_g, payable_minor FROM day_grade WHERE day = ?1",
        [day.to_string()],
        |row| {
            let total = GradeTotal {
                receipts: row.plain("receipts")?,
                net_g: row.plain("net_g")?,
                payable_minor: row.plain("payable_minor")?,
            };
            Ok((row.checked("grade")?, total))
        },
    )?;
    let grades: BTreeMap<_, _> = grades.into_iter().collect();
    let mut total = DayTotalV1::empty(day);
    for row in &rows {
        total.add_total(&row.total);
    }
    Ok(DayBookSums {
        rows,
        grades,
        total,
    })
}
