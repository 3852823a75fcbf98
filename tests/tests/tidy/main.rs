//! The tree keeps its own promises: what core may use, which crate may know which, what lies
//! where. Every check here is tried on a bad sample too, beside its code.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

mod manifest;
mod source;
mod tree;

use std::fs;
use std::path::PathBuf;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The Rust files below a folder with what they hold, by their path from the top.
fn rust_files(folder: &str) -> Vec<(String, String)> {
    let files: Vec<_> = tree::files(&root())
        .into_iter()
        .filter(|path| path.starts_with(folder) && tree::is_rust(path))
        .map(|path| {
            let text = fs::read_to_string(root().join(&path)).unwrap();
            (path, text)
        })
        .collect();
    assert!(!files.is_empty(), "there is no Rust file in {folder}");
    files
}

fn assert_none(promise: &str, broken: &[String]) {
    assert!(broken.is_empty(), "{promise}:\n  {}", broken.join("\n  "));
}

#[test]
fn core_has_no_input_output_clock_locale_or_randomness() {
    let broken: Vec<String> = rust_files("core/src/")
        .iter()
        .flat_map(|(path, text)| source::impurities(path, text))
        .collect();
    assert_none(
        "core works on what it is given; hand it this from outside",
        &broken,
    );
}

/// The phone's program is made without it, for size: what is written that way is empty there.
#[test]
fn the_phone_says_nothing_in_debug_form() {
    let broken: Vec<String> = ["app/field/src/", "app/view/src/", "app/ui/src/"]
        .into_iter()
        .flat_map(rust_files)
        .flat_map(|(path, text)| source::in_debug_form(&path, &text))
        .collect();
    assert_none("write it by its Display or by a name of its own", &broken);
}

#[test]
fn money_weight_and_price_are_whole_numbers() {
    let promise = "money and weight are integers, so that every machine agrees on them";
    let text = |file: &str| {
        fs::read_to_string(root().join(file))
            .unwrap_or_else(|error| panic!("{file}: {error}; name its new place in this check"))
    };
    for file in [
        "core/src/units/money.rs",
        "core/src/intake/price.rs",
        "core/src/intake/price_list.rs",
        "core/src/intake/weight.rs",
        "core/src/record/totals.rs",
        "core/src/clerk/money.rs",
        "core/src/clerk/day_book.rs",
    ] {
        assert_none(promise, &source::floats(file, &text(file)));
    }
    // Other quantities in this file are asked for their share in a probability.
    let file = "core/src/units/mod.rs";
    assert_none(promise, &source::floats_of(file, &text(file), "Grams"));
}

#[test]
fn crates_know_each_other_in_one_direction() {
    assert_none(
        "arrows point from field and desk to ui to core",
        &manifest::wrong_arrows(&manifest::packages(&root())),
    );
}

#[test]
fn core_depends_on_what_was_agreed() {
    assert_none(
        "core's dependencies are agreed on one by one",
        &manifest::core_surprises(&manifest::packages(&root())),
    );
}

#[test]
fn every_place_that_the_guide_names_exists() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let named = tree::places_named(&guide);
    assert!(
        named.len() > 5,
        "the guide names hardly any place: {named:?}"
    );
    let missing: Vec<String> = named
        .into_iter()
        .filter(|place| !root().join(place).exists())
        .collect();
    assert_none("DEVELOPERS.md names what is not there", &missing);
}

#[test]
fn every_test_that_the_security_section_names_exists() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let named = tree::tests_named(&guide);
    assert!(named.len() > 25, "it names hardly any test: {named:?}");
    let missing: Vec<String> = named
        .into_iter()
        .filter(|(file, name)| {
            let text = fs::read_to_string(root().join(file)).unwrap_or_default();
            !tree::holds_test(file, &text, name)
        })
        .map(|(file, name)| format!("{file}: {name}"))
        .collect();
    assert_none(
        "DEVELOPERS.md rests its section on security on tests that are gone; name their successors",
        &missing,
    );
}

#[test]
fn no_file_is_two_ideas_long() {
    let broken: Vec<String> = rust_files("")
        .iter()
        .filter_map(|(path, text)| tree::too_long(path, text))
        .collect();
    assert_none("split these at the seam between their ideas", &broken);
}

#[test]
fn the_top_level_holds_what_was_agreed() {
    let names: Vec<String> = fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_none(
        "every file has a folder to live in",
        &tree::strangers_at_the_top(&names),
    );
}
