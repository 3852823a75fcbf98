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

proptest! {
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
