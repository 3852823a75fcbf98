//! Writes the marks of `same_bits` anew: `cargo run -p combgate-tests --bin same-bits`.

use combgate_tests::same_bits;
use std::io;
use std::path::Path;

fn main() -> io::Result<()> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/same_bits/marks.txt");
    std::fs::write(file, same_bits::text())
}
