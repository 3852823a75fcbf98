//! Changes a good input into one that is nearly good: at byte level, in JSON's own words, and
//! inside the parts of a JWS.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use fastrand::Rng;

/// What breaks readers: ends of number ranges, JSON's words, quotes, escapes, other alphabets.
const WORDS: [&str; 40] = [
    "0",
    "-0",
    "1",
    "-1",
    "00",
    "0.5",
    "1e999",
    "-1e-999",
    "9007199254740991",
    "9007199254740992",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551615",
    "340282366920938463463374607431768211456",
    "1000000000000000",
    "1000000000001",
    "null",
    "true",
    "{}",
    "[]",
    "\"\"",
    "{\"a\":",
    "[[[[[[[[",
    "]",
    "}",
    ",",
    ":",
    "\"",
    "\\",
    "\\u0000",
    "\\ud800",
    "\u{0}",
    "\u{FEFF}",
    "é",
    "\u{202E}",
    "+",
    "=",
    ".",
    "..",
    "2026-02-30",
];

/// An input that differs from a seed in a few places; `other` is a second seed to take parts from.
pub fn mutate(random: &mut Rng, seed: &str, other: &str) -> Vec<u8> {
    let mut input = match random.u8(0..4) {
        0 | 1 => within_jws(random, seed, other),
        _ => seed.as_bytes().to_vec(),
    };
    for _ in 0..random.u8(0..4) {
        change(random, &mut input, other.as_bytes());
    }
    input
}

/// Decodes one part of a JWS somewhere in the text, changes it, and encodes it again.
fn within_jws(random: &mut Rng, seed: &str, other: &str) -> Vec<u8> {
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    let parts: Vec<(usize, &str)> = seed
        .split(|c| !is_part(c))
        .filter(|part| part.len() > 20)
        .map(|part| (part.as_ptr() as usize - seed.as_ptr() as usize, part))
        .collect();
    let Some((place, part)) = random.choice(parts) else {
        return seed.as_bytes().to_vec();
    };
    let Ok(mut decoded) = URL_SAFE_NO_PAD.decode(part) else {
        return seed.as_bytes().to_vec();
    };
    for _ in 0..random.u8(1..4) {
        change(random, &mut decoded, other.as_bytes());
    }
    let encoded = URL_SAFE_NO_PAD.encode(decoded);
    let (before, after) = (&seed[..place], &seed[place + part.len()..]);
    [before, &encoded, after].concat().into_bytes()
}

fn change(random: &mut Rng, input: &mut Vec<u8>, other: &[u8]) {
    if input.is_empty() {
        input.extend(random.choice(WORDS).unwrap_or_default().bytes());
        return;
    }
    let place = random.usize(..input.len());
    let near = (place + random.usize(1..40)).min(input.len());
    match random.u8(0..9) {
        0 => input[place] ^= 1 << random.u8(0..8),
        1 => input[place] = random.u8(..),
        2 => drop(input.drain(place..near)),
        3 => {
            let again = input[place..near].to_vec();
            input.splice(place..place, again);
        }
        4 => {
            let word = random.choice(WORDS).unwrap_or_default();
            input.splice(place..place, word.bytes());
        }
        5 => {
            let from = random.usize(..=other.len());
            let until = (from + random.usize(0..200)).min(other.len());
            input.splice(place..near, other[from..until].iter().copied());
        }
        6 => input.truncate(place),
        7 => replace_number(random, input, place),
        _ => swap_strings(random, input),
    }
}

/// Puts an extreme in the place of the next number.
fn replace_number(random: &mut Rng, input: &mut Vec<u8>, from: usize) {
    let digits = |byte: &u8| byte.is_ascii_digit();
    let Some(start) = input[from..].iter().position(digits) else {
        return;
    };
    let start = from + start;
    let length = input[start..]
        .iter()
        .take_while(|byte| digits(byte))
        .count();
    let word = WORDS[random.usize(..16)];
    input.splice(start..start + length, word.bytes());
}

/// Exchanges two of JSON's strings, names of fields included.
fn swap_strings(random: &mut Rng, input: &mut Vec<u8>) {
    let quotes: Vec<usize> = (0..input.len())
        .filter(|place| input[*place] == b'"')
        .collect();
    if quotes.len() < 4 {
        return;
    }
    let pick = |random: &mut Rng| {
        let first = random.usize(..quotes.len() / 2) * 2;
        (quotes[first], quotes[first + 1])
    };
    let (one, two) = (pick(random), pick(random));
    let (first, second) = if one < two { (one, two) } else { (two, one) };
    if first == second {
        return;
    }
    let (left, right) = (
        input[first.0..=first.1].to_vec(),
        input[second.0..=second.1].to_vec(),
    );
    input.splice(second.0..=second.1, left);
    input.splice(first.0..=first.1, right);
}
