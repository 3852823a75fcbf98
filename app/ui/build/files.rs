//! The language files under `words/` of a crate, into a table in its `OUT_DIR`.

#[path = "table.rs"]
mod table;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;
use std::{env, fs};

/// Writes the table of the crate that is built; `defines_languages` where no other crate's table
/// says which languages there are.
pub(crate) fn make_table(defines_languages: bool) -> ExitCode {
    match run(defines_languages) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("{problem}");
            ExitCode::FAILURE
        }
    }
}

fn run(defines_languages: bool) -> Result<(), String> {
    println!("cargo::rerun-if-changed=words");
    let folder = fs::read_dir("words").map_err(|error| format!("cannot read words/: {error}"))?;
    let mut languages = BTreeMap::new();
    for file in folder {
        let path = file
            .map_err(|error| format!("cannot read words/: {error}"))?
            .path();
        let Some(language) = language_of(&path) else {
            continue;
        };
        let source = fs::read_to_string(&path)
            .map_err(|error| format!("cannot read words/{language}.toml: {error}"))?;
        let sentences = table::read(&language, &source)?;
        languages.insert(language, sentences);
    }
    let source = table::rust_source(&languages, defines_languages)?;
    let folder = env::var_os("OUT_DIR").ok_or("OUT_DIR is not set; run this through cargo")?;
    fs::write(Path::new(&folder).join("words.rs"), source)
        .map_err(|error| format!("cannot write the table of words: {error}"))
}

/// `words/sw.toml` is Swahili; other files are left alone.
fn language_of(path: &Path) -> Option<String> {
    let is_toml = path
        .extension()
        .is_some_and(|extension| extension == "toml");
    is_toml
        .then(|| path.file_stem()?.to_str().map(str::to_owned))
        .flatten()
}
