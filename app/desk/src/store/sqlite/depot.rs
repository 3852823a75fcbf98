//! Pails and weighings at the store as tables.

use super::SqliteStore;
use super::cells::{Cells, at_most, damaged, integer};
use super::papers::{kind_of, number_or_none};
use crate::store::{
    Depot, PailPlace, PailRow, PaperKind, Received, ReceivingRow, SetAside, StoreError,
};
use chrono::NaiveDate;
use combgate_core::clerk::{PailAtStore, PailStands, SealSeen};
use combgate_core::intake::{ScaleCheck, WeighingScale};
use combgate_core::units::{Code, Grams, ScaleInterval};
use rusqlite::{Row, params};
use std::ops::{Range, RangeInclusive};

const PAIL: &str = "SELECT pail.handset, pail.seq, pail.place, pail.number, \
     paper.number AS paper, paper.kind, paper.day, \
     COALESCE(paper.late_from, paper.day) AS written_on, paper.member, paper.cancelled_by, \
     receiving.id AS received_id, receiving.day AS received_day, received_by \
     FROM pail JOIN paper USING (handset, seq) \
     LEFT JOIN receiving ON receiving.handset = pail.handset AND receiving.seq = pail.seq \
        AND receiving.place = pail.place AND set_aside_at IS NULL";
const RECEIVING: &str = "SELECT id, pail, handset, seq, place, day, gross_g, tare_g, interval_g, \
     scale_check, seal_seen, seal, received_by, received_at, set_aside_by, set_aside_at, \
     set_aside_because FROM receiving";

impl Depot for SqliteStore {
    fn keep_pails(
        &self,
        handset: &Code,
        seq: u64,
        on_the_way: Option<NaiveDate>,
        numbers: &[&Code],
    ) -> Result<(), StoreError> {
        let mut insert = self.connection.prepare_cached(
            "INSERT INTO pail (handset, seq, place, number, on_the_way) VALUES (?1, ?2, ?3, ?4, ?5)",
        )?;
        let on_the_way = on_the_way.map(|day| day.to_string());
        for (place, number) in (1..).zip(numbers) {
            let place: i64 = place;
            insert.execute(params![
                handset.as_str(),
                integer(seq),
                place,
                number.as_str(),
                on_the_way,
            ])?;
        }
        Ok(())
    }

    fn pails_named(&self, number: &Code) -> Result<Vec<PailRow>, StoreError> {
        self.all(
            &format!(
                "{PAIL} WHERE pail.number = ?1 \
                 ORDER BY paper.day DESC, pail.handset, pail.seq DESC, pail.place"
            ),
            [number.as_str()],
            read_pail,
        )
    }

    fn pail_at(&self, at: &PailPlace) -> Result<Option<PailRow>, StoreError> {
        self.first(
            &format!("{PAIL} WHERE pail.handset = ?1 AND pail.seq = ?2 AND pail.place = ?3"),
            params![at.handset.as_str(), integer(at.seq), integer(at.place)],
            read_pail,
        )
    }

    fn pails_on(&self, days: RangeInclusive<NaiveDate>) -> Result<Vec<PailRow>, StoreError> {
        self.all(
            &format!(
                "{PAIL} WHERE paper.day BETWEEN ?1 AND ?2 \
                 ORDER BY paper.day, pail.handset, pail.seq, pail.place"
            ),
            [days.start().to_string(), days.end().to_string()],
            read_pail,
        )
    }

    fn on_the_way(
        &self,
        days: RangeInclusive<NaiveDate>,
        part: Range<usize>,
    ) -> Result<Vec<PailRow>, StoreError> {
        self.all(
            &format!(
                "{PAIL} WHERE on_the_way BETWEEN ?1 AND ?2 \
                 ORDER BY on_the_way, pail.handset, pail.seq, pail.place LIMIT ?4 OFFSET ?3"
            ),
            params![
                days.start().to_string(),
                days.end().to_string(),
                at_most(part.start),
                at_most(part.len())
            ],
            read_pail,
        )
    }

    fn count_on_the_way(&self, days: RangeInclusive<NaiveDate>) -> Result<u64, StoreError> {
        let count = self.first(
            "SELECT count(*) AS count FROM pail WHERE on_the_way BETWEEN ?1 AND ?2",
            [days.start().to_string(), days.end().to_string()],
            |row| row.count("count"),
        )?;
        Ok(count.unwrap_or_default())
    }

