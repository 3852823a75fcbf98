//! Adding a language is adding a file: a third one, invented out of the English one, is built with the
//! very functions of the build, compiled by rustc together with the module that reads the table, and
//! spoken.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a check that cannot run must fail loudly"
)]

#[path = "../build/table.rs"]
mod table;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

/// A code that no language has (ISO 639-2 keeps qaa to qtz for local use).
const CODE: &str = "qaa";

/// The sentences of a file in letters with marks and two fifths longer, its placeholders as they are.
fn invented(english: &str) -> String {
    let mut lines = String::new();
    for line in english.lines() {
        let Some((key, sentence)) = line.split_once(" = \"") else {
            continue;
        };
        let sentence = sentence.rsplit_once('"').unwrap().0;
        let mut told = String::new();
        let (mut within, mut escaped) = (false, false);
        for sign in sentence.chars() {
            within = (within || sign == '{') && sign != '}';
            let is_kept = within || escaped;
            escaped = sign == '\\';
            told.push(match sign {
                _ if is_kept => sign,
                'a' => 'ã',
                'e' => 'ẽ',
                'i' => 'ĩ',
                'o' => 'ɔ',
                'u' => 'ũ',
                'n' => 'ŋ',
                _ => sign,
            });
        }
        let longer = "ŵ".repeat(sentence.chars().count() * 2 / 5 + 1);
        lines += &[key, " = \"", &told, " ", &longer, "\"\n"].concat();
    }
    lines
}

/// The language files of a folder, and the third beside them.
fn with_third(folder: &str) -> BTreeMap<String, table::Sentences> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let file = |code: &str| fs::read_to_string(root.join(format!("{code}.toml"))).unwrap();
    let english = file("en");
    [
        ("en", english.clone()),
        ("sw", file("sw")),
        (CODE, invented(&english)),
    ]
    .into_iter()
    .map(|(code, source)| (code.to_owned(), table::read(code, &source).unwrap()))
    .collect()
}

/// Compiles a program of the module of words and this table, runs it, and gives what it wrote.
fn spoken(source: &str, main: &str) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("third_language");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("words.rs"), source).unwrap();
    let words = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/words.rs");
    let program = folder.join("main.rs");
    let text = format!(
        "#[path = \"{}\"]\nmod words;\nuse words::*;\nfn main() {{\n{main}\n}}\n",
        words.display()
    );
    fs::write(&program, text).unwrap();
    let built = folder.join(format!("third{}", env::consts::EXE_SUFFIX));
    let done = Command::new(env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()))
        .args(["--edition", "2024", "--allow", "dead_code", "-o"])
        .args([&built, &program])
        .env("OUT_DIR", &folder)
        .output()
        .unwrap();
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let said = Command::new(&built).output().unwrap();
    assert!(said.status.success(), "{said:?}");
    String::from_utf8(said.stdout).unwrap()
}

#[test]
fn a_third_file_is_a_third_language() {
    let languages = with_third("words");
    let source = table::rust_source(&languages, true).unwrap();
    let said = spoken(
        &source,
        r#"for language in Language::ALL { println!("{} {}", language.code(), language.own_name()); }
           let third = Language::from_tag("qaa-KE").unwrap();
           println!("{}", text(third, Word::BriefTaken));
           println!("{}", phrase(third, Phrase::PurchaseFor { member: "M001 Asha" }));"#,
    );
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], "en English");
    assert_eq!(lines[1], "qaa Eŋglĩsh ŵŵŵ");
    assert_eq!(lines[2], "sw Kiswahili");
    assert!(lines[3].starts_with("Thẽ brĩẽf ĩs tãkẽŋ ĩŋ. ŵŵ"), "{said}");
    assert!(
        lines[4].contains("M001 Asha") && lines[4].contains('ŵ'),
        "{said}"
    );
}

/// The desk's table has rows of the same languages in the same order, which its build compares.
#[test]
fn the_desk_needs_its_file_and_nothing_else() {
    let languages = with_third("../desk/words");
    let source = table::rust_source(&languages, false).unwrap();
    assert!(source.contains(r#"const ROWS: [&str; 3] = ["en", "qaa", "sw"];"#));
}

/// What somebody left out is named by file and key, all of it at once.
#[test]
fn what_the_third_file_lacks_is_named() {
    for folder in ["words", "../desk/words"] {
        let whole = with_third(folder);
        let (first, last) = (
            whole["en"].keys().next().unwrap().clone(),
            whole["en"].keys().last().unwrap().clone(),
        );
        let mut lacking = whole;
        let third = lacking.get_mut(CODE).unwrap();
        third.remove(&first);
        third.remove(&last);
        let problem = table::rust_source(&lacking, true).unwrap_err();
        let wanted =
            [first, last].map(|key| format!("words/{CODE}.toml lacks key {key}; add its sentence"));
        assert_eq!(problem, wanted.join("\n"));
    }
}

/// No code is written for one language, so none has to be written for another: a language is named in
/// the program only where nobody chose one yet, and where the desk's own sentences are English.
#[test]
fn no_screen_asks_which_language_it_speaks() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut folders = ["ui/src", "field/src", "desk/src"]
        .map(|each| root.join(each))
        .to_vec();
    let mut naming = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let source = fs::read_to_string(&path).unwrap();
                let program = source.split("#[cfg(test)]").next().unwrap();
                let file = path.strip_prefix(&root).unwrap().display().to_string();
                let lines = program.lines().filter(|line| line.contains("Language::Sw"));
                naming.extend(lines.map(|line| format!("{file}: {}", line.trim())));
                // A match would have to be written anew; English alone is what there is before a choice.
                let arms = program
                    .lines()
                    .filter(|line| line.contains("Language::En =>"));
                naming.extend(arms.map(|line| format!("{file}: {}", line.trim())));
            }
        }
    }
    assert_eq!(naming, [""; 0]);
}
