//! Takes a JSON text apart (RFC 8259), strictly.

use super::tree::{Kind, NOTHING, One, Tree};

/// Values inside each other at most; no document of ours comes near it.
const DEPTH_AT_MOST: usize = 128;

/// What is wrong with a text, and where.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Broken {
    pub(super) reason: &'static str,
    pub(super) at: usize,
}

/// Takes a whole text apart; `object` is what its objects are.
pub(super) fn parse(text: &str, object: Kind) -> Result<Tree<'_>, Broken> {
    let mut parser = Parser::of(text);
    parser.object = object;
    // An entry has a value or a name every eight bytes; what has more, a list of members, is rare.
    parser.all.reserve((text.len() / 8).min(512));
    parser.node(0)?;
    parser.skip_blanks();
    match parser.next() {
        None => Ok(Tree(parser.all)),
        Some(_) => Err(parser.broken("something stands behind the end")),
    }
}

/// What a string with escapes says.
pub(super) fn unescaped(text: &str) -> Option<String> {
    let mut plain = String::new();
    Parser::of(text).text(Some(&mut plain)).ok()?;
    Some(plain)
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
    all: Vec<One<'a>>,
    object: Kind,
}

impl<'a> Parser<'a> {
    const fn of(text: &'a str) -> Self {
        Self {
            text,
            at: 0,
            all: Vec::new(),
            object: Kind::Object,
        }
    }

    fn broken(&self, reason: &'static str) -> Broken {
        Broken {
            reason,
            at: self.at,
        }
    }

    fn next(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// From a place up to here. Both lie at ends of ASCII, so the text can be cut there.
    fn since(&self, from: usize) -> &'a str {
        self.text.get(from..self.at).unwrap_or_default()
    }

    fn skip_blanks(&mut self) {
        while matches!(self.next(), Some(b' ' | b'\n' | b'\r' | b'\t')) {
            self.at += 1;
        }
    }

    fn take(&mut self, byte: u8) -> bool {
        let found = self.next() == Some(byte);
        self.at += usize::from(found);
        found
    }

    fn node(&mut self, depth: usize) -> Result<(), Broken> {
        self.skip_blanks();
        let at = self.at;
        let place = self.all.len();
        self.all.push(One { at, ..NOTHING });
        let kind = match self.next() {
            Some(b'{') => self.object(depth)?,
            Some(b'[') => self.list(depth)?,
            Some(b'"') => self.text(None)?,
            Some(b'-' | b'0'..=b'9') => self.number()?,
            _ => self.word()?,
        };
        let written = self.since(at);
        let inside = self.all.len() - place - 1;
        if let Some(one) = self.all.get_mut(place) {
            (one.kind, one.written, one.inside) = (kind, written, inside);
        }
        Ok(())
    }

