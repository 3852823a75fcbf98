//! A name is found without the marks on its letters: the register's own two rows of letters beside
//! Python's `unicodedata` (the Unicode Character Database; decomposition: UAX #15).

use combgate_core::intake::{Found, MemberIndex, Sought};
use combgate_tests::python;

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

#[test]
fn a_letter_is_found_by_what_stands_under_its_marks() {
    let letters = letters();
    let bases: Vec<String> = python::ask("names.py", &letters);
    assert_eq!(bases.len(), letters.len());
    let mut compared = 0;
    for (letter, base) in letters.iter().zip(&bases) {
        // Letters that decompose to no plain one have no answer there: ø, ɓ, ǆ.
        if !base.bytes().all(|byte| byte.is_ascii_lowercase()) {
            continue;
        }
        compared += 1;
        let (marked, plain) = (format!("k{letter}k"), format!("k{base}k"));
        assert!(finds(&plain, &marked), "'{plain}' finds {letter:?}");
        assert!(finds(&marked, &plain), "{letter:?} finds '{plain}'");
        let other = if base == "w" { "kvk" } else { "kwk" };
        assert!(!finds(other, &marked), "'{other}' does not find {letter:?}");
    }
    // The Unicode Standard lists so many in these blocks; none is left out by accident.
    assert!(compared > 450, "only {compared} letters were compared");
}
