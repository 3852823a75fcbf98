//! The commands that README.md, DEVELOPERS.md and `make run` tell of are there, with the options that
//! they are told with; and README.md leaves none out.

#![allow(clippy::unwrap_used, clippy::panic)] // a check that cannot run must fail loudly

mod common;

use std::collections::BTreeSet;
use std::path::Path;

fn read(file: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    std::fs::read_to_string(root.join(file)).unwrap()
}

/// What stands between backticks on a line.
fn spans(line: &str) -> Vec<&str> {
    line.split('`').skip(1).step_by(2).collect()
}

/// Every command line that is told, without its program.
fn told() -> BTreeSet<String> {
    let mut told = BTreeSet::new();
    for file in ["README.md", "DEVELOPERS.md"] {
        let text = read(file);
        // A span may go on in the next line of its paragraph.
        for paragraph in text.split("\n\n") {
            let whole = paragraph.replace('\n', " ");
            told.extend(spans(&whole).into_iter().filter_map(|span| {
                let words = span.strip_prefix("combgate ")?;
                Some(words.to_owned())
            }));
        }
        // In the table of commands a row names the program once.
        for line in text.lines() {
            let row = line.strip_prefix("| `combgate ").map(|_| line);
            let cell = row.and_then(|row| row.split('|').nth(1)).unwrap_or("");
            let more = spans(cell).into_iter().skip(1);
            told.extend(more.map(|span| span.trim_start_matches("combgate ").to_owned()));
        }
    }
    for line in read("app/tools/demo").lines() {
        if let Some(words) = line.trim().strip_prefix("\\$combgate ") {
            told.insert(words.to_owned());
        }
    }
    told
}

/// The commands of a help, by their names.
fn listed(help: &str) -> Vec<&str> {
    let (_, rest) = help.split_once("Commands:\n").unwrap_or_default();
    let lines = rest.lines().take_while(|line| line.starts_with("  "));
    let names = lines.filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    names
        .filter(|name| !name.is_empty() && *name != "help")
        .collect()
}

fn help(words: &[&str]) -> Option<String> {
    let output = common::combgate()
        .args(words)
        .arg("--help")
        .output()
        .unwrap();
    output
        .status
        .success()
        .then(|| String::from_utf8(output.stdout).unwrap())
}

#[test]
fn every_command_that_is_told_is_there_with_its_options() {
    let told = told();
    assert!(told.len() > 25, "{told:?}");
    for line in &told {
        let words: Vec<&str> = line.split_whitespace().collect();
        let first = words[0];
        let above = help(&[first]).unwrap_or_else(|| panic!("`combgate {line}`: no {first}"));
        let second = words
            .get(1)
            .copied()
            .filter(|second| listed(&above).contains(second));
        assert!(
            second.is_some() || listed(&above).is_empty() || words.len() == 1 || words[1] == "…",
            "`combgate {line}`: {first} has no {}",
            words[1]
        );
        let help = second.map_or_else(
            || above.clone(),
            |second| help(&[first, second]).unwrap_or_else(|| panic!("`combgate {line}`")),
        );
        for option in words.iter().filter(|word| word.starts_with("--")) {
            assert!(help.contains(option), "`combgate {line}`: no {option}");
        }
    }
}

#[test]
fn every_command_is_told_of() {
    let told = told();
    let first = told
        .iter()
        .filter_map(|line| line.split(' ').next())
        .collect::<BTreeSet<_>>();
    let help = help(&[]).unwrap();
    let all = listed(&help);
    assert!(all.len() > 20, "{all:?}");
    for command in all {
        assert!(
            first.contains(command),
            "README.md does not tell of {command}"
        );
    }
}
