//! A JSON text taken apart (RFC 8259), strictly, with every value knowing where it stands.

use std::borrow::Cow;

/// Values inside each other at most; no document of ours comes near it.
const DEPTH_AT_MOST: usize = 128;

/// A value.
#[derive(Debug)]
pub(super) enum Value<'a> {
    /// `null`.
    Null,
    /// `true` or `false`.
    Flag(bool),
    /// A number as written.
    Number(&'a str),
    /// A string, without its escapes.
    Text(Cow<'a, str>),
    /// An array.
    List(Vec<Node<'a>>),
    /// An object, in the order written; nobody has looked whether a name stands twice.
    Object(Vec<(Node<'a>, Node<'a>)>),
}

/// A value and its place.
#[derive(Debug)]
pub(super) struct Node<'a> {
    /// What it is.
    pub(super) value: Value<'a>,
    /// As it is written.
    pub(super) written: &'a str,
    /// Where it begins, in bytes.
    pub(super) at: usize,
}

impl Node<'_> {
    /// The value of a name, where this is an object that has it.
    pub(super) fn member(&self, name: &str) -> Option<&Self> {
        let Value::Object(all) = &self.value else {
            return None;
        };
        all.iter()
            .find(|(found, _)| matches!(&found.value, Value::Text(found) if found == name))
            .map(|(_, value)| value)
    }
}

/// What is wrong with a text, and where.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Broken {
    pub(super) reason: &'static str,
    pub(super) at: usize,
}

/// Takes a whole text apart.
pub(super) fn parse(text: &str) -> Result<Node<'_>, Broken> {
    let mut parser = Parser { text, at: 0 };
    let node = parser.node(0)?;
    parser.skip_blanks();
    match parser.next() {
        None => Ok(node),
        Some(_) => Err(parser.broken("something stands behind the end")),
    }
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Parser<'a> {
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

    fn node(&mut self, depth: usize) -> Result<Node<'a>, Broken> {
        self.skip_blanks();
        let at = self.at;
        let value = match self.next() {
            Some(b'{') => self.object(depth)?,
            Some(b'[') => self.list(depth)?,
            Some(b'"') => Value::Text(self.text()?),
            Some(b'-' | b'0'..=b'9') => Value::Number(self.number()?),
            _ => self.word()?,
        };
        Ok(Node {
            value,
            written: self.since(at),
            at,
        })
    }

    fn word(&mut self) -> Result<Value<'a>, Broken> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        for (word, value) in [
            ("null", Value::Null),
            ("true", Value::Flag(true)),
            ("false", Value::Flag(false)),
        ] {
            if rest.starts_with(word) {
                self.at += word.len();
                return Ok(value);
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

    fn list(&mut self, depth: usize) -> Result<Value<'a>, Broken> {
        let depth = self.deeper(depth)?;
        let mut all = Vec::new();
        self.at += 1;
        self.skip_blanks();
        if self.take(b']') {
            return Ok(Value::List(all));
        }
        loop {
            all.push(self.node(depth)?);
            self.skip_blanks();
            if self.take(b']') {
                return Ok(Value::List(all));
            }
            if !self.take(b',') {
                return Err(self.broken("',' or ']' is missing"));
            }
        }
    }

    fn object(&mut self, depth: usize) -> Result<Value<'a>, Broken> {
        let depth = self.deeper(depth)?;
        let mut all = Vec::new();
        self.at += 1;
        self.skip_blanks();
        if self.take(b'}') {
            return Ok(Value::Object(all));
        }
        loop {
            self.skip_blanks();
            if self.next() != Some(b'"') {
                return Err(self.broken("a name in quotation marks is missing"));
            }
            let name = self.node(depth)?;
            self.skip_blanks();
            if !self.take(b':') {
                return Err(self.broken("':' is missing"));
            }
            all.push((name, self.node(depth)?));
            self.skip_blanks();
            if self.take(b'}') {
                return Ok(Value::Object(all));
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

    fn number(&mut self) -> Result<&'a str, Broken> {
        let from = self.at;
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
        Ok(self.since(from))
    }

    fn text(&mut self) -> Result<Cow<'a, str>, Broken> {
        self.at += 1;
        let mut from = self.at;
        let mut before: Option<String> = None;
        loop {
            self.skip_plain();
            match self.next() {
                Some(b'"') => {
                    let rest = self.since(from);
                    self.at += 1;
                    return Ok(match before {
                        None => Cow::Borrowed(rest),
                        Some(before) => Cow::Owned(before + rest),
                    });
                }
                Some(b'\\') => {
                    let text = before.get_or_insert_default();
                    text.push_str(self.text.get(from..self.at).unwrap_or_default());
                    let letter = self.escaped()?;
                    before.get_or_insert_default().push(letter);
                    from = self.at;
                }
                Some(_) => return Err(self.broken("a sign must be escaped in a string")),
                None => return Err(self.broken("a string has no end")),
            }
        }
    }

    /// Over what stands in a string for itself.
    fn skip_plain(&mut self) {
        // A plain loop: the phone's program is made for size, where an iterator's closure is called.
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
