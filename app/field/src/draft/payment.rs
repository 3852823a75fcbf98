//! How a purchase is paid, out of what was typed.

use super::Draft;
use chrono::NaiveDate;
use combgate_core::record::{Means, SettlementV1, read_day};
use combgate_core::units::Code;
use combgate_ui::figures;
use combgate_ui::words::Word;

/// How much is paid at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paying {
    /// All of it.
    All,
    /// A part.
    Part,
    /// Nothing yet.
    Later,
}

impl Draft {
    /// How much is paid at once.
    pub fn paying(&self) -> Paying {
        match self.paid.as_deref() {
            None => Paying::All,
            Some("0") => Paying::Later,
            Some(_) => Paying::Part,
        }
    }

    /// Changes how much is paid at once; a part is typed anew.
    pub fn pay(&mut self, paying: Paying) {
        self.paid = match paying {
            Paying::All => None,
            Paying::Part => Some(String::new()),
            Paying::Later => Some("0".to_owned()),
        };
    }

    /// What is paid now in minor units, out of what is payable.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn paid_now(&self, payable: i64, places: usize) -> Result<i64, Word> {
        let paid = match &self.paid {
            None => return Ok(payable),
            Some(typed) => figures::parse(typed, places).map_err(|_| Word::FigureNotAFigure)?,
        };
        match paid {
            ..0 => Err(Word::FigureNotAFigure),
            paid if paid > payable => Err(Word::PurchasePaidTooMuch),
            paid => Ok(paid),
        }
    }

    /// The reference of the payment message, where one is needed: a telephone's money is found
    /// again by nothing else.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn reference_of(&self, paid_minor: i64) -> Result<Option<Code>, Word> {
        if paid_minor == 0 || self.means == Means::Cash {
            return Ok(None);
        }
        match self.reference.trim() {
            "" => Err(Word::PurchaseReferenceNeeded),
            typed => Code::new(typed)
                .map(Some)
                .map_err(|_| Word::PurchaseReferenceNeeded),
        }
    }

    /// The day on which the rest is due, where something is owed.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn due_of(&self, owed_minor: i64, today: NaiveDate) -> Result<Option<NaiveDate>, Word> {
        if owed_minor == 0 {
            return Ok(None);
        }
        let due = read_day(self.due.trim());
        due.filter(|due| *due >= today)
            .map(Some)
            .ok_or(Word::PurchaseDueNeeded)
    }

    pub(super) fn settlement(
        &self,
        payable: i64,
        places: usize,
        day: NaiveDate,
    ) -> Result<SettlementV1, Word> {
        let paid_minor = self.paid_now(payable, places)?;
        let owed_minor = payable - paid_minor;
        Ok(SettlementV1 {
            paid_minor,
            means: (paid_minor > 0).then_some(self.means),
            reference: self.reference_of(paid_minor)?,
            owed_minor,
            due: self.due_of(owed_minor, day)?,
        })
    }
}
