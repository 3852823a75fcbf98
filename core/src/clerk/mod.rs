//! What the desk checks and sums.

mod again;
mod day_book;
mod finding;
mod review;

pub use day_book::{DayBook, DayBookRow, GradeTotal};
pub use finding::{Finding, FindingKind, FindingWeight};
pub use review::{Books, ReceiptFacts, ReviewState};
