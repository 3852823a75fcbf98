//! What a source file names: paths with `use` groups spelt out, macros, numbers. Comments and
//! text do not count, and neither does the way a path is broken over lines.

use proc_macro2::{Delimiter, Spacing, Span, TokenStream, TokenTree};

/// What core must not reach for, and what to do instead.
const IMPURE: [(&str, &str); 15] = [
    ("std::fs", "take the content as an argument"),
    ("std::net", "leave the network to the phone and the desk"),
    ("std::io", "take and give bytes or text"),
    ("std::time", "take the time as an argument"),
    ("std::env", "take the setting as an argument"),
    ("std::process", "return an error"),
    ("std::thread", "leave threads to the desk"),
    ("rand", "take the number as an argument"),
    ("getrandom", "take the number as an argument"),
    ("uuid::Uuid::new_v4", "take the identifier as an argument"),
    ("uuid::Uuid::now_v7", "take the identifier as an argument"),
    ("chrono::Local", "take the offset as an argument"),
    ("Local::now", "take the time as an argument"),
    ("Utc::now", "take the time as an argument"),
    ("SystemTime::now", "take the time as an argument"),
];

/// Macros that write somewhere.
const NOISY: [&str; 5] = ["print", "println", "eprint", "eprintln", "dbg"];

/// Words that may stand before a path which begins with `::`, and are no part of it.
const BEFORE_PATHS: [&str; 10] = [
    "as", "dyn", "else", "for", "if", "impl", "in", "match", "return", "use",
];

/// Something a file names, and where.
struct Named {
    line: usize,
    text: String,
}

#[derive(Default)]
struct Source {
    /// Each with its segments joined by `::`.
    paths: Vec<Named>,
    macros: Vec<Named>,
    floats: Vec<Named>,
}

/// Every use of what a rule may not depend on.
pub(crate) fn impurities(path: &str, text: &str) -> Vec<String> {
    let source = read(path, text);
    let mut found = Vec::new();
    for named in &source.paths {
        for (forbidden, instead) in IMPURE {
            if holds(&named.text, forbidden) {
                found.push(format!("{path}:{}: {forbidden}: {instead}", named.line));
            }
        }
    }
    for named in &source.macros {
        if NOISY.contains(&named.text.as_str()) {
            found.push(format!(
                "{path}:{}: {}!: return the text",
                named.line, named.text
            ));
        }
    }
    found
}

/// Every text that shows a value in its debug form (`{:?}`), tests apart.
pub(crate) fn in_debug_form(path: &str, text: &str) -> Vec<String> {
    fn texts(tokens: TokenStream, found: &mut Vec<Named>) {
        for token in tokens {
            match token {
                TokenTree::Group(group) => texts(group.stream(), found),
                TokenTree::Literal(literal) => {
                    let text = literal.to_string();
                    if text.contains(":?}") || text.contains(":#?}") {
                        found.push(named(literal.span(), text));
                    }
                }
                TokenTree::Ident(_) | TokenTree::Punct(_) => {}
            }
        }
    }
    let mut found = Vec::new();
    texts(without_tests(tokens(path, text)), &mut found);
    told(path, &found)
}

/// Every floating-point type or number.
pub(crate) fn floats(path: &str, text: &str) -> Vec<String> {
    told(path, &read(path, text).floats)
}

/// Every floating-point type or number in what a type can do.
pub(crate) fn floats_of(path: &str, text: &str, name: &str) -> Vec<String> {
    let mut source = Source::default();
    let tokens: Vec<TokenTree> = tokens(path, text).into_iter().collect();
    let bodies = tokens.windows(3).filter_map(|three| match three {
        [
            TokenTree::Ident(word),
            TokenTree::Ident(subject),
            TokenTree::Group(body),
        ] if (word == "impl" || word == "for") && subject == name => Some(body.stream()),
        _ => None,
    });
    let mut count = 0;
    for body in bodies {
        count += 1;
        walk(body, &[], &mut source);
    }
    assert!(
        count > 0,
        "{path} has no impl of {name}; name its new place in this check"
    );
    told(path, &source.floats)
}

fn told(path: &str, all: &[Named]) -> Vec<String> {
    all.iter()
        .map(|named| format!("{path}:{}: {}", named.line, named.text))
        .collect()
}

/// Whether a path holds segments in a row: a crate's at its beginning, a type's anywhere.
fn holds(path: &str, forbidden: &str) -> bool {
    let path: Vec<&str> = path.split("::").collect();
    let forbidden: Vec<&str> = forbidden.split("::").collect();
    if forbidden[0].starts_with(char::is_uppercase) {
        path.windows(forbidden.len()).any(|part| part == forbidden)
    } else {
        path.starts_with(&forbidden)
    }
}

fn tokens(path: &str, text: &str) -> TokenStream {
    text.parse()
        .unwrap_or_else(|error| panic!("{path} is no Rust: {error}"))
}

fn read(path: &str, text: &str) -> Source {
    let mut source = Source::default();
    walk(tokens(path, text), &[], &mut source);
    source
}

/// Leaves out each item under `#[cfg(test)]`: up to its braces, or to the end of its statement.
fn without_tests(tokens: TokenStream) -> TokenStream {
    let mut kept = Vec::new();
    let mut tokens = tokens.into_iter();
    while let Some(token) = tokens.next() {
        let opens_tests = matches!(&token, TokenTree::Group(group)
            if group.delimiter() == Delimiter::Bracket
                && group.stream().to_string().replace(' ', "") == "cfg(test)");
        if opens_tests {
            tokens.find(|token| match token {
                TokenTree::Group(group) => group.delimiter() == Delimiter::Brace,
                TokenTree::Punct(punct) => punct.as_char() == ';',
                _ => false,
            });
        } else {
            kept.push(token);
        }
    }
    kept.into_iter().collect()
}

