//! Puts nodes on the page, and makes what is shown like what a closure gives next.

mod dom;
mod element;
mod spoken;

use crate::closure::Gives;
use crate::node::Node;
use any_spawner::Executor;
use element::ShownElement;
use reactive_graph::effect::RenderEffect;
use reactive_graph::owner::Owner;
use spoken::Saying;
use std::borrow::Cow;
use std::cell::RefCell;
use std::rc::Rc;

pub use spoken::speak_anew;

/// What stands on the page. At least one node of the page is of each, so that its place is known.
enum Shown {
    /// A mark where nothing stands.
    Empty(dom::Node),
    Text(dom::Node, Cow<'static, str>),
    Spoken(dom::Node, Saying),
    Element(Box<ShownElement>),
    /// Some after each other, and a mark behind the last.
    Many(Vec<Shown>, dom::Node),
    Live(Live),
}

/// What a closure gave last. Whoever drops it no longer follows.
struct Live {
    shown: Rc<RefCell<Option<Shown>>>,
    _follows: RenderEffect<()>,
}

/// Makes what follows signals a task of the browser. Done by [`mount`] too; before it, where a program
/// works before it shows anything.
pub fn begin() {
    // An error says that it is so already.
    let _ = Executor::init_wasm_bindgen();
}

/// Puts a part into an element of the page, after what is there.
pub fn mount(parent: &web_sys::Element, part: impl FnOnce() -> Node) -> Mounted {
    begin();
    let owner = Owner::new();
    let shown = owner.with(|| {
        let shown = Shown::of(part());
        shown.mount(parent, None);
        shown
    });
    Mounted {
        shown,
        _owner: owner,
    }
}

/// Puts the whole program on the page.
pub fn mount_to_body(part: impl FnOnce() -> Node) {
    let body = web_sys::window().and_then(|window| window.document()?.body());
    if let Some(body) = body {
        std::mem::forget(mount(&body, part));
    }
}

/// A part that stands on the page until this is dropped.
pub struct Mounted {
    shown: Shown,
    _owner: Owner,
}

impl Drop for Mounted {
    fn drop(&mut self) {
        self.shown.remove();
    }
}

/// Runs something now, and again whenever a signal that it reads changes. One effect for all, so
/// that Leptos's are compiled once.
fn follow(mut run: Box<dyn FnMut()>) -> RenderEffect<()> {
    RenderEffect::new(move |_| run())
}

impl Shown {
    fn of(node: Node) -> Self {
        match node {
            Node::Empty => Self::Empty(dom::mark()),
            Node::Text(words) => Self::Text(dom::text(&words), words),
            Node::Spoken(spoken) => {
                let text = dom::text(spoken.now());
                let saying = Saying::of_text(text.clone(), spoken);
                Self::Spoken(text, saying)
            }
            Node::Element(element) => Self::Element(Box::new(ShownElement::of(element))),
            Node::Many(nodes) => Self::Many(nodes.into_iter().map(Self::of).collect(), dom::mark()),
            Node::Live(give) => Self::Live(Live::of(give, None)),
        }
    }

    /// Makes this like a node: in its place where both are of a kind, else by another.
    fn become_like(self, node: Node) -> Self {
        match (self, node) {
            (Self::Empty(mark), Node::Empty) => Self::Empty(mark),
            (Self::Text(text, before), Node::Text(words)) => {
                if before != words {
                    text.set_node_value(Some(&words));
                }
                Self::Text(text, words)
            }
            (Self::Spoken(text, saying), Node::Spoken(spoken)) => {
                saying.becomes(spoken);
                Self::Spoken(text, saying)
            }
            (Self::Element(mut shown), Node::Element(element)) if shown.is_alike(&element) => {
                shown.become_like(element);
                Self::Element(shown)
            }
            (Self::Many(shown, mark), Node::Many(nodes)) => {
                let shown = match mark.parent_node() {
                    Some(parent) => all_alike(shown, nodes, &parent, Some(&mark)),
                    None => nodes.into_iter().map(Self::of).collect(),
                };
                Self::Many(shown, mark)
            }
            (Self::Live(live), Node::Live(give)) => {
                let shown = live.shown.take();
                drop(live);
                Self::Live(Live::of(give, shown))
            }
            (before, node) => {
                let shown = Self::of(node);
                let place = before.first();
                if let Some(parent) = place.parent_node() {
                    shown.mount(&parent, Some(&place));
                }
                before.remove();
                shown
            }
        }
    }

    /// Puts it into a parent, before something that is in it or else at the end.
    fn mount(&self, parent: &dom::Node, before: Option<&dom::Node>) {
        self.each(&mut |node| {
            let _ = parent.insert_before(node, before);
        });
    }

    fn remove(&self) {
        self.each(&mut |node| {
            if let Some(parent) = node.parent_node() {
                let _ = parent.remove_child(node);
            }
        });
    }

    /// Its first node.
    fn first(&self) -> dom::Node {
        match self {
            Self::Empty(node) | Self::Text(node, _) | Self::Spoken(node, _) => node.clone(),
            Self::Element(shown) => shown.element.clone().into(),
            Self::Many(shown, mark) => shown.first().map_or_else(|| mark.clone(), Self::first),
            Self::Live(live) => match &*live.shown.borrow() {
                Some(shown) => shown.first(),
                // Given in the closure's first run, before anybody asks.
                None => dom::mark(),
            },
        }
    }

    /// Each of its nodes that are not inside another of them.
    fn each(&self, look: &mut dyn FnMut(&dom::Node)) {
        match self {
            Self::Empty(node) | Self::Text(node, _) | Self::Spoken(node, _) => look(node),
            Self::Element(shown) => look(&shown.element),
            Self::Many(shown, mark) => {
                for each in shown {
                    each.each(look);
                }
                look(mark);
            }
            Self::Live(live) => {
                if let Some(shown) = &*live.shown.borrow() {
                    shown.each(look);
                }
            }
        }
    }
}

impl Live {
    fn of(mut give: Box<dyn Gives<Node>>, before: Option<Shown>) -> Self {
        let shown = Rc::new(RefCell::new(before));
        let place = Rc::clone(&shown);
        let follows = follow(Box::new(move || {
            let node = give.give();
            let before = place.take();
            let after = match before {
                Some(shown) => shown.become_like(node),
                None => Shown::of(node),
            };
            place.replace(Some(after));
        }));
        Self {
            shown,
            _follows: follows,
        }
    }
}

/// Leptos lets go of an effect's closure a while after the effect: what is in it must not be followed
/// until then, for its signals are gone.
impl Drop for Live {
    fn drop(&mut self) {
        self.shown.take();
    }
}

/// Makes a row of what is shown like a row of nodes, one by one; `behind` is what follows on it.
fn all_alike(
    shown: Vec<Shown>,
    nodes: Vec<Node>,
    parent: &dom::Node,
    behind: Option<&dom::Node>,
) -> Vec<Shown> {
    let mut shown = shown.into_iter();
    let after = nodes
        .into_iter()
        .map(|node| {
            if let Some(shown) = shown.next() {
                return shown.become_like(node);
            }
            let shown = Shown::of(node);
            shown.mount(parent, behind);
            shown
        })
        .collect();
    shown.for_each(|left_over| left_over.remove());
    after
}
