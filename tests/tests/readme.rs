//! The README's example for readers of another language runs as it stands there, and its pictures
//! are in the tree.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

use combgate_tests::demo::folder;
use combgate_tests::python;
use std::path::{Path, PathBuf};

/// More would make the page slow to load at the end of a thin line.
const PICTURE_BYTES_AT_MOST: u64 = 60_000;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).unwrap()
}

/// What the example says of a bundle of the fixtures, and whether it ended well.
fn example(bundle: &str) -> (bool, String) {
    let readme = readme();
    let (_, rest) = readme.split_once("```python\n").unwrap();
    let (program, _) = rest.split_once("```").unwrap();
    let folder_of_it = tempfile::tempdir().unwrap();
    let script = folder_of_it.path().join("example.py");
    std::fs::write(&script, program).unwrap();
    python::run(&script, &folder().join("bundles").join(bundle))
        .unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn the_example_reads_a_good_bundle_and_refuses_bad_ones() {
    let (well, said) = example("good/day.json");
    assert!(well, "{said}");
    let manifest: serde_json::Value = {
        let text = std::fs::read_to_string(folder().join("bundles/good/day.json")).unwrap();
        let bundle: serde_json::Value = serde_json::from_str(&text).unwrap();
        let manifest = bundle["manifest"].as_str().unwrap();
        serde_json::from_str(&combgate_tests::demo::file::payload(manifest)).unwrap()
    };
    let days = manifest["days"].as_array().unwrap().iter();
    let grams: i64 = days.map(|day| day["net_g"].as_i64().unwrap()).sum();
    let (kilograms, rest) = (grams / 1_000, grams % 1_000);
    let count = &manifest["count"];
    let sums = format!("{count} entries, {kilograms}.{rest:03} kg");
    assert!(said.starts_with(&sums), "{said} and not {sums}");
    for bad in ["altered-byte", "forged-manifest", "gap", "unknown-version"] {
        let (well, said) = example(&format!("bad/{bad}.json"));
        assert!(!well, "{bad}: {said}");
    }
}

#[test]
fn its_pictures_and_places_are_there_and_small() {
    let readme = readme();
    let links = readme.split("](").skip(1);
    let links: Vec<&str> = links.filter_map(|rest| rest.split(')').next()).collect();
    assert!(links.len() > 4, "{links:?}");
    for link in links {
        let place = root().join(link);
        assert!(place.exists(), "README.md names {link}, which is not there");
        if link.contains("/pictures/") {
            let size = place.metadata().unwrap().len();
            assert!(size <= PICTURE_BYTES_AT_MOST, "{link} has {size} bytes");
        }
    }
    // None lies there that nobody looks at.
    for picture in std::fs::read_dir(root().join("tests/browser/pictures")).unwrap() {
        let name = picture.unwrap().file_name().into_string().unwrap();
        assert!(readme.contains(&name), "README.md shows no {name}");
    }
}
