//! Writes `demo-fixtures` anew: `cargo run -p combgate-tests --bin demo-fixtures`.

use combgate_tests::demo::{files, folder};
use std::io;

fn main() -> io::Result<()> {
    for (path, text) in files::all() {
        let file = folder().join(&path);
        if let Some(parent) = file.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(&file, text)?;
        println!("demo-fixtures/{path}");
    }
    Ok(())
}
