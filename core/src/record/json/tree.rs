//! A JSON text taken apart, with every value knowing where it stands.

use super::parse::unescaped;
use std::borrow::Cow;

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
pub(super) struct One<'a> {
    pub(super) kind: Kind,
    pub(super) written: &'a str,
    pub(super) at: usize,
    /// How many follow that are inside it.
    pub(super) inside: usize,
}

/// A text taken apart.
#[derive(Debug)]
pub(super) struct Tree<'a>(pub(super) Vec<One<'a>>);

impl Tree<'_> {
    /// The value that it is.
    pub(super) fn root(&self) -> Node<'_> {
        Node(&self.0)
    }
}

/// What stands where a value was looked for and there is none.
pub(super) const NOTHING: One<'_> = One {
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
            Kind::Escaped => unescaped(text).map(Cow::Owned),
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
