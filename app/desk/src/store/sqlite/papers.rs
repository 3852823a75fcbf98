//! Receipts, slips and findings as tables.

use super::SqliteStore;
use super::cells::{Cells, at_most, damaged, integer};
use crate::findings::weight_word;
use crate::store::{FindingRow, Paper, PaperKind, Papers, StoreError, decision_word};
use chrono::NaiveDate;
use combgate_core::clerk::FindingWeight;
use combgate_core::intake::Decision;
use combgate_core::record::ReceiptNumber;
use combgate_core::units::Code;
use rusqlite::{Row, params};
use std::ops::{Range, RangeInclusive};
use uuid::Uuid;

pub(super) const PAPER: &str = "SELECT handset, seq, kind, number, delivery, day, member, decision, grade, \
     net_g, payable_minor, paid_minor, repaid_minor, pails, cancelled_by, late_from, \
     (SELECT COALESCE(SUM(minor), 0) FROM reversal WHERE reversal.handset = paper.handset \
        AND reversal.seq = paper.seq AND payment IS NULL AND undone_at IS NULL) AS reversed_minor \
     FROM paper";

impl Papers for SqliteStore {
    fn keep_paper(&self, paper: &Paper) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT INTO paper (handset, seq, kind, number, delivery, day, member, decision, \
                 grade, net_g, payable_minor, paid_minor, repaid_minor, pails, cancelled_by) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
            )?
            .execute(params![
                paper.handset.as_str(),
                integer(paper.seq),
                kind_word(paper.kind),
                paper.number.to_string(),
                paper.delivery.to_string(),
                paper.day.to_string(),
                paper.member.as_str(),
                decision_word(paper.decision),
                paper.grade.as_ref().map(Code::as_str),
                paper.net_g,
                paper.payable_minor,
                paper.paid_minor,
                paper.repaid_minor,
                integer(paper.pails),
                paper.cancelled_by.map(integer),
            ])?;
        self.stand(paper, 1)
    }

    fn paper(&self, handset: &Code, seq: u64) -> Result<Option<Paper>, StoreError> {
        self.first(
            &format!("{PAPER} WHERE handset = ?1 AND seq = ?2"),
            params![handset.as_str(), integer(seq)],
            read_paper,
        )
    }

    fn receipt(&self, number: &ReceiptNumber, of: &Code) -> Result<Option<Paper>, StoreError> {
        self.first(
            &format!(
                "{PAPER} WHERE handset = ?1 AND number = ?2 AND kind = 'receipt' ORDER BY seq"
            ),
            params![of.as_str(), number.to_string()],
            read_paper,
        )
    }

    fn numbered(&self, number: &ReceiptNumber) -> Result<Option<Paper>, StoreError> {
        self.first(
            &format!("{PAPER} WHERE handset = ?1 AND number = ?2 ORDER BY seq"),
            params![number.handset().as_str(), number.to_string()],
            read_paper,
        )
    }

    fn issued(&self, delivery: Uuid) -> Result<Option<ReceiptNumber>, StoreError> {
        self.first(
            "SELECT number FROM paper WHERE delivery = ?1 ORDER BY handset, seq",
            [delivery.to_string()],
            |row| row.checked("number"),
        )
    }

    fn change_paper(&self, paper: &Paper) -> Result<(), StoreError> {
        let before = self.paper(&paper.handset, paper.seq)?;
        if let Some(before) = &before {
            self.stand(before, -1)?;
        }
        self.connection
            .prepare_cached(
                "UPDATE paper SET paid_minor = ?3, cancelled_by = ?4 \
                 WHERE handset = ?1 AND seq = ?2",
            )?
            .execute(params![
                paper.handset.as_str(),
                integer(paper.seq),
                paper.paid_minor,
                paper.cancelled_by.map(integer),
            ])?;
        if paper.cancelled_by.is_some() {
            self.refresh_on_the_way(paper.handset.as_str(), paper.seq)?;
        }
        let receipt = params![paper.handset.as_str(), integer(paper.seq)];
        self.refresh_get_back("handset = ?1 AND seq = ?2", receipt)?;
        match self.paper(&paper.handset, paper.seq)? {
            Some(now) => self.stand(&now, 1),
            None => Ok(()),
        }
    }

    fn papers_on(&self, day: NaiveDate) -> Result<Vec<Paper>, StoreError> {
        self.all(
            &format!("{PAPER} WHERE day = ?1 ORDER BY handset, seq"),
            [day.to_string()],
            read_paper,
        )
    }

    fn papers_part(&self, day: NaiveDate, part: Range<usize>) -> Result<Vec<Paper>, StoreError> {
        self.all(
            &format!("{PAPER} WHERE day = ?1 ORDER BY handset, seq LIMIT ?3 OFFSET ?2"),
            params![day.to_string(), at_most(part.start), at_most(part.len())],
            read_paper,
        )
    }

    fn papers_between(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<Paper>, StoreError> {
        self.all(
            &format!("{PAPER} WHERE day BETWEEN ?1 AND ?2 ORDER BY day, handset, seq"),
            [days.start().to_string(), days.end().to_string()],
            read_paper,
        )
    }

    fn keep_finding(&self, handset: &Code, finding: &FindingRow) -> Result<bool, StoreError> {
        let added = self
            .connection
            .prepare_cached(
                "INSERT INTO finding (handset, seq, code, weight, number, sentence, day) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, (SELECT day FROM entry \
                     WHERE handset = ?1 AND seq = ?2 AND booked = 1)) \
                 ON CONFLICT (handset, seq, code, sentence) DO NOTHING",
            )?
            .execute(params![
                handset.as_str(),
                integer(finding.seq),
                finding.code,
                weight_word(finding.weight),
                finding.number.as_ref().map(ToString::to_string),
                finding.sentence,
            ])?;
        Ok(added == 1)
    }

    fn findings(
        &self,
        handset: &Code,
        seqs: RangeInclusive<u64>,
    ) -> Result<Vec<FindingRow>, StoreError> {
        self.all(
            "SELECT seq, code, weight, number, sentence FROM finding \
                 WHERE handset = ?1 AND seq BETWEEN ?2 AND ?3 ORDER BY seq, code, sentence",
            params![
                handset.as_str(),
                integer(*seqs.start()),
                integer(*seqs.end())
            ],
            read_finding,
        )
    }

    fn findings_on(&self, day: NaiveDate) -> Result<Vec<(Code, FindingRow)>, StoreError> {
        self.all(
            "SELECT entry.handset, entry.seq, code, weight, number, sentence \
                 FROM entry CROSS JOIN finding USING (handset, seq) \
                 WHERE booked = 1 AND entry.day IS NOT NULL AND entry.day = ?1 \
                 ORDER BY entry.handset, entry.seq, code, sentence",
            [day.to_string()],
            |row| Ok((row.checked("handset")?, read_finding(row)?)),
        )
    }

    fn serious_on(&self, days: RangeInclusive<NaiveDate>) -> Result<u64, StoreError> {
        let count = self.first(
            // Few were found before their entry was booked, and are looked up in it.
            "SELECT (SELECT count(*) FROM finding \
                     WHERE weight = 'serious' AND day BETWEEN ?1 AND ?2) \
                 + (SELECT count(*) FROM finding CROSS JOIN entry USING (handset, seq) \
                     WHERE weight = 'serious' AND finding.day IS NULL \
                     AND booked = 1 AND entry.day BETWEEN ?1 AND ?2) AS count",
            [days.start().to_string(), days.end().to_string()],
            |row| row.count("count"),
        )?;
        Ok(count.unwrap_or_default())
    }
}

