//! Payment lists and payments as tables.

use super::SqliteStore;
use super::cells::{Cells, at_most, integer};
use super::papers::{PAPER, read_finding, read_paper};
use crate::store::{
    Act, FindingRow, Paper, PaymentList, PaymentRow, Payments, Reversed, Settled, StoreError,
};
use chrono::NaiveDate;
use combgate_core::record::Means;
use combgate_core::units::{Code, Label};
use rusqlite::{Params, Row, params};
use std::ops::RangeInclusive;

const LIST: &str =
    "SELECT id, means, proposed_by, proposed_at, approved_by, approved_at FROM payment_list";
const PAYMENT: &str = "SELECT payment.id, list, payment.handset, payment.seq, paper.number, \
     paper.member, minor, despite, settled_day, settled_by, settled_at, reference, reversed_day, \
     reversed_by, reversed_at, reversed_because \
     FROM payment JOIN paper ON paper.handset = payment.handset AND paper.seq = payment.seq";

impl Payments for SqliteStore {
    fn owing(&self) -> Result<Vec<Paper>, StoreError> {
        self.all(
            &format!(
                "{PAPER} WHERE kind = 'receipt' AND cancelled_by IS NULL \
                 AND paid_minor < payable_minor AND paid_minor + reversed_minor < payable_minor \
                 ORDER BY member, day, handset, seq"
            ),
            [],
            read_paper,
        )
    }

    fn owed_to(&self, member: &Code) -> Result<i64, StoreError> {
        let owing = self.all(
            &format!(
                "{PAPER} WHERE member = ?1 AND kind = 'receipt' AND cancelled_by IS NULL \
                 AND paid_minor < payable_minor"
            ),
            [member.as_str()],
            read_paper,
        )?;
        let owed = owing.iter().map(|paper| paper.facts().owed_minor());
        Ok(owed.fold(0, |sum: i64, owed| sum.saturating_add(owed.max(0))))
    }

    fn papers_of(&self, member: &Code) -> Result<Vec<Paper>, StoreError> {
        self.all(
            &format!("{PAPER} WHERE member = ?1 ORDER BY day, handset, seq"),
            [member.as_str()],
            read_paper,
        )
    }

    fn serious(&self, paper: &Paper) -> Result<Vec<FindingRow>, StoreError> {
        self.all(
            // Asked for in one condition, all findings of the handset would be read.
            "SELECT seq, code, weight, number, sentence FROM finding \
                 WHERE handset = ?1 AND weight = 'serious' AND seq = ?2 \
             UNION SELECT seq, code, weight, number, sentence \
                 FROM finding INDEXED BY finding_serious \
                 WHERE handset = ?1 AND weight = 'serious' AND number = ?3 \
                 ORDER BY seq, code, sentence",
            params![
                paper.handset.as_str(),
                integer(paper.seq),
                paper.number.to_string()
            ],
            read_finding,
        )
    }

    fn keep_field_payment(&self, handset: &Code, seq: u64, paper: u64) -> Result<(), StoreError> {
        self.connection
            .prepare_cached("INSERT INTO field_payment (handset, seq, paper) VALUES (?1, ?2, ?3)")?
            .execute(params![handset.as_str(), integer(seq), integer(paper)])?;
        Ok(())
    }

    fn field_payments(&self, handset: &Code, paper: u64) -> Result<Vec<u64>, StoreError> {
        self.all(
            "SELECT seq FROM field_payment WHERE handset = ?1 AND paper = ?2 ORDER BY seq",
            params![handset.as_str(), integer(paper)],
            |row| row.count("seq"),
        )
    }

    fn begin_list(&self, means: Means, proposed: &Act) -> Result<i64, StoreError> {
        self.connection.execute(
            "INSERT INTO payment_list (means, proposed_by, proposed_at) VALUES (?1, ?2, ?3)",
            params![
                means_word(means),
                proposed.by.as_str(),
                proposed.at.to_rfc3339()
            ],
        )?;
        Ok(self.connection.last_insert_rowid())
    }

    fn payment_list(&self, id: i64) -> Result<Option<PaymentList>, StoreError> {
        self.first(&format!("{LIST} WHERE id = ?1"), [id], read_list)
    }

    fn payment_lists(&self, most: usize) -> Result<Vec<PaymentList>, StoreError> {
        self.all(
            &format!("{LIST} ORDER BY id DESC LIMIT ?1"),
            [at_most(most)],
            read_list,
        )
    }

    fn list_stands(&self, id: i64) -> Result<(i64, u64), StoreError> {
        let stands = self.first(
            "SELECT coalesce(sum(minor) FILTER (WHERE reversed_at IS NULL), 0) AS minor, \
             count(*) FILTER (WHERE settled_at IS NULL AND reversed_at IS NULL) AS open \
             FROM payment WHERE list = ?1",
            [id],
            |row| Ok((row.plain("minor")?, row.count("open")?)),
        )?;
        Ok(stands.unwrap_or_default())
    }

    fn approve_list(&self, id: i64, approved: &Act) -> Result<bool, StoreError> {
        let changed = self.connection.execute(
            "UPDATE payment_list SET approved_by = ?2, approved_at = ?3 \
             WHERE id = ?1 AND approved_at IS NULL",
            params![id, approved.by.as_str(), approved.at.to_rfc3339()],
        )?;
        Ok(changed == 1)
    }

