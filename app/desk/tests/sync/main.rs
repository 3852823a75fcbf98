//! The listener for handsets, spoken to over a socket: what is taken, what is refused, and what one
//! sender may cost.

#![allow(clippy::unwrap_used)] // helpers of tests

#[path = "../common/mod.rs"]
mod common;
mod documents;
mod interface;
#[cfg(unix)]
mod killed;
mod limits;
mod made_up;
mod refused;
mod taken;
mod wire;

use combgate_desk::store::SqliteStore;
use common::books::Books;
use common::desk::TestDesk;
use common::handset::{TestHandset, delivery};

/// A desk with one handset that bought two deliveries and closed its day.
fn a_day() -> (TestDesk, TestHandset) {
    let desk = TestDesk::with_open_prices();
    let mut handset = TestHandset::enrol(&desk, "K1");
    handset.open();
    handset.deliver(&delivery("bought"), "M001", None);
    handset.deliver(&delivery("held"), "M003", None);
    handset.close();
    (desk, handset)
}

fn books(desk: &TestDesk) -> Books {
    Books::of(&desk.store())
}

fn books_in(folder: &std::path::Path) -> Books {
    Books::of(&SqliteStore::open(&folder.join("ledger.sqlite")).unwrap())
}
