//! One set of questions to core, whose answers must agree to the bit wherever it runs.
//!
//! The machine at the desk and the phone's WebAssembly both reckon every row anew and hold it to
//! `marks.txt`: a SHA-256 digest over each family of rows, and four letters of the digest of each
//! row, by which the first row that differs is named. Neither side is trusted: when core is meant
//! to answer otherwise, `cargo run -p combgate-tests --bin same-bits` writes the file anew, and the
//! other side must then come to the same.
//!
//! This folder is compiled into two crates, so it knows only core and `fastrand`. Random figures
//! come from fixed seeds, and never from a width of integers that differs between machines.
#![allow(
    clippy::unwrap_used,
    reason = "every figure drawn is in range; one that is not must fail loudly"
)]

mod deliveries;
mod measures;

use combgate_core::record::Digest;
use std::fmt::{Display, Write};

/// What the marks of all rows were when they were last written.
pub const KEPT: &str = include_str!("marks.txt");

/// Letters kept of the digest of a row.
const MARK: usize = 4;
/// Marks on one line of the file.
const MARKS_ON_A_LINE: usize = 18;

/// One question and its answer, fractions spelt by their bits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What was asked.
    pub asked: String,
    /// What core answers here.
    pub found: String,
}

impl Row {
    fn new(asked: impl Display, found: impl Display) -> Self {
        Self {
            asked: asked.to_string(),
            found: found.to_string(),
        }
    }

    fn text(&self) -> String {
        format!("{}\n{}\n", self.asked, self.found)
    }

    fn mark(&self) -> String {
        let mut mark = Digest::of(self.text()).to_string();
        mark.truncate(MARK);
        mark
    }
}

/// Rows of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Family {
    /// Its name in the file.
    pub name: &'static str,
    /// Its rows, in the order asked.
    pub rows: Vec<Row>,
}

impl Family {
    /// Digest of all rows in full.
    fn digest(&self) -> Digest {
        Digest::of(self.rows.iter().map(Row::text).collect::<String>())
    }

    /// The family as the file keeps it.
    pub fn text(&self) -> String {
        let mut text = format!("{} {} {}\n", self.name, self.rows.len(), self.digest());
        let marks: Vec<String> = self.rows.iter().map(Row::mark).collect();
        for line in marks.chunks(MARKS_ON_A_LINE) {
            text.push(' ');
            text.push_str(&line.join(" "));
            text.push('\n');
        }
        text
    }

    /// Holds this machine's answers to those kept.
    ///
    /// # Errors
    /// Names the first row that differs.
    pub fn compare(&self, kept: &str) -> Result<(), String> {
        let mut lines = kept.lines();
        let head = lines.find(|line| line.split(' ').next() == Some(self.name));
        let head = head.ok_or_else(|| format!("{}: nothing is kept of it", self.name))?;
        let marks: Vec<&str> = lines
            .take_while(|line| line.starts_with(' '))
            .flat_map(str::split_whitespace)
            .collect();
        let own = format!("{} {} {}", self.name, self.rows.len(), self.digest());
        if head == own && marks.len() == self.rows.len() {
            return Ok(());
        }
        let differs = |(place, row): &(usize, &Row)| marks.get(*place) != Some(&&*row.mark());
        let mut message = format!("{}: kept is '{head}', here it is '{own}'.", self.name);
        let _ = match self.rows.iter().enumerate().find(differs) {
            Some((place, row)) => write!(
                message,
                " The first row that differs is {place}: asked {}; here core answers {}",
                row.asked, row.found
            ),
            None => write!(
                message,
                " The rows' marks agree, or the file was cut short."
            ),
        };
        Err(message)
    }
}

/// Every family.
pub fn all() -> Vec<Family> {
    vec![
        measures::sucrose(),
        measures::moisture(),
        measures::capped(),
        measures::conformance(),
        measures::weights(),
        deliveries::decisions(),
        deliveries::prices(),
    ]
}

/// All families as the file keeps them.
pub fn text() -> String {
    all().iter().map(Family::text).collect()
}

/// Holds every family to what is kept.
///
/// # Errors
/// Names the first row that differs in each family that does.
pub fn compare_all(kept: &str) -> Result<(), String> {
    let differences: Vec<String> = all()
        .iter()
        .filter_map(|family| family.compare(kept).err())
        .collect();
    if differences.is_empty() {
        Ok(())
    } else {
        Err(differences.join("\n"))
    }
}

/// A fraction for people and, in brackets, to the bit.
fn bits(value: f64) -> String {
    format!("{value} [{:016x}]", value.to_bits())
}

/// An answer, or the sentence of its refusal.
fn told<T, E: Display>(answer: Result<T, E>, tell: impl FnOnce(T) -> String) -> String {
    answer.map_or_else(|error| format!("refused: {error}"), tell)
}