pub(super) fn read_finding(row: &Row<'_>) -> Result<FindingRow, StoreError> {
    Ok(FindingRow {
        seq: row.count("seq")?,
        code: row.plain("code")?,
        weight: match row.plain::<String>("weight")?.as_str() {
            "note" => FindingWeight::Note,
            "question" => FindingWeight::Question,
            _ => FindingWeight::Serious,
        },
        number: row.checked_if_any("number")?,
        sentence: row.plain("sentence")?,
    })
}

pub(super) fn read_paper(row: &Row<'_>) -> Result<Paper, StoreError> {
    Ok(Paper {
        handset: row.checked("handset")?,
        seq: row.count("seq")?,
        kind: kind_of(&row.plain::<String>("kind")?),
        number: row.checked("number")?,
        delivery: row.parsed("delivery")?,
        day: row.parsed("day")?,
        member: row.checked("member")?,
        decision: match row.plain::<String>("decision")?.as_str() {
            "buy" => Decision::Buy,
            "hold" => Decision::Hold,
            _ => Decision::Refuse,
        },
        grade: row.checked_if_any("grade")?,
        net_g: row.plain("net_g")?,
        payable_minor: row.plain("payable_minor")?,
        paid_minor: row.plain("paid_minor")?,
        reversed_minor: row.plain("reversed_minor")?,
        repaid_minor: row.plain("repaid_minor")?,
        pails: row.count("pails")?,
        cancelled_by: number_or_none(row, "cancelled_by")?,
        late_from: row.parsed_if_any("late_from")?,
    })
}

/// A number of an entry, or none.
pub(super) fn number_or_none(
    row: &Row<'_>,
    column: &'static str,
) -> Result<Option<u64>, StoreError> {
    row.plain::<Option<i64>>(column)?
        .map(u64::try_from)
        .transpose()
        .map_err(damaged(column))
}

/// A kind of paper as it is kept.
pub(super) fn kind_of(word: &str) -> PaperKind {
    match word {
        "receipt" => PaperKind::Receipt,
        _ => PaperKind::Slip,
    }
}

const fn kind_word(kind: PaperKind) -> &'static str {
    match kind {
        PaperKind::Receipt => "receipt",
        PaperKind::Slip => "slip",
    }
}
