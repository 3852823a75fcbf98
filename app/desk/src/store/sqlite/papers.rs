use super::{Tables, count, read, uncount};
use crate::store::{BookedReceipt, Papers, StoreError};
use combgate_core::clerk::ReceiptFacts;
use combgate_core::record::ReceiptNumber;
use combgate_core::units::Code;
use rusqlite::{OptionalExtension, params};
use uuid::Uuid;

impl Papers for Tables<'_> {
    fn receipt(&self, number: &ReceiptNumber) -> Result<Option<BookedReceipt>, StoreError> {
        let row = self
            .0
            .prepare_cached(
                "SELECT member, net_g, payable_minor, paid_minor, pails, cancelled, advance_minor \
                 FROM receipts WHERE handset = ?1 AND number = ?2",
            )?
            .query_row(
                params![number.handset().as_str(), number.to_string()],
                |row| {
                    let member: String = row.get(0)?;
                    let pails: i64 = row.get(4)?;
                    let facts = ReceiptFacts {
                        net_g: row.get(1)?,
                        payable_minor: row.get(2)?,
                        paid_minor: row.get(3)?,
                        pails: 0,
                        cancelled: row.get(5)?,
                    };
                    Ok((member, pails, facts, row.get(6)?))
                },
            )
            .optional()?;
        row.map(|(member, pails, facts, advance_minor)| {
            Ok(BookedReceipt {
                member: read("a receipt's member", Code::new(&member))?,
                facts: ReceiptFacts {
                    pails: uncount("a receipt's pails", pails)?,
                    ..facts
                },
                advance_minor,
            })
        })
        .transpose()
    }

    fn add_receipt(
        &self,
        handset: &Code,
        number: &ReceiptNumber,
        receipt: &BookedReceipt,
    ) -> Result<bool, StoreError> {
        let facts = receipt.facts;
        let added = self
            .0
            .prepare_cached(
                "INSERT OR IGNORE INTO receipts (handset, number, member, net_g, payable_minor, \
                 paid_minor, advance_minor, pails, cancelled) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .execute(params![
                handset.as_str(),
                number.to_string(),
                receipt.member.as_str(),
                facts.net_g,
                facts.payable_minor,
                facts.paid_minor,
                receipt.advance_minor,
                count(facts.pails)?,
                facts.cancelled,
            ])?;
        Ok(added == 1)
    }

    fn settle(&self, number: &ReceiptNumber, facts: ReceiptFacts) -> Result<(), StoreError> {
        self.0
            .prepare_cached(
                "UPDATE receipts SET paid_minor = ?3, cancelled = ?4 \
                 WHERE handset = ?1 AND number = ?2",
            )?
            .execute(params![
                number.handset().as_str(),
                number.to_string(),
                facts.paid_minor,
                facts.cancelled,
            ])?;
        Ok(())
    }

    fn paper_of(&self, delivery: Uuid) -> Result<Option<ReceiptNumber>, StoreError> {
        let number: Option<String> = self
            .0
            .prepare_cached("SELECT number FROM papers WHERE delivery_id = ?1")?
            .query_row([delivery.to_string()], |row| row.get(0))
            .optional()?;
        number
            .map(|number| read("a paper's number", ReceiptNumber::try_from(number)))
            .transpose()
    }

    fn add_paper(&self, delivery: Uuid, number: &ReceiptNumber) -> Result<(), StoreError> {
        self.0
            .prepare_cached("INSERT OR IGNORE INTO papers (delivery_id, number) VALUES (?1, ?2)")?
            .execute(params![delivery.to_string(), number.to_string()])?;
        Ok(())
    }
}
