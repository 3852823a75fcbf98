//! The clerk's pages as a browser meets them, and as somebody meets them who means no good.

// Helpers of tests.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::missing_panics_doc,
    unreachable_pub,
    dead_code
)]

#[path = "../common/mod.rs"]
mod common;

mod alike;
mod books;
mod browser;
mod look_up;
mod money;
mod office;
mod parts;
mod register;
mod replaced;
mod reversal;
mod routes;
mod safety;
mod terms;
mod trouble;
mod typed;
mod work;

use browser::Browser;
use common::desk::TestDesk;

/// The password of every account under test.
pub const PASSWORD: &str = "four plain wooden hives";

/// The desk of the invented cooperative with three accounts, and a browser before it.
pub fn desk() -> (TestDesk, Browser) {
    let desk = TestDesk::of_the_cooperative();
    let people = [
        ("neema", "bookkeeper"),
        ("baraka", "receiver"),
        ("zawadi", "approver"),
    ];
    add_accounts(&desk, &people);
    let browser = Browser::at(desk.path("desk"), None);
    (desk, browser)
}

/// Accounts of these people, each with its role.
pub fn add_accounts(desk: &TestDesk, people: &[(&str, &str)]) {
    for (name, role) in people {
        desk.command(&format!("account add {name} --role {role}"))
            .write_stdin(PASSWORD)
            .assert()
            .success();
    }
}

/// A bundle of the fixtures.
pub fn bundle(name: &str) -> String {
    let path = common::fixtures().join("bundles").join(name);
    std::fs::read_to_string(path).unwrap()
}
