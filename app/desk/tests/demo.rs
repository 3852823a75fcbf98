//! The fortnight of the invented cooperative, laid out as `make run` does it: exactly the trouble
//! that is told of it is found.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use common::desk::TestDesk;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

#[test]
fn the_trouble_that_is_told_of_is_found_and_no_other() {
    let desk = TestDesk::bare();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tools/demo-desk");
    let laid_out = Command::new(script)
        .arg(desk.path("desk"))
        .env("COMBGATE", env!("CARGO_BIN_EXE_combgate"))
        .status()
        .unwrap();
    assert!(laid_out.success());
    let found = desk.json("findings", 1);
    let mut counts: BTreeMap<String, u64> = BTreeMap::new();
    for each in found.as_array().unwrap() {
        let (handset, code) = (&each["handset"], &each["code"]);
        let place = format!("{} {}", handset.as_str().unwrap(), code.as_str().unwrap());
        *counts.entry(place).or_default() += 1;
    }
    let counts: Vec<(&str, u64)> = counts
        .iter()
        .map(|(place, count)| (place.as_str(), *count))
        .collect();
    assert_eq!(
        counts,
        [
            ("B1 entry-refused", 1),
            ("B2 float-differs", 1),
            ("B2 policy-superseded", 5),
            ("B2 price-list-superseded", 5),
            ("B2 under-least-load", 1),
            ("B3 cash-differs", 1),
            ("B3 explained", 1),
            ("B3 gap", 1),
            ("B3 manifest-differs", 1),
        ]
    );
}
