//! Closed days: what was booked by a day is fixed, and what comes later counts on the open day.

use chrono::NaiveDate;

/// How far the books are closed. Days are closed in order: the last closed day closes all before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ClosedTo(Option<NaiveDate>);

/// A day that is not closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CloseError {
    /// Closed before.
    #[error("the books are closed up to {0} already: nothing is to be done")]
    Already(NaiveDate),
    /// Not over yet.
    #[error("{day} is not over before {today} is: close it when all of the day is in")]
    NotYet {
        /// The day asked for.
        day: NaiveDate,
        /// Today.
        today: NaiveDate,
    },
}

impl ClosedTo {
    /// Books closed up to a day, that day included; `None` when no day was closed.
    pub const fn new(last: Option<NaiveDate>) -> Self {
        Self(last)
    }

    /// The last closed day.
    pub const fn last(self) -> Option<NaiveDate> {
        self.0
    }

    /// Whether a day is closed.
    pub fn contains(self, day: NaiveDate) -> bool {
        self.0.is_some_and(|last| day <= last)
    }

    /// The day on which what is done today counts: today, or the first open day after a closing of
    /// today.
    pub fn open_day(self, today: NaiveDate) -> NaiveDate {
        match self.0.and_then(|last| last.succ_opt()) {
            Some(next) => next.max(today),
            None => today,
        }
    }

    /// The day on which something of a day counts that comes today: its own, unless that is closed.
    ///
    /// # Examples
    /// ```
    /// # use combgate_core::clerk::ClosedTo;
    /// let day = |day| chrono::NaiveDate::from_ymd_opt(2026, 10, day).unwrap();
    /// let books = ClosedTo::new(Some(day(9)));
    /// assert_eq!(books.counts_on(day(10), day(12)), day(10));
    /// assert_eq!(books.counts_on(day(8), day(12)), day(12));
    /// assert_eq!(books.counts_on(day(9), day(9)), day(10));
    /// ```
    pub fn counts_on(self, day: NaiveDate, today: NaiveDate) -> NaiveDate {
        if self.contains(day) {
            self.open_day(today)
        } else {
            day
        }
    }

    /// Closes a day and all before it. Today can be closed once its work is done; a day to come
    /// cannot.
    pub fn close(self, day: NaiveDate, today: NaiveDate) -> Result<Self, CloseError> {
        match self.0 {
            Some(last) if day <= last => Err(CloseError::Already(last)),
            _ if day > today => Err(CloseError::NotYet { day, today }),
            _ => Ok(Self(Some(day))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(after: i64) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 10, 9).unwrap() + chrono::Duration::days(after)
    }

    #[test]
    fn days_are_closed_once_and_not_ahead() {
        let open = ClosedTo::default();
        let closed = open.close(day(0), day(0)).unwrap();
        assert_eq!(closed.last(), Some(day(0)));
        assert_eq!(
            closed.close(day(-1), day(3)),
            Err(CloseError::Already(day(0)))
        );
        assert_eq!(
            closed.close(day(4), day(3)),
            Err(CloseError::NotYet {
                day: day(4),
                today: day(3)
            })
        );
        assert!(!open.contains(day(-99)));
        assert_eq!(open.counts_on(day(-99), day(0)), day(-99));
    }

    proptest! {
        /// Whatever comes, and whenever, never counts on a closed day.
        #[test]
        fn nothing_counts_on_a_closed_day(closed in -30..0_i64, own in -60..30_i64, today in -30..30_i64) {
            let books = ClosedTo::new(Some(day(closed)));
            let counts = books.counts_on(day(own), day(today));
            prop_assert!(!books.contains(counts));
            prop_assert!(!books.contains(books.open_day(day(today))));
            prop_assert_eq!(counts == day(own), own > closed);
        }
    }
}