    fn add_payment(&self, payment: &PaymentRow) -> Result<i64, StoreError> {
        self.connection.execute(
            "INSERT INTO payment (list, handset, seq, minor, despite) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![
                payment.list,
                payment.handset.as_str(),
                integer(payment.seq),
                payment.minor,
                payment.despite.as_ref().map(Label::as_str),
            ],
        )?;
        Ok(self.connection.last_insert_rowid())
    }

    fn payments_in(&self, list: i64) -> Result<Vec<PaymentRow>, StoreError> {
        self.all(
            &format!("{PAYMENT} WHERE list = ?1 ORDER BY payment.id"),
            [list],
            read_payment,
        )
    }

    fn payments_on_receipt(&self, handset: &Code, seq: u64) -> Result<Vec<PaymentRow>, StoreError> {
        self.all(
            &format!(
                "{PAYMENT} WHERE payment.handset = ?1 AND payment.seq = ?2 ORDER BY payment.id"
            ),
            params![handset.as_str(), integer(seq)],
            read_payment,
        )
    }

    fn payments_too_many(&self) -> Result<Vec<PaymentRow>, StoreError> {
        self.all(
            &format!("{PAYMENT} WHERE get_back = 1 ORDER BY payment.id"),
            [],
            read_payment,
        )
    }

    fn payments_on(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<PaymentRow>, StoreError> {
        self.all(
            &format!(
                "{PAYMENT} WHERE settled_day BETWEEN ?1 AND ?2 \
                 OR reversed_day BETWEEN ?1 AND ?2 ORDER BY payment.id"
            ),
            [days.start().to_string(), days.end().to_string()],
            read_payment,
        )
    }

    fn settle_payment(&self, id: i64, settled: &Settled) -> Result<bool, StoreError> {
        self.still_open(settled.day)?;
        let changed = self.connection.execute(
            "UPDATE payment SET settled_day = ?2, settled_by = ?3, settled_at = ?4, \
             reference = ?5 WHERE id = ?1 AND settled_at IS NULL AND reversed_at IS NULL \
             AND EXISTS (SELECT 1 FROM payment_list \
                WHERE payment_list.id = list AND approved_at IS NOT NULL)",
            params![
                id,
                settled.day.to_string(),
                settled.act.by.as_str(),
                settled.act.at.to_rfc3339(),
                settled.reference.as_ref().map(Code::as_str),
            ],
        )?;
        self.refresh_get_back("id = ?1", [id])?;
        Ok(changed == 1)
    }

    fn reverse_payment(&self, id: i64, reversed: &Reversed) -> Result<bool, StoreError> {
        self.still_open(reversed.day)?;
        let changed = self.connection.execute(
            "UPDATE payment SET reversed_day = ?2, reversed_by = ?3, reversed_at = ?4, \
             reversed_because = ?5 WHERE id = ?1 AND reversed_at IS NULL",
            params![
                id,
                reversed.day.to_string(),
                reversed.act.by.as_str(),
                reversed.act.at.to_rfc3339(),
                reversed.because.as_str(),
            ],
        )?;
        self.refresh_get_back("id = ?1", [id])?;
        Ok(changed == 1)
    }
}

impl SqliteStore {
    /// Says anew which of some payments are to be asked back: after one of them, what cancelled its
    /// receipt or what was paid of it changed.
    pub(super) fn refresh_get_back(
        &self,
        which: &str,
        parameters: impl Params,
    ) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(&format!(
                "UPDATE payment SET get_back = settled_at IS NOT NULL AND reversed_at IS NULL \
                 AND EXISTS (SELECT 1 FROM paper \
                    WHERE paper.handset = payment.handset AND paper.seq = payment.seq \
                    AND (cancelled_by IS NOT NULL OR paid_minor > payable_minor)) \
                 WHERE {which}"
            ))?
            .execute(parameters)?;
        Ok(())
    }
}

pub(super) fn act(
    row: &Row<'_>,
    by: &'static str,
    at: &'static str,
) -> Result<Option<Act>, StoreError> {
    Ok(match row.checked_if_any(by)? {
        Some(by) => Some(Act {
            by,
            at: row.parsed(at)?,
        }),
        None => None,
    })
}

fn read_list(row: &Row<'_>) -> Result<PaymentList, StoreError> {
    Ok(PaymentList {
        id: row.plain("id")?,
        means: match row.plain::<String>("means")?.as_str() {
            "cash" => Means::Cash,
            _ => Means::MobileMoney,
        },
        proposed: Act {
            by: row.checked("proposed_by")?,
            at: row.parsed("proposed_at")?,
        },
        approved: act(row, "approved_by", "approved_at")?,
    })
}

fn read_payment(row: &Row<'_>) -> Result<PaymentRow, StoreError> {
    let settled = match act(row, "settled_by", "settled_at")? {
        Some(act) => Some(Settled {
            day: row.parsed("settled_day")?,
            act,
            reference: row.checked_if_any("reference")?,
        }),
        None => None,
    };
    let reversed = match act(row, "reversed_by", "reversed_at")? {
        Some(act) => Some(Reversed {
            day: row.parsed("reversed_day")?,
            act,
            because: row.checked("reversed_because")?,
        }),
        None => None,
    };
    Ok(PaymentRow {
        id: row.plain("id")?,
        list: row.plain("list")?,
        handset: row.checked("handset")?,
        seq: row.count("seq")?,
        receipt: row.checked("number")?,
        member: row.checked("member")?,
        minor: row.plain("minor")?,
        despite: row.checked_if_any("despite")?,
        settled,
        reversed,
    })
}

/// A means as it is kept.
pub(super) const fn means_word(means: Means) -> &'static str {
    match means {
        Means::Cash => "cash",
        Means::MobileMoney => "mobile_money",
    }
}
