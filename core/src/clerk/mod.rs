//! What the desk checks and sums.

mod account;
mod again;
mod chain;
mod closing;
mod counts;
mod day_book;
mod digits;
mod finding;
mod kept;
mod member;
mod money;
mod payment;
mod person;
mod receiving;
mod reconcile;
mod review;
mod sum;

pub use account::{Account, AccountKind, AccountLine, Statement, Sums};
pub use chain::{Chain, Place, signed_text};
pub use closing::{CloseError, ClosedTo};
pub use day_book::{DayBook, DayBookRow, GradeTotal};
pub use digits::LastDigits;
pub use finding::{Finding, FindingKind, FindingWeight};
pub use kept::{Value, values_kept};
pub use money::is_traced;
pub use payment::{Due, Owing, due, means_of};
pub use person::{Another, PersonError, same_person};
pub use receiving::{
    PailAtGate, PailAtStore, ReceivingFinding, ReceivingResult, SealSeen, Tolerance, receive,
    tolerance,
};
pub use reconcile::{
    CashCount, DayCounted, DayMoved, OfficerDay, OfficerDays, PailCount, PailOut, PailStands,
    ReconcileFinding, reconcile,
};
pub use review::{Books, InForce, ReceiptFacts, ReviewState, number_of};
pub use sum::Sum;