    fn pails_stand(
        &self,
        handset: &Code,
        day: NaiveDate,
    ) -> Result<Vec<(PailStands, u64)>, StoreError> {
        self.all(
            "SELECT kind, cancelled_by IS NOT NULL AS cancelled, \
                 receiving.id IS NOT NULL AS received, count(*) AS count \
                 FROM paper CROSS JOIN pail USING (handset, seq) \
                 LEFT JOIN receiving ON receiving.handset = pail.handset \
                    AND receiving.seq = pail.seq AND receiving.place = pail.place \
                    AND set_aside_at IS NULL \
                 WHERE paper.day = ?1 AND paper.handset = ?2 GROUP BY 1, 2, 3",
            [day.to_string(), handset.to_string()],
            |row| {
                let stands = PailStands {
                    held: kind_of(&row.plain::<String>("kind")?) == PaperKind::Slip,
                    cancelled: row.plain("cancelled")?,
                    received: row.plain("received")?,
                };
                Ok((stands, row.count("count")?))
            },
        )
    }

    fn on_the_way_of(&self, handset: &Code, day: NaiveDate) -> Result<Vec<PailRow>, StoreError> {
        self.all(
            &format!(
                "{PAIL} WHERE on_the_way = ?1 AND pail.handset = ?2 \
                 ORDER BY pail.seq, pail.place"
            ),
            [day.to_string(), handset.to_string()],
            read_pail,
        )
    }

    fn keep_receiving(&self, receiving: &ReceivingRow) -> Result<i64, StoreError> {
        self.still_open(receiving.day)?;
        let (seal_seen, seal) = match &receiving.found.seal {
            SealSeen::Whole(seal) => ("whole", Some(seal)),
            SealSeen::Broken(seal) => ("broken", Some(seal)),
            SealSeen::Missing => ("missing", None),
        };
        let paper = receiving.paper.as_ref();
        self.connection.execute(
            "INSERT INTO receiving (pail, handset, seq, place, day, gross_g, tare_g, interval_g, \
             scale_check, seal_seen, seal, received_by, received_at) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
            params![
                receiving.pail.as_str(),
                paper.map(|paper| paper.handset.as_str()),
                paper.map(|paper| integer(paper.seq)),
                paper.map(|paper| integer(paper.place)),
                receiving.day.to_string(),
                receiving.found.gross.get(),
                receiving.found.tare.map(Grams::get),
                receiving.found.scale.interval.get(),
                check_word(receiving.found.scale.check),
                seal_seen,
                seal.map(Code::as_str),
                receiving.found.by.as_str(),
                receiving.at.to_rfc3339(),
            ],
        )?;
        let id = self.connection.last_insert_rowid();
        if let Some(paper) = paper {
            self.refresh_on_the_way(paper.handset.as_str(), paper.seq)?;
        }
        Ok(id)
    }

    fn receiving(&self, id: i64) -> Result<Option<ReceivingRow>, StoreError> {
        self.first(&format!("{RECEIVING} WHERE id = ?1"), [id], read_receiving)
    }

    fn receivings_on(
        &self,
        days: RangeInclusive<NaiveDate>,
        most: u64,
    ) -> Result<Vec<ReceivingRow>, StoreError> {
        self.all(
            &format!("{RECEIVING} WHERE day BETWEEN ?1 AND ?2 ORDER BY day DESC, id DESC LIMIT ?3"),
            params![
                days.start().to_string(),
                days.end().to_string(),
                integer(most)
            ],
            read_receiving,
        )
    }

    fn unmatched(&self) -> Result<Vec<ReceivingRow>, StoreError> {
        self.all(
            &format!("{RECEIVING} WHERE handset IS NULL AND set_aside_at IS NULL ORDER BY id"),
            [],
            read_receiving,
        )
    }