/// `within` is the path before the group that the tokens are in: `std` in `std::{fs, net}`.
fn walk(tokens: TokenStream, within: &[String], source: &mut Source) {
    let tokens: Vec<TokenTree> = tokens.into_iter().collect();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        at += 1;
        match token {
            TokenTree::Ident(ident) if BEFORE_PATHS.iter().any(|word| ident == word) => {}
            TokenTree::Ident(ident) => {
                let start = ident.span();
                let mut segments = within.to_vec();
                segments.push(ident.to_string());
                let mut opened = None;
                while is_path_separator(&tokens, at) {
                    match tokens.get(at + 2) {
                        Some(TokenTree::Ident(next)) => segments.push(next.to_string()),
                        Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                            opened = Some(group.stream());
                        }
                        _ => break,
                    }
                    at += 3;
                }
                match opened {
                    Some(group) => walk(group, &segments, source),
                    None => note_path(&tokens, at, start, &segments, source),
                }
            }
            TokenTree::Group(group) => walk(group.stream(), &[], source),
            TokenTree::Literal(literal) => {
                let text = literal.to_string();
                // In `pair.0.1` the tail reads like a number.
                let index = at >= 2 && is_punct(tokens.get(at - 2), '.');
                if is_float(&text) && !index {
                    source.floats.push(named(literal.span(), text));
                }
            }
            TokenTree::Punct(_) => {}
        }
    }
}

fn note_path(
    tokens: &[TokenTree],
    after: usize,
    start: Span,
    segments: &[String],
    source: &mut Source,
) {
    let last = segments.last().map_or("", String::as_str);
    if matches!(last, "f32" | "f64") {
        source.floats.push(named(start, last.to_owned()));
    }
    let called = is_punct(tokens.get(after), '!')
        && matches!(tokens.get(after + 1), Some(TokenTree::Group(_)));
    if called {
        source.macros.push(named(start, last.to_owned()));
    }
    source.paths.push(named(start, segments.join("::")));
}

fn named(span: Span, text: String) -> Named {
    Named {
        line: span.start().line,
        text,
    }
}

fn is_punct(token: Option<&TokenTree>, wanted: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == wanted)
}

fn is_path_separator(tokens: &[TokenTree], at: usize) -> bool {
    matches!(tokens.get(at), Some(TokenTree::Punct(punct))
        if punct.as_char() == ':' && punct.spacing() == Spacing::Joint)
        && is_punct(tokens.get(at + 1), ':')
}

fn is_float(literal: &str) -> bool {
    let starts_a_number = literal.starts_with(|first: char| first.is_ascii_digit());
    let other_base = ["0x", "0o", "0b"]
        .iter()
        .any(|base| literal.starts_with(base));
    starts_a_number
        && !other_base
        && (literal.contains(['.', 'e', 'E'])
            && !literal.contains("usize")
            && !literal.contains("isize")
            || literal.ends_with("f32")
            || literal.ends_with("f64"))
}

#[test]
fn what_reaches_outside_is_found_however_it_is_written() {
    for bad in [
        "use std::fs;",
        "use std::{collections::BTreeMap, net::{IpAddr, TcpStream}};",
        "fn now() { let _ = std\n::time::Instant::now(); }",
        "fn now() -> chrono::DateTime<chrono::Utc> { chrono::Utc::now() }",
        "use chrono::{Local, Utc};",
        "fn f() { println!(\"{}\", 1) }",
        "fn f() { vec![std::env::var(\"HOME\")]; }",
        "use ::std::process::exit;",
        "fn f(x: ::std::io::Error) -> bool { x as ::rand::Seed }",
        "fn f() { rand::random() }",
        "fn f() { std::dbg!(1) }",
    ] {
        let found = impurities("bad.rs", bad);
        assert!(!found.is_empty(), "{bad}");
    }
}

#[test]
fn comments_texts_and_namesakes_are_left_alone() {
    let good = "//! std::fs is not for us.\n/// println!(\"x\")\nuse crate::rand_is_a_word;\n\
        fn f(time: Time) -> bool { time.env() != \"std::env\".len() }";
    assert_eq!(impurities("good.rs", good), Vec::<String>::new());
}

#[test]
fn debug_forms_are_found_in_texts_alone() {
    let bad = "fn f() { format!(\"{fault:?}\"); g(&[1], \"{0:#?}\") }";
    assert_eq!(in_debug_form("bad.rs", bad).len(), 2);
    let good = "#[derive(Debug)] struct A; // {:?}\n\
        #[cfg(test)]\nmod tests { fn f() { assert!(true, \"{:?}\"); } }\nfn g() { format!(\"{a} {b:2}\") }";
    assert_eq!(in_debug_form("good.rs", good), Vec::<String>::new());
}

#[test]
fn floats_are_found_as_types_and_as_numbers() {
    for bad in [
        "fn f(x: f64) {}",
        "const X: u8 = 1.5 as u8;",
        "let x = 2f32;",
        "let x = 1e3;",
    ] {
        assert_eq!(floats("bad.rs", bad).len(), 1, "{bad}");
    }
    let good = "fn f() { for i in 0..5 { pair.0.1; 0x1e5u64; 1_usize; \"1.5\"; } } // f64";
    assert_eq!(floats("good.rs", good), Vec::<String>::new());
}

#[test]
fn floats_are_found_in_what_one_type_can_do() {
    let text = "impl Share { fn f() -> f64 { 0.5 } }\nimpl Grams { fn f(self) -> i64 { self.0 } }\n\
        impl From<f32> for Grams { fn from(x: f32) -> Self { Self(x as i64) } }";
    assert_eq!(floats_of("bad.rs", text, "Grams"), ["bad.rs:3: f32"]);
}
