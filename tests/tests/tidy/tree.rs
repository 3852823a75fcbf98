//! What lies where.

use std::path::{Component, Path};
use walkdir::WalkDir;

/// What the top level may hold besides files whose names begin with a dot.
const TOP: [&str; 17] = [
    "CHANGELOG.md",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "Makefile",
    "README.md",
    "app",
    "clippy.toml",
    "core",
    "demo-fixtures",
    "deny.toml",
    "rustfmt.toml",
    "static",
    // Everything that is built or installed; not kept.
    "target",
    "tests",
];

/// The folders that a guide may name places in.
const FOLDERS: [&str; 6] = ["app", "core", "demo-fixtures", "static", "tests", ".ci"];

/// More lines than this are two ideas.
const LINES_AT_MOST: usize = 450;

/// Every file of the project, by its path from the top with slashes. What is built or installed
/// does not count.
pub(crate) fn files(root: &Path) -> Vec<String> {
    let mut found: Vec<String> = WalkDir::new(root)
        .min_depth(1)
        .into_iter()
        .filter_entry(|entry| {
            let name = entry.file_name();
            name != "node_modules" && name != ".git" && !(entry.depth() == 1 && name == "target")
        })
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let parts: Vec<_> = entry
                .path()
                .strip_prefix(root)
                .unwrap()
                .components()
                .map(name_of)
                .collect();
            parts.join("/")
        })
        .collect();
    found.sort();
    found
}

fn name_of(component: Component) -> String {
    component.as_os_str().to_string_lossy().into_owned()
}

pub(crate) fn is_rust(path: &str) -> bool {
    Path::new(path).extension().is_some_and(|end| end == "rs")
}

/// Names at the top that belong elsewhere.
pub(crate) fn strangers_at_the_top(names: &[String]) -> Vec<String> {
    names
        .iter()
        .filter(|name| !name.starts_with('.') && !TOP.contains(&name.as_str()))
        .cloned()
        .collect()
}

/// What to say of a file that is too long.
pub(crate) fn too_long(path: &str, text: &str) -> Option<String> {
    let lines = text.lines().count();
    (lines > LINES_AT_MOST).then(|| format!("{path}: {lines} lines; {LINES_AT_MOST} are the most"))
}

/// The places that a guide names in backticks, outside its blocks of code: the first word of each,
/// when it begins with one of our folders. A name with a star stands for the folder it is in.
pub(crate) fn places_named(guide: &str) -> Vec<String> {
    let mut places = Vec::new();
    let mut in_block = false;
    for line in guide.lines() {
        if line.trim_start().starts_with("```") {
            in_block = !in_block;
        } else if !in_block {
            let quoted = line.split('`').skip(1).step_by(2);
            places.extend(quoted.filter_map(place));
        }
    }
    places
}

fn place(quoted: &str) -> Option<String> {
    let word = quoted.split_whitespace().next()?;
    let parts: Vec<&str> = word.split('/').collect();
    if !FOLDERS.contains(&parts[0]) {
        return None;
    }
    let sure: Vec<&str> = parts
        .into_iter()
        .take_while(|part| !part.contains('*'))
        .collect();
    Some(sure.join("/"))
}

/// The tests that a guide's section on security names in backticks: a file of tests and the name of
/// one, which may be broken over lines.
pub(crate) fn tests_named(guide: &str) -> Vec<(String, String)> {
    let section = guide
        .split("\n## ")
        .find(|section| section.starts_with("Security\n"))
        .unwrap_or_default();
    let quoted = section.split('`').skip(1).step_by(2);
    quoted
        .filter_map(|quoted| {
            let (file, name) = quoted.split_once(char::is_whitespace)?;
            let words: Vec<&str> = name.split_whitespace().collect();
            place(file).map(|file| (file, words.join(" ")))
        })
        .collect()
}

/// Whether a file of tests holds one of this name.
pub(crate) fn holds_test(file: &str, text: &str, name: &str) -> bool {
    if !is_rust(file) {
        return text.contains(&format!("test('{name}'"));
    }
    let Some((before, _)) = text.split_once(&format!("fn {name}(")) else {
        return false;
    };
    // The line above, or the one above `async`, is its attribute.
    let mut lines = before.lines().rev().map(str::trim);
    let attribute = lines.find(|line| !line.is_empty() && *line != "async");
    attribute.is_some_and(|line| line.starts_with("#[") && line.ends_with("test]"))
}

#[test]
fn tests_are_read_out_of_the_section_and_looked_for() {
    let guide = "## Other\n`tests/a.rs x`\n## Security\nSee `tests/b.rs holds`, `tests/c.test.mjs a\n\
        day` and `app/d.rs`.\n## Next\n`tests/e.rs y`";
    let named = tests_named(guide);
    let named: Vec<_> = named
        .iter()
        .map(|(file, name)| (file.as_str(), name.as_str()))
        .collect();
    assert_eq!(
        named,
        [("tests/b.rs", "holds"), ("tests/c.test.mjs", "a day")]
    );
    let rust = "/// What.\n#[test]\nfn holds() {}\n\nfn helper() {}\n";
    assert!(holds_test("b.rs", rust, "holds"));
    assert!(!holds_test("b.rs", rust, "helper"));
    assert!(!holds_test("b.rs", rust, "hold"));
    assert!(holds_test("c.test.mjs", "test('a day', async", "a day"));
    assert!(!holds_test("c.test.mjs", "test('a day', async", "day"));
}

#[test]
fn a_stranger_at_the_top_is_found() {
    let names = ["core", "notes.txt", ".gitignore", "node_modules"].map(str::to_owned);
    assert_eq!(strangers_at_the_top(&names), ["notes.txt", "node_modules"]);
}

#[test]
fn the_line_after_the_last_allowed_one_is_found() {
    assert_eq!(too_long("a.rs", &"x\n".repeat(LINES_AT_MOST)), None);
    assert_eq!(
        too_long("a.rs", &"x\n".repeat(LINES_AT_MOST + 1)).unwrap(),
        "a.rs: 451 lines; 450 are the most"
    );
}

#[test]
fn places_are_read_out_of_a_guide() {
    let guide = "See `core/src/gone.rs` and `app/tools/wasm-cargo build`, not `core::units`, \
        `cargo test` or core/plain.\n```\nls `tests/in-a-block`\n```\n- `app/ui/words/*.toml`, `static`";
    assert_eq!(
        places_named(guide),
        [
            "core/src/gone.rs",
            "app/tools/wasm-cargo",
            "app/ui/words",
            "static"
        ]
    );
}

#[test]
fn built_and_installed_files_do_not_count() {
    let folder = tempfile::tempdir().unwrap();
    for path in [
        "target/a.rs",
        "tests/node_modules/b.rs",
        ".git/c",
        "core/src/d.rs",
        "core/target/e.rs",
    ] {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, "").unwrap();
    }
    assert_eq!(files(folder.path()), ["core/src/d.rs", "core/target/e.rs"]);
}
