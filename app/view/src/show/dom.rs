//! The nodes of the page.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use wasm_bindgen::JsCast;
use web_sys::{Comment, Document, Element, Text};

pub(super) use web_sys::Node;

const SVG: &str = "http://www.w3.org/2000/svg";

thread_local! {
    static DOCUMENT: Option<Document> = web_sys::window().and_then(|window| window.document());
    /// Of each kind of element one that is only copied: a copy is one call, an element with its
    /// attributes are many. The first of a kind, which may be the only one, is made without.
    static PATTERNS: RefCell<BTreeMap<(&'static str, bool), Option<Element>>> = const { RefCell::new(BTreeMap::new()) };
}

/// A node that is not seen.
pub(super) fn mark() -> Node {
    // A browser makes a comment of any text.
    Comment::new().map_or_else(JsCast::unchecked_into, Into::into)
}

pub(super) fn text(words: &str) -> Node {
    Text::new_with_data(words).map_or_else(JsCast::unchecked_into, Into::into)
}

/// An element with the attributes that are written down with it.
pub(super) fn element(written: &'static str, of_picture: bool) -> Element {
    PATTERNS.with_borrow_mut(|patterns| match patterns.entry((written, of_picture)) {
        Entry::Vacant(first) => {
            first.insert(None);
            made(written, of_picture)
        }
        Entry::Occupied(mut again) => {
            let pattern = again.get_mut();
            let pattern = pattern.get_or_insert_with(|| made(written, of_picture));
            pattern
                .clone_node()
                .map_or_else(|_| pattern.clone(), JsCast::unchecked_into)
        }
    })
}

fn made(written: &str, of_picture: bool) -> Element {
    let mut parts = written.split('\0');
    let tag = parts.next().unwrap_or_default();
    let element = DOCUMENT.with(|document| {
        let document = document.as_ref()?;
        let element = if of_picture {
            document.create_element_ns(Some(SVG), tag)
        } else {
            document.create_element(tag)
        };
        element.ok()
    });
    // There is a document wherever this program runs, and tags are names.
    let element = element.unwrap_or_else(|| mark().unchecked_into());
    while let Some((name, value)) = parts.next().zip(parts.next()) {
        let _ = element.set_attribute(name, value);
    }
    element
}
