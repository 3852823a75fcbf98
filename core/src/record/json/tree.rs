//! A JSON text taken apart (RFC 8259), strictly, with every value knowing where it stands.

use std::borrow::Cow;

/// Values inside each other at most; no document of ours comes near it.
const DEPTH_AT_MOST: usize = 128;

/// What a value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// `null`.
    Null,
    /// `true`.
    True,
    /// `false`.
    False,
    /// A number.
    Number,
    /// A string that says what is written.
    Text,
    /// A string with escapes.
    Escaped,
    /// An array.
    List,
    /// An object, in the order written; nobody has looked whether a name stands twice.
    Object,
    /// An object of a document that may say more than is asked for.
    OpenObject,
    /// No value at all, where one was looked for.
    Absent,
}

/// One value: a value's own values follow it, names and values of an object by turns. One list of
/// them all is made and read faster than lists in lists, and with less of a program.
#[derive(Debug)]
struct One<'a> {
    kind: Kind,
    written: &'a str,
    at: usize,
    /// How many follow that are inside it.
    inside: usize,
}

/// A text taken apart.
#[derive(Debug)]
pub(super) struct Tree<'a>(Vec<One<'a>>);

impl Tree<'_> {
    /// The value that it is.
    pub(super) fn root(&self) -> Node<'_> {
        Node(&self.0)
    }
}

/// What stands where a value was looked for and there is none.
const NOTHING: One<'_> = One {
    kind: Kind::Absent,
    written: "",
    at: 0,
    inside: 0,
};

/// A value and after it what is inside it: as large as a reference to a list, which a program for a
/// phone passes on in fewer steps than anything larger.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node<'a>(&'a [One<'a>]);

impl<'a> Node<'a> {
    /// No value.
    pub(super) const ABSENT: Self = Self(&[]);

    const fn one(self) -> &'a One<'a> {
        match self.0 {
            [one, ..] => one,
            [] => &NOTHING,
        }
    }

    /// What it is.
    pub(super) const fn kind(self) -> Kind {
        self.one().kind
    }

    /// As it is written.
    pub(super) const fn written(self) -> &'a str {
        self.one().written
    }

    /// Where it begins, in bytes.
    pub(super) const fn at(self) -> usize {
        self.one().at
    }

    /// A string without its escapes.
    pub(super) fn text(self) -> Option<Cow<'a, str>> {
        let text = self.written();
        match self.kind() {
            Kind::Text => text.get(1..text.len().saturating_sub(1)).map(Cow::Borrowed),
            // Whoever took it apart has found nothing wrong with it.
            Kind::Escaped => {
                let mut plain = String::new();
                Parser::of(text).text(Some(&mut plain)).ok()?;
                Some(Cow::Owned(plain))
            }
            _ => None,
        }
    }

    /// Whether it is a string that says just this.
    pub(super) fn says(self, what: &str) -> bool {
        match self.kind() {
            Kind::Text => {
                let written = self.written().as_bytes();
                written.len() == what.len() + 2 && &written[1..=what.len()] == what.as_bytes()
            }
            Kind::Escaped => self.text().is_some_and(|text| text == what),
            _ => false,
        }
    }

    /// Whether it is an object.
    pub(super) const fn is_object(self) -> bool {
        matches!(self.kind(), Kind::Object | Kind::OpenObject)
    }

    /// Its own values, where it is a list; of an object names and values by turns.
    pub(super) const fn values(self) -> Values<'a> {
        match self.0 {
            [_, inside @ ..] => Values(inside),
            [] => Values(&[]),
        }
    }

    /// The value of a name, where this is an object that has it.
    pub(super) fn member(self, name: &str) -> Option<Self> {
        if !self.is_object() {
            return None;
        }
        let mut all = self.values();
        while let (Some(found), Some(value)) = (all.next(), all.next()) {
            if found.says(name) {
                return Some(value);
            }
        }
        None
    }
}

/// Values that stand beside each other.
#[derive(Debug, Clone)]
pub(super) struct Values<'a>(&'a [One<'a>]);

impl Values<'_> {
    pub(super) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<'a> Iterator for Values<'a> {
    type Item = Node<'a>;

    fn next(&mut self) -> Option<Node<'a>> {
        let first = self.0.first()?;
        let (node, rest) = self.0.split_at_checked(first.inside.saturating_add(1))?;
        self.0 = rest;
        Some(Node(node))
    }
}

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
