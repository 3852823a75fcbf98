use super::*;
use proptest::prelude::*;

fn sought<'a>((number, name, village): &(&'a str, &'a str, &'a str)) -> Sought<'a> {
    Sought {
        number,
        name,
        village,
    }
}

const SOME: [(&str, &str, &str); 8] = [
    ("M-001", "Asha Mrembwe", "Kilindo"),
    ("M-010", "Hassan Mohammed Ali", "Mtoni-Juu"),
    ("M-011", "Wanjirũ Mũthoni", "Kĩrĩnyaga"),
    ("K7-N1", "Alice Ng'ang'a", "Kilindo"),
    ("M-100", "Juma Asha", "Asha Kuu"),
    ("M-101", "Ashanti Boaten", ""),
    ("M-102", "Okello", "Ashaka"),
    ("M-103", "<img src=x onerror=1>", "Juu"),
];

fn names(typed: &str) -> Vec<&'static str> {
    let index = MemberIndex::new(SOME.iter().map(sought));
    let found = index.find(typed, 20);
    assert_eq!(found.best.len(), found.count.min(20));
    found.best.into_iter().map(|place| SOME[place].1).collect()
}

#[test]
fn a_word_typed_begins_a_word_of_the_member() {
    let rows: [(&str, &[&str]); 16] = [
        ("asha mr", &["Asha Mrembwe"]),
        ("mrembwe asha", &["Asha Mrembwe"]),
        ("hasan", &["Hassan Mohammed Ali"]),
        ("muhamed", &[]),
        ("mohamed", &["Hassan Mohammed Ali"]),
        ("wanjiru muthoni", &["Wanjirũ Mũthoni"]),
        ("wanjirũ", &["Wanjirũ Mũthoni"]),
        ("kirinyaga", &["Wanjirũ Mũthoni"]),
        ("nganga", &["Alice Ng'ang'a"]),
        ("ng’anga", &["Alice Ng'ang'a"]),
        ("k7-n1", &["Alice Ng'ang'a"]),
        ("K7N1", &["Alice Ng'ang'a"]),
        ("011", &["Wanjirũ Mũthoni"]),
        ("mtoni juu", &["Hassan Mohammed Ali"]),
        ("<img src", &["<img src=x onerror=1>"]),
        ("zz", &[]),
    ];
    for (typed, expected) in rows {
        assert_eq!(names(typed), expected, "'{typed}'");
    }
}

#[test]
fn the_likeliest_come_first() {
    // The whole word before its beginnings, the name before the village.
    assert_eq!(
        names("asha"),
        ["Asha Mrembwe", "Juma Asha", "Ashanti Boaten", "Okello"]
    );
    // A number as it stands before the numbers that begin like it.
    assert_eq!(
        names("m-10")[0],
        "Hassan Mohammed Ali",
        "its last two digits"
    );
    assert_eq!(names("m-100"), ["Juma Asha"]);
    assert_eq!(names("1")[..2], ["Alice Ng'ang'a", "Asha Mrembwe"]);
}

#[test]
fn nothing_typed_finds_all_and_shows_the_first() {
    let index = MemberIndex::new(SOME.iter().map(sought));
    let found = index.find(" - ", 3);
    assert_eq!((found.best, found.count), (vec![0, 1, 2], 8));
    assert_eq!(MemberIndex::default().find("", 3), Found::default());
    assert_eq!(MemberIndex::default().find("a", 3), Found::default());
}

#[test]
fn more_than_is_shown_is_counted() {
    let names: Vec<String> = (0..500).map(|number| format!("Juma {number}")).collect();
    let index = MemberIndex::new(names.iter().map(|name| Sought {
        number: "M-1",
        name,
        village: "",
    }));
    let found = index.find("jum", 20);
    assert_eq!((found.best.len(), found.count), (20, 500));
    assert_eq!(found.best, (0..20).collect::<Vec<_>>());
}

/// Names as they occur, and letters with marks, doubled or not.
fn name() -> impl Strategy<Value = String> {
    prop::collection::vec("[A-Za-zĩũáèôñɛɔŋẹ'’]{1,9}", 1..4).prop_map(|words| words.join(" "))
}

