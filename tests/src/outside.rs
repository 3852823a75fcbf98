//! What a check against a source outside the project came to: a row of the table in
//! `tests/reference/README.md`, which `tests/tests/outside` makes.

use std::fmt::Debug;

/// What was compared with what, and how far apart the two were.
#[derive(Debug)]
pub struct Outside {
    what: &'static str,
    source: &'static str,
    unit: &'static str,
    /// Cases compared.
    rows: usize,
    /// Most that two may differ by; nothing for what must be the same.
    tolerance: f64,
    worst: f64,
}

impl Outside {
    /// A check of numbers that may differ by so much of a unit.
    pub const fn within(
        tolerance: f64,
        unit: &'static str,
        what: &'static str,
        source: &'static str,
    ) -> Self {
        Self {
            what,
            source,
            unit,
            rows: 0,
            tolerance,
            worst: 0.0,
        }
    }

    /// A check of what must be the same.
    pub const fn exact(what: &'static str, source: &'static str) -> Self {
        Self::within(0.0, "", what, source)
    }

    /// Compares two numbers.
    ///
    /// # Panics
    /// When they differ by more than may be.
    pub fn near(&mut self, ours: f64, theirs: f64, which: impl Debug) {
        let apart = (ours - theirs).abs();
        assert!(
            apart <= self.tolerance,
            "{}: {which:?} is {theirs} by {}, and {ours} here",
            self.what,
            self.source
        );
        self.rows += 1;
        self.worst = self.worst.max(apart);
    }

    /// Compares two whole numbers.
    ///
    /// # Panics
    /// When they differ by more than may be.
    pub fn near_whole(&mut self, ours: i64, theirs: i64, which: impl Debug) {
        let number = |whole| f64::from(i32::try_from(whole).unwrap());
        self.near(number(ours), number(theirs), which);
    }

    /// Compares what must be the same.
    ///
    /// # Panics
    /// When it is not.
    pub fn same<T: PartialEq + Debug>(&mut self, ours: &T, theirs: &T, which: impl Debug) {
        assert_eq!(
            ours, theirs,
            "{}: {which:?}, ours and that of {}",
            self.what, self.source
        );
        self.rows += 1;
    }

    /// Cases compared.
    pub const fn rows(&self) -> usize {
        self.rows
    }

    /// The row of the table; `place` is where the check is written.
    pub fn row(&self, place: &str) -> String {
        let (tolerance, worst) = if self.tolerance > 0.0 {
            (
                format!("{} {}", plain(self.tolerance), self.unit)
                    .trim_end()
                    .to_owned(),
                self.worst_told(),
            )
        } else {
            ("the same".to_owned(), "none".to_owned())
        };
        format!(
            "| {} | {} | {} | {tolerance} | {worst} | {place} |\n",
            self.what, self.source, self.rows
        )
    }

    /// Two digits; but the last bits of another library differ from machine to machine, so what is
    /// less than a hundredth of the tolerance is told no closer.
    fn worst_told(&self) -> String {
        if self.worst == 0.0 {
            "none".to_owned()
        } else if self.worst < self.tolerance / 100.0 {
            format!("under {}", plain(self.tolerance / 100.0))
        } else {
            let digits = 1.0 - self.worst.log10().floor();
            let scale = 10_f64.powf(digits);
            plain((self.worst * scale).round() / scale)
        }
    }
}

/// A small number as people write it.
fn plain(number: f64) -> String {
    if number < 1e-4 {
        format!("{number:.0e}")
    } else {
        let text = format!("{number:.6}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_says_what_was_found() {
        let mut check = Outside::within(3.0, "hundredths", "Moisture", "a table");
        check.near_whole(1_801, 1_800, "18 %");
        check.near_whole(1_798, 1_800, "18 %");
        assert_eq!(
            check.row("a.rs"),
            "| Moisture | a table | 2 | 3 hundredths | 2 | a.rs |\n"
        );
        let mut check = Outside::exact("Names", "a library");
        check.same(&"a", &"a", "first");
        assert_eq!(
            check.row("b.rs"),
            "| Names | a library | 1 | the same | none | b.rs |\n"
        );
        let mut check = Outside::within(1e-9, "of the index", "Curve", "a library");
        check.near(1.0, 1.0 + 3e-13, "last bits");
        assert!(
            check
                .row("c.rs")
                .contains("| 1e-9 of the index | under 1e-11 |")
        );
    }

    #[test]
    #[should_panic(expected = "18 % is 1800 by a table, and 1804 here")]
    fn too_far_apart_fails() {
        let mut check = Outside::within(3.0, "hundredths", "Moisture", "a table");
        check.near_whole(1_804, 1_800, format_args!("18 %"));
    }

    #[test]
    #[should_panic(expected = "ours and that of a library")]
    fn what_differs_fails() {
        Outside::exact("Names", "a library").same(&1, &2, "first");
    }
}