    fn word(&mut self) -> Result<Kind, Broken> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        for (word, kind) in [
            ("null", Kind::Null),
            ("true", Kind::True),
            ("false", Kind::False),
        ] {
            if rest.starts_with(word) {
                self.at += word.len();
                return Ok(kind);
            }
        }
        Err(self.broken(if rest.is_empty() {
            "it ends too early"
        } else {
            "no value begins like this"
        }))
    }

    fn deeper(&self, depth: usize) -> Result<usize, Broken> {
        if depth < DEPTH_AT_MOST {
            return Ok(depth + 1);
        }
        Err(self.broken("too many values stand inside each other"))
    }

    fn list(&mut self, depth: usize) -> Result<Kind, Broken> {
        let depth = self.deeper(depth)?;
        self.at += 1;
        self.skip_blanks();
        if self.take(b']') {
            return Ok(Kind::List);
        }
        loop {
            self.node(depth)?;
            self.skip_blanks();
            if self.take(b']') {
                return Ok(Kind::List);
            }
            if !self.take(b',') {
                return Err(self.broken("',' or ']' is missing"));
            }
        }
    }

    fn object(&mut self, depth: usize) -> Result<Kind, Broken> {
        let depth = self.deeper(depth)?;
        self.at += 1;
        self.skip_blanks();
        if self.take(b'}') {
            return Ok(self.object);
        }
        loop {
            self.skip_blanks();
            if self.next() != Some(b'"') {
                return Err(self.broken("a name in quotation marks is missing"));
            }
            self.node(depth)?;
            self.skip_blanks();
            if !self.take(b':') {
                return Err(self.broken("':' is missing"));
            }
            self.node(depth)?;
            self.skip_blanks();
            if self.take(b'}') {
                return Ok(self.object);
            }
            if !self.take(b',') {
                return Err(self.broken("',' or '}' is missing"));
            }
        }
    }

    fn digits(&mut self) -> Result<(), Broken> {
        let from = self.at;
        while matches!(self.next(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        if from < self.at {
            return Ok(());
        }
        Err(self.broken("a digit is missing"))
    }

    fn number(&mut self) -> Result<Kind, Broken> {
        self.take(b'-');
        if !self.take(b'0') {
            self.digits()?;
        }
        if self.take(b'.') {
            self.digits()?;
        }
        if self.take(b'e') || self.take(b'E') {
            if !self.take(b'+') {
                self.take(b'-');
            }
            self.digits()?;
        }
        Ok(Kind::Number)
    }

    /// A string; what it says without its escapes is put where somebody asks for it.
    fn text(&mut self, mut plain: Option<&mut String>) -> Result<Kind, Broken> {
        let mut kind = Kind::Text;
        self.at += 1;
        loop {
            let from = self.at;
            self.skip_plain();
            if let Some(plain) = &mut plain {
                plain.push_str(self.since(from));
            }
            match self.next() {
                Some(b'"') => {
                    self.at += 1;
                    return Ok(kind);
                }
                Some(b'\\') => {
                    kind = Kind::Escaped;
                    let letter = self.escaped()?;
                    if let Some(plain) = &mut plain {
                        plain.push(letter);
                    }
                }
                Some(_) => return Err(self.broken("a sign must be escaped in a string")),
                None => return Err(self.broken("a string has no end")),
            }
        }
    }

    /// Over what stands in a string for itself: eight bytes at a time, for a bundle is little else.
    fn skip_plain(&mut self) {
        let rest = self.text.as_bytes().get(self.at..).unwrap_or_default();
        // Plain loops: the phone's program is made for size, where an iterator's closure is called.
        for eight in rest.as_chunks().0 {
            if !are_plain(*eight) {
                break;
            }
            self.at += eight.len();
        }
        while let Some(byte) = self.next()
            && !matches!(byte, b'"' | b'\\' | 0..0x20)
        {
            self.at += 1;
        }
    }

    fn escaped(&mut self) -> Result<char, Broken> {
        self.at += 1;
        let letter = self.next();
        self.at += 1;
        Ok(match letter {
            Some(letter @ (b'"' | b'\\' | b'/')) => char::from(letter),
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => return self.unicode(),
            _ => return Err(self.broken("there is no such escape")),
        })
    }

    fn unicode(&mut self) -> Result<char, Broken> {
        let first = self.four()?;
        let code = match first {
            0xD800..0xDC00 if self.take(b'\\') && self.take(b'u') => match self.four()? {
                second @ 0xDC00..0xE000 => 0x10000 + ((first - 0xD800) << 10) + (second - 0xDC00),
                _ => first,
            },
            _ => first,
        };
        char::from_u32(code).ok_or_else(|| self.broken("half a character is escaped"))
    }

    fn four(&mut self) -> Result<u32, Broken> {
        let mut code = 0;
        for _ in 0..4 {
            let digit = self.next().and_then(|digit| char::from(digit).to_digit(16));
            let digit = digit.ok_or_else(|| self.broken("an escape has four digits"))?;
            code = code * 16 + digit;
            self.at += 1;
        }
        Ok(code)
    }
}

/// Whether none of eight bytes ends a string, begins an escape or must be escaped. To take a number
/// off every byte at once borrows from the next one only where a byte was below it, so that some
/// byte's highest bit tells of the lowest such byte.
const fn are_plain(eight: [u8; 8]) -> bool {
    const fn below(eight: u64, least: u8) -> u64 {
        eight.wrapping_sub(u64::from_ne_bytes([least; 8])) & !eight
    }
    let eight = u64::from_ne_bytes(eight);
    let quote = eight ^ u64::from_ne_bytes([b'"'; 8]);
    let backslash = eight ^ u64::from_ne_bytes([b'\\'; 8]);
    let found = below(eight, 0x20) | below(quote, 1) | below(backslash, 1);
    found & u64::from_ne_bytes([0x80; 8]) == 0
}
