//! One module a screen. A screen asks, shows and calls; what is right or wrong about a delivery
//! it learns from `combgate-core`, and what went wrong in the browser from [`crate::trouble`].

pub mod brief;
pub mod cancel;
pub mod cash_left;
pub mod close_day;
pub mod damaged;
pub mod export;
pub mod hand_over;
pub mod health;
pub mod inputs;
pub mod kept;
pub mod lock;
pub mod locked;
pub mod of_receipt;
pub mod open_day;
pub mod passed;
pub mod pay;
pub mod purchase;
pub mod receipt;
pub mod send;
pub mod start;
pub mod take_in;
pub mod today;