    fn match_receiving(&self, id: i64, paper: &PailPlace) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE receiving SET handset = ?2, seq = ?3, place = ?4 \
             WHERE id = ?1 AND handset IS NULL",
            params![
                id,
                paper.handset.as_str(),
                integer(paper.seq),
                integer(paper.place)
            ],
        )?;
        self.refresh_on_the_way(paper.handset.as_str(), paper.seq)
    }

    fn set_aside(&self, id: i64, how: &SetAside) -> Result<(), StoreError> {
        self.connection.execute(
            "UPDATE receiving SET set_aside_by = ?2, set_aside_at = ?3, set_aside_because = ?4 \
             WHERE id = ?1 AND set_aside_at IS NULL",
            params![
                id,
                how.by.as_str(),
                how.at.to_rfc3339(),
                how.because.as_str()
            ],
        )?;
        let paper = self.first(
            "SELECT handset, seq FROM receiving WHERE id = ?1 AND handset IS NOT NULL",
            [id],
            |row| Ok((row.plain::<String>("handset")?, row.count("seq")?)),
        )?;
        match paper {
            Some((handset, seq)) => self.refresh_on_the_way(&handset, seq),
            None => Ok(()),
        }
    }
}

impl SqliteStore {
    /// Says anew which pails of a paper did not come yet: after its day, what cancelled it or a
    /// weighing changed.
    pub(super) fn refresh_on_the_way(&self, handset: &str, seq: u64) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "UPDATE pail SET on_the_way = (SELECT day FROM paper \
                    WHERE paper.handset = ?1 AND paper.seq = ?2 AND cancelled_by IS NULL \
                    AND NOT EXISTS (SELECT 1 FROM receiving WHERE receiving.handset = ?1 \
                       AND receiving.seq = ?2 AND receiving.place = pail.place \
                       AND set_aside_at IS NULL)) \
                 WHERE handset = ?1 AND seq = ?2",
            )?
            .execute(params![handset, integer(seq)])?;
        Ok(())
    }
}

fn read_pail(row: &Row<'_>) -> Result<PailRow, StoreError> {
    let received = match row.plain::<Option<i64>>("received_id")? {
        Some(id) => Some(Received {
            id,
            day: row.parsed("received_day")?,
            by: row.checked("received_by")?,
        }),
        None => None,
    };
    Ok(PailRow {
        at: PailPlace {
            handset: row.checked("handset")?,
            seq: row.count("seq")?,
            place: row.count("place")?,
        },
        number: row.checked("number")?,
        paper: row.checked("paper")?,
        kind: kind_of(&row.plain::<String>("kind")?),
        day: row.parsed("day")?,
        written_on: row.parsed("written_on")?,
        member: row.checked("member")?,
        cancelled: number_or_none(row, "cancelled_by")?.is_some(),
        received,
    })
}

fn read_receiving(row: &Row<'_>) -> Result<ReceivingRow, StoreError> {
    let seal: Option<Code> = row.checked_if_any("seal")?;
    let seal = match (row.plain::<String>("seal_seen")?.as_str(), seal) {
        ("whole", Some(seal)) => SealSeen::Whole(seal),
        (_, Some(seal)) => SealSeen::Broken(seal),
        (_, None) => SealSeen::Missing,
    };
    let grams = |count: i64| Grams::new(count).map_err(damaged("grams"));
    let handset: Option<Code> = row.checked_if_any("handset")?;
    let paper = match handset {
        Some(handset) => Some(PailPlace {
            handset,
            seq: row.count("seq")?,
            place: row.count("place")?,
        }),
        None => None,
    };
    let set_aside = match row.checked_if_any("set_aside_by")? {
        Some(by) => Some(SetAside {
            by,
            at: row.parsed("set_aside_at")?,
            because: row.checked("set_aside_because")?,
        }),
        None => None,
    };
    Ok(ReceivingRow {
        id: row.plain("id")?,
        pail: row.checked("pail")?,
        paper,
        day: row.parsed("day")?,
        found: PailAtStore {
            scale: WeighingScale {
                interval: ScaleInterval::new(row.plain("interval_g")?)
                    .map_err(damaged("interval_g"))?,
                check: match row.plain::<String>("scale_check")?.as_str() {
                    "passed" => ScaleCheck::Passed,
                    "failed" => ScaleCheck::Failed,
                    _ => ScaleCheck::NotDone,
                },
            },
            gross: grams(row.plain("gross_g")?)?,
            tare: row.plain::<Option<i64>>("tare_g")?.map(grams).transpose()?,
            seal,
            by: row.checked("received_by")?,
        },
        at: row.parsed("received_at")?,
        set_aside,
    })
}

const fn check_word(check: ScaleCheck) -> &'static str {
    match check {
        ScaleCheck::Passed => "passed",
        ScaleCheck::Failed => "failed",
        ScaleCheck::NotDone => "not_done",
    }
}
