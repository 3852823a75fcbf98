//! A name is found without the marks on its letters: the register's own two rows of letters beside
//! Python's `unicodedata` (the Unicode Character Database; decomposition: UAX #15).

use combgate_core::intake::{Found, MemberIndex, Sought};
use combgate_tests::outside::Outside;
use combgate_tests::python;
use std::error::Error;

/// Latin letters with marks: Latin-1, Latin Extended-A and -B, Latin Extended Additional.
fn letters() -> Vec<char> {
    let blocks = ['\u{C0}'..='\u{24F}', '\u{1E00}'..='\u{1EFF}'];
    let all = blocks.into_iter().flatten();
    all.filter(|each| each.is_alphabetic()).collect()
}

/// Whether `typed` finds the one member of a register who bears this name.
fn finds(typed: &str, name: &str) -> bool {
    let index = MemberIndex::new([Sought {
        number: "1",
        name,
        village: "",
    }]);
    index.find(typed, 1)
        == Found {
            best: vec![0],
            count: 1,
        }
}

pub(crate) fn letters_without_their_marks() -> Result<Outside, Box<dyn Error>> {
    let mut check = Outside::exact(
        "A letter with a mark is found by the plain one",
        "Python's unicodedata (Unicode Character Database, UAX #15)",
    );
    let letters = letters();
    let bases: Vec<String> = python::ask("names.py", &letters);
    assert_eq!(bases.len(), letters.len());
    for (letter, base) in letters.iter().zip(&bases) {
        // Letters that decompose to no plain one have no answer there: ø, ɓ, ǆ.
        if !base.bytes().all(|byte| byte.is_ascii_lowercase()) {
            continue;
        }
        let (marked, plain) = (format!("k{letter}k"), format!("k{base}k"));
        let other = if base == "w" { "kvk" } else { "kwk" };
        let found = [
            finds(&plain, &marked),
            finds(&marked, &plain),
            finds(other, &marked),
        ];
        check.same(&found, &[true, true, false], (letter, base));
    }
    // The Unicode Standard lists so many in these blocks; none is left out by accident.
    assert!(check.rows() > 450, "only {} were compared", check.rows());
    Ok(check)
}
