//! Desk and phone answer alike to the bit: this machine's half of the check. The phone's half is
//! `app/field/tests/same_bits.rs`.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_tests::same_bits::{self, Family, Row};

#[test]
fn this_machine_answers_what_is_kept() {
    if let Err(differences) = same_bits::compare_all(same_bits::KEPT) {
        panic!(
            "{differences}\nIf core is meant to answer otherwise, run: \
             cargo run -p combgate-tests --bin same-bits"
        );
    }
}

/// Rows that nearly all say the same would prove little.
#[test]
fn the_rows_ask_of_everything() {
    let families = same_bits::all();
    let count = |name: &str, word: &str| {
        let family = families.iter().find(|family| family.name == name).unwrap();
        let rows = family.rows.iter();
        rows.filter(|row| row.found.contains(word)).count()
    };
    for (name, word, least) in [
        ("sucrose", "[3f", 600),
        ("moisture", "PublishedTable", 700),
        ("moisture", "MakersScale", 10),
        ("moisture", "refused", 50),
        ("capped", "[3f", 400),
        ("weights", "WeightResult", 150),
        ("decisions", r#""decision":"buy""#, 25),
        ("decisions", r#""decision":"hold""#, 50),
        ("decisions", r#""decision":"refuse""#, 50),
        ("prices", r#""line":"advance""#, 50),
        ("prices", r#""line":"moisture_step""#, 30),
        ("prices", r#""line":"premium""#, 100),
    ] {
        let found = count(name, word);
        assert!(found >= least, "{name} {word}: {found}");
    }
}

fn family(found: [&str; 3]) -> Family {
    let row = |(place, found): (usize, &str)| Row {
        asked: format!("question {place}"),
        found: found.to_owned(),
    };
    Family {
        name: "sample",
        rows: found.into_iter().enumerate().map(row).collect(),
    }
}

#[test]
fn the_first_row_that_differs_is_named() {
    let kept = format!("other 0 x\n{}", family(["a", "b", "c"]).text());
    assert_eq!(family(["a", "b", "c"]).compare(&kept), Ok(()));
    let message = family(["a", "B", "C"]).compare(&kept).unwrap_err();
    assert!(
        message.contains("differs is 1: asked question 1; here core answers B"),
        "{message}"
    );
    assert!(family(["a", "b", "c"]).compare("other 0 x\n").is_err());
    let cut = kept.rsplit_once(' ').unwrap().0;
    assert!(family(["a", "b", "c"]).compare(cut).is_err());
}
