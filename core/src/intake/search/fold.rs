//! Spelling that people do not agree on, taken out of names: marks on letters, capitals, doubled
//! letters, apostrophes.
//!
//! Two rows of letters instead of Unicode's full tables: what is typed here are names in Latin
//! letters with the marks of East and West African and European spelling, and the page has to stay
//! small. Letters of other scripts stay as they are.
//!
//! # References
//! Base letters: canonical decomposition of the Unicode Standard (UAX #15) with its combining marks
//! dropped; `tests/tests/outside/names.rs` compares each that decomposes with Python's `unicodedata`. Letters
//! that do not decompose (hooked, barred, turned) stand for the letter they are drawn from.

/// The letter under U+00C0 to U+024F; `?` where there is none.
const LATIN: &[u8; 400] =
    b"aaaaaa?ceeeeiiiidnooooo?ouuuuy?saaaaaa?ceeeeiiiidnooooo?ouuuuy?yaaaaaaccccccccdd\
ddeeeeeeeeeegggggggghhhhiiiiiiiiii??jjkkkllllllllllnnnnnnnnnoooooo??rrrrrrssssss\
ssttttttuuuuuuuuuuuuwwyyyzzzzzzsbbbb??occdddd?eeeffgg?iikkl??nnooo??pp?????ttttu\
uuvyyzz??????????????????????aaiioouuuuuuuuuueaaaa??ggggkkoooo??j???gg??nnaa??oo\
aaaaeeeeiiiioooorrrruuuusstt??hhn???zzaaeeooooooooyy??????acclt????bu?eejj??rryy";
/// The letter under U+1E00 to U+1EFF.
const LATIN_ADDITIONAL: &[u8; 256] =
    b"aabbbbbbccddddddddddeeeeeeeeeeffgghhhhhhhhhhiiiikkkkkkllllllllmmmmmmnnnnnnnnoooo\
oooopppprrrrrrrrssssssssssttttttttuuuuuuuuuuvvvvwwwwwwwwwwxxxxyyzzzzzzhtwyassss?\
aaaaaaaaaaaaaaaaaaaaaaaaeeeeeeeeeeeeeeeeiiiioooooooooooooooooooooooouuuuuuuuuuuu\
uuyyyyyyyy??????";

/// What one character comes to.
enum Folded {
    /// Letters or digits, in small letters.
    Letters(&'static str),
    /// One letter or digit.
    Letter(char),
    /// Nothing: a combining mark, an apostrophe.
    Nothing,
    /// The end of a word.
    Gap,
}

fn fold(character: char) -> Folded {
    match character {
        '0'..='9' | 'a'..='z' => Folded::Letter(character),
        'A'..='Z' => Folded::Letter(character.to_ascii_lowercase()),
        // Apostrophes of all kinds, as in ng'ombe, and marks that stand behind their letter.
        '\'' | '`' | '´' | 'ʹ'..='\u{36F}' | '\u{1DC0}'..='\u{1DFF}' | '‘' | '’' | '‛' => {
            Folded::Nothing
        }
        'Æ' | 'æ' | 'Ǽ' | 'ǽ' | 'Ǣ' | 'ǣ' => Folded::Letters("ae"),
        'Œ' | 'œ' => Folded::Letters("oe"),
        'Ĳ' | 'ĳ' => Folded::Letters("ij"),
        'Þ' | 'þ' => Folded::Letters("th"),
        'ɓ' => Folded::Letter('b'),
        'ɖ' | 'ɗ' => Folded::Letter('d'),
        'ə' | 'ɛ' => Folded::Letter('e'),
        'ɠ' | 'ɣ' => Folded::Letter('g'),
        'ɨ' | 'ɩ' | 'ɪ' => Folded::Letter('i'),
        'ɲ' => Folded::Letter('n'),
        'ɔ' => Folded::Letter('o'),
        'ʃ' => Folded::Letter('s'),
        'ʉ' | 'ʊ' => Folded::Letter('u'),
        'ʋ' => Folded::Letter('v'),
        'ʒ' => Folded::Letter('z'),
        '\u{C0}'..='\u{24F}' => under(LATIN, character, 0xC0),
        '\u{1E00}'..='\u{1EFF}' => under(LATIN_ADDITIONAL, character, 0x1E00),
        '\0'..'\u{C0}' | '\u{2000}'..='\u{206F}' | '\u{3000}' => Folded::Gap,
        other => Folded::Letter(other),
    }
}

fn under(row: &[u8], character: char, first: u32) -> Folded {
    let place = usize::try_from(u32::from(character) - first).unwrap_or(usize::MAX);
    match row.get(place) {
        Some(b'?') | None => Folded::Letter(character),
        Some(letter) => Folded::Letter(char::from(*letter)),
    }
}

/// Appends the words of `text` to `into`, each as people might spell it who do not agree, with a
/// blank behind each. Letters that stand twice are written once; digits are kept.
pub(super) fn words_of(text: &str, into: &mut String) {
    let begin = into.len();
    let mut last = ' ';
    let mut put = |letter: char, into: &mut String| {
        if letter != last || letter.is_ascii_digit() {
            into.push(letter);
        }
        last = letter;
    };
    for character in text.chars() {
        match fold(character) {
            Folded::Letter(letter) => put(letter, into),
            Folded::Letters(letters) => letters.chars().for_each(|letter| put(letter, into)),
            Folded::Nothing => {}
            // Blanks stand once too, and none before the first word.
            Folded::Gap => put(' ', into),
        }
    }
    if into.len() > begin && !into.ends_with(' ') {
        into.push(' ');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> String {
        let mut into = String::new();
        words_of(text, &mut into);
        into
    }

    #[test]
    fn spellings_of_one_name_come_to_the_same() {
        let rows = [
            ("Mwangĩ", "Mwangi"),
            ("Akinyiï", "akinyi"),
            ("ng’ombe", "Ng'ombe"),
            ("NG'OMBE", "ngombe"),
            ("Hassan  Mohammed", " hasan mohamed "),
            ("Ọláìyá", "olaiya"),
            ("Bɔakye Ɛfua", "boakye efua"),
            ("Ŋaŋa", "nana"),
            ("Zoe\u{308}", "Zoë"),
            ("Béatrice Œuvrard", "beatrice oeuvrard"),
            ("Mtoni-Juu", "mtoni juu"),
        ];
        for (one, other) in rows {
            assert_eq!(words(one), words(other), "{one} and {other}");
        }
    }

    #[test]
    fn words_end_with_a_blank_and_digits_stay() {
        assert_eq!(words("M-0011"), "m 0011 ");
        assert_eq!(words("  "), "");
        assert_eq!(words("<img src=x>"), "img src x ");
        assert_eq!(words("ሰላም"), "ሰላም ");
    }
}