/// A careless reader's spelling: every doubled letter once, marks left off, small letters.
fn careless(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|letter| match letter {
            'ĩ' => 'i',
            'ũ' => 'u',
            'á' => 'a',
            'è' | 'ɛ' | 'ẹ' => 'e',
            'ô' | 'ɔ' => 'o',
            'ñ' | 'ŋ' => 'n',
            other => other.to_ascii_lowercase(),
        })
        .filter(|letter| !matches!(letter, '\'' | '’'))
        .collect();
    let mut once = String::new();
    for letter in plain.chars() {
        if !once.ends_with(letter) || letter.is_ascii_digit() {
            once.push(letter);
        }
    }
    once
}

/// The same by looking at every word of everybody.
fn by_looking_at_all(index: &MemberIndex, typed: &str, most: usize) -> Found {
    let mut folded = String::new();
    words_of(typed, &mut folded);
    let whole = folded.replace(' ', "");
    let mut ranks: Vec<(u32, usize)> = Vec::new();
    for member in 0..index.members.len() - 1 {
        let words = &index.text[long(index.members[member])..long(index.members[member + 1])];
        let words: Vec<&str> = words.split_terminator(' ').collect();
        let of = |typed: &str| {
            let begun = words
                .iter()
                .zip(1..)
                .filter(|(word, _)| word.starts_with(typed));
            begun
                .map(|(word, place)| likeness(place, *word == typed))
                .min()
        };
        let rank: Option<u32> = folded.split_terminator(' ').map(of).sum();
        if let Some(rank) = rank {
            ranks.push((
                if words.first() == Some(&whole.as_str()) {
                    0
                } else {
                    rank
                },
                member,
            ));
        }
    }
    ranks.sort_unstable();
    let best = ranks.iter().take(most).map(|(_, member)| *member).collect();
    Found {
        best,
        count: ranks.len(),
    }
}

proptest! {
    /// What is looked at first changes nothing that is found.
    #[test]
    fn found_as_by_looking_at_everybody(
        register in prop::collection::vec(("[A-C]{0,2}-?[0-9]{0,4}", "[abñ]{1,6}( [abñ1]{1,5}){0,2}", "[abñ]{0,3}"), 0..40),
        typed in "[abcñ1]{1,6}( [abñ1]{1,5}){0,2}",
        most in 1..9_usize,
    ) {
        let index = MemberIndex::new(register.iter().map(|(number, name, village)| Sought {
            number, name, village,
        }));
        for (end, _) in typed.char_indices().skip(1).chain([(typed.len(), ' ')]) {
            let typed = &typed[..end];
            prop_assert_eq!(index.find(typed, most), by_looking_at_all(&index, typed, most), "'{}'", typed);
        }
    }

    /// Whoever is on the register is found, however carelessly they are asked for.
    #[test]
    fn every_member_is_found(
        register in prop::collection::vec(("[A-Z]{1,2}-?[0-9]{1,6}", name(), name()), 1..40),
        cut in 1..6_usize,
    ) {
        let index = MemberIndex::new(register.iter().map(|(number, name, village)| Sought {
            number, name, village,
        }));
        for (place, (number, name, village)) in register.iter().enumerate() {
            let begun: String = careless(name).chars().take(cut).collect();
            for typed in [
                number.clone(),
                number.to_lowercase(),
                number.replace('-', ""),
                name.clone(),
                careless(name),
                begun,
                village.clone(),
                careless(village),
                format!("{} {}", careless(village), careless(name)),
            ] {
                let found = index.find(&typed, register.len());
                prop_assert!(found.best.contains(&place), "'{typed}' does not find {number} {name}, {village}");
                prop_assert_eq!(found.best.len(), found.count);
            }
        }
    }

    /// Nobody is shown twice, and typing more never finds more.
    #[test]
    fn typing_on_narrows(
        register in prop::collection::vec(name(), 1..60),
        typed in "[a-z0-9]{1,6}",
    ) {
        let index = MemberIndex::new(register.iter().map(|name| Sought {
            number: "M-1", name, village: name,
        }));
        let mut before = usize::MAX;
        for end in 1..=typed.len() {
            let found = index.find(&typed[..end], 60);
            let mut once = found.best.clone();
            once.sort_unstable();
            once.dedup();
            prop_assert_eq!(once.len(), found.best.len());
            prop_assert!(found.count <= before);
            before = found.count;
        }
    }
}
