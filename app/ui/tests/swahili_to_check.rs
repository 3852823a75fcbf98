//! The Swahili lines that a native speaker should look at are listed in DEVELOPERS.md, as they are
//! marked with `# ?` in the language file.

use std::collections::{BTreeMap, BTreeSet};

const HEADING: &str = "## Swahili to be checked by a speaker";

/// Keys of the lines with a mark, by their group.
fn marked() -> BTreeMap<&'static str, BTreeSet<&'static str>> {
    let mut marked: BTreeMap<_, BTreeSet<_>> = BTreeMap::new();
    let lines = include_str!("../words/sw.toml").lines();
    let keys = lines
        .filter(|line| line.trim_end().ends_with("# ?"))
        .filter_map(|line| line.split_once(" = ")?.0.split_once('.'));
    for (group, name) in keys {
        marked.entry(group).or_default().insert(name);
    }
    marked
}

/// The list as it should stand: a group a line, its keys in order.
fn list() -> String {
    let line = |(group, names): (&str, BTreeSet<&str>)| {
        let names: Vec<_> = names.into_iter().collect();
        format!("- `{group}`: {}\n", names.join(", "))
    };
    marked().into_iter().map(line).collect()
}

#[test]
fn the_list_in_developers_md_is_that_of_the_marks() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../DEVELOPERS.md");
    let developers = std::fs::read_to_string(path).expect("DEVELOPERS.md");
    let (_, section) = developers.split_once(HEADING).expect("the heading");
    let section = section.split("\n## ").next().unwrap_or_default();
    let said: Vec<_> = section
        .lines()
        .filter(|line| line.starts_with("- "))
        .collect();
    let list = list();
    let wanted: Vec<_> = list.lines().collect();
    assert!(
        said == wanted,
        "below `{HEADING}` in DEVELOPERS.md put this list:\n\n{list}"
    );
}
