//! An element as data.

use crate::closure::{Gives, Hears};
use crate::node::{IntoNode, Node};
use crate::set::{IntoSetting, Setting, Spoken, Value};
use reactive_graph::owner::Owner;
use wasm_bindgen::JsCast;
use web_sys::Event;

/// What hears of an event.
pub(crate) type Listener = Box<dyn Hears>;

/// An element and what is in it. Behind a pointer, so that a call that adds to it is short.
pub struct Element(pub(crate) Box<Parts>);

pub(crate) struct Parts {
    /// Tag, then names and values of its plain attributes, parted by NUL.
    pub(crate) written: &'static str,
    pub(crate) of_picture: bool,
    pub(crate) settings: Vec<(Kind, &'static str, Setting)>,
    pub(crate) listeners: Vec<(&'static str, Listener)>,
    pub(crate) children: Vec<Node>,
}

/// What of an element is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// An attribute.
    Attribute,
    /// A property: `value` or `checked`.
    Property,
    /// A class, which is put on or taken off.
    Class,
}

impl Element {
    /// An element of HTML: tag, then names and values of plain attributes, parted by NUL.
    #[must_use]
    pub fn new(written: &'static str) -> Self {
        Self::made(written, false)
    }

    /// An element of SVG, written the same way.
    #[must_use]
    pub fn of_picture(written: &'static str) -> Self {
        Self::made(written, true)
    }

    fn made(written: &'static str, of_picture: bool) -> Self {
        Self(Box::new(Parts {
            written,
            of_picture,
            settings: Vec::new(),
            listeners: Vec::new(),
            children: Vec::new(),
        }))
    }

    /// Sets something of it.
    #[must_use]
    pub fn set(self, kind: Kind, name: &'static str, setting: impl IntoSetting) -> Self {
        setting.set_in(self, kind, name)
    }

    /// Sets something of it to a setting.
    #[must_use]
    #[inline(never)]
    pub fn set_to(mut self, kind: Kind, name: &'static str, setting: Setting) -> Self {
        self.0.settings.push((kind, name, setting));
        self
    }

    /// Sets something of it to what is followed.
    #[must_use]
    #[inline(never)]
    pub fn set_live(self, kind: Kind, name: &'static str, gives: Box<dyn Gives<Value>>) -> Self {
        self.set_to(kind, name, Setting::Live(gives))
    }

    /// Listens to an event.
    #[must_use]
    #[inline(never)]
    pub fn on(mut self, event: &'static str, mut listener: Listener) -> Self {
        // What listens belongs to whatever it was written in, and finds its contexts there.
        let owner = Owner::current().unwrap_or_default();
        let listener = Box::new(move |event: Event| owner.with(|| listener.hear(event)));
        self.0.listeners.push((event, listener));
        self
    }

    /// Puts something into it, after what is there.
    #[must_use]
    #[inline(never)]
    pub fn child(mut self, child: Node) -> Self {
        self.0.children.push(child);
        self
    }

    /// Puts something into it that can be part of a screen.
    #[must_use]
    pub fn part(self, part: impl IntoNode) -> Self {
        part.put_into(self)
    }

    // A node is handed over in memory; these three take what they are of as it is.

    /// Puts an element into it.
    #[must_use]
    #[inline(never)]
    pub fn element(self, element: Self) -> Self {
        self.child(element.into())
    }

    /// Puts words of the program into it that are the same in every language.
    #[must_use]
    #[inline(never)]
    pub fn text(self, words: &'static str) -> Self {
        self.child(Node::text(words))
    }

    /// Puts into it what is followed.
    #[must_use]
    #[inline(never)]
    pub fn live(self, gives: Box<dyn Gives<Node>>) -> Self {
        self.child(Node::Live(gives))
    }

    /// Puts words into it in the language of the page.
    #[must_use]
    #[inline(never)]
    pub fn spoken(self, spoken: Spoken) -> Self {
        self.child(Node::Spoken(spoken))
    }
}

/// A closure that takes an event of its kind, as one that takes any: what the browser sends to
/// `on:click` is an event of the mouse.
pub fn listener<E: JsCast + 'static>(mut hears: impl FnMut(E) + 'static) -> Listener {
    Box::new(move |event: Event| hears(event.unchecked_into()))
}
