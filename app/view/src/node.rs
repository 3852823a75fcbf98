//! What stands on a screen, as data.

use crate::closure::Gives;
use crate::element::Element;
use crate::set::Spoken;
use crate::signals::{Memo, Signal};
use std::borrow::Cow;

/// A part of a screen.
pub enum Node {
    /// Nothing.
    Empty,
    /// Words, shown as they stand; never HTML.
    Text(Cow<'static, str>),
    /// Words of the program, in the language of the page.
    Spoken(Spoken),
    /// An element and what is in it.
    Element(Element),
    /// Some parts after each other.
    Many(Vec<Node>),
    /// What a closure gives, and gives again whenever a signal that it reads changes.
    Live(Box<dyn Gives<Node>>),
}

impl Node {
    /// Words that are part of the program.
    pub const fn text(words: &'static str) -> Self {
        Self::Text(Cow::Borrowed(words))
    }

    /// Itself: a node is of one type already.
    #[must_use]
    pub fn into_any(self) -> Self {
        self
    }
}

impl From<Element> for Node {
    fn from(element: Element) -> Self {
        Self::Element(element)
    }
}

/// What can stand in a view.
pub trait IntoNode {
    /// As a part of a screen.
    fn into_node(self) -> Node;

    /// As the next part of an element.
    fn put_into(self, around: Element) -> Element
    where
        Self: Sized,
    {
        around.child(self.into_node())
    }
}

impl IntoNode for Node {
    fn into_node(self) -> Node {
        self
    }
}

impl IntoNode for () {
    fn into_node(self) -> Node {
        Node::Empty
    }
}

impl IntoNode for &'static str {
    fn into_node(self) -> Node {
        Node::text(self)
    }

    fn put_into(self, around: Element) -> Element {
        around.text(self)
    }
}

impl IntoNode for String {
    fn into_node(self) -> Node {
        if self.split(' ').any(has_inner_hyphens) {
            return with_whole_words(&self).into();
        }
        Node::Text(Cow::Owned(self))
    }
}

/// The longest that is kept whole: a date or a paper's number, with a bracket or a stop. Twice as
/// large as usual it still fits a small window, which the name of a file would not.
const WHOLE_AT_MOST: usize = 13;

/// Dates and numbers with hyphens in them, which browsers part at a line's end.
fn has_inner_hyphens(word: &str) -> bool {
    let signs = word.as_bytes();
    let between = |signs: &[u8]| matches!(signs, [before, b'-', after] if before.is_ascii_digit() && after.is_ascii_digit());
    signs.len() <= WHOLE_AT_MOST && signs.windows(3).any(between)
}

/// A sentence in which such words stay on one line. Its letters are no others, so that it is copied
/// as it was.
fn with_whole_words(sentence: &str) -> Element {
    let text = |words: &str| Node::Text(Cow::Owned(words.to_owned()));
    let mut line = Element::new("span");
    let mut told = String::new();
    for word in sentence.split_inclusive(' ') {
        let bare = word.trim_end_matches(' ');
        if has_inner_hyphens(bare) {
            let whole = Element::new("span\0class\0whole").child(text(bare));
            line = line.child(text(&told)).child(whole.into());
            told.clear();
            told.push_str(&word[bare.len()..]);
        } else {
            told.push_str(word);
        }
    }
    line.child(text(&told))
}

impl<T: IntoNode> IntoNode for Option<T> {
    fn into_node(self) -> Node {
        self.map_or(Node::Empty, T::into_node)
    }
}

impl<T: IntoNode> IntoNode for Vec<T> {
    fn into_node(self) -> Node {
        Node::Many(self.into_iter().map(T::into_node).collect())
    }
}

impl<T: IntoNode, const N: usize> IntoNode for [T; N] {
    fn into_node(self) -> Node {
        Node::Many(self.into_iter().map(T::into_node).collect())
    }
}

impl<T: IntoNode, F: FnMut() -> T + 'static> IntoNode for F {
    fn into_node(self) -> Node {
        Node::Live(live(self))
    }

    fn put_into(self, around: Element) -> Element {
        around.live(live(self))
    }
}

fn live<T: IntoNode>(mut gives: impl FnMut() -> T + 'static) -> Box<dyn Gives<Node>> {
    Box::new(move || gives().into_node())
}

impl IntoNode for Spoken {
    fn into_node(self) -> Node {
        Node::Spoken(self)
    }

    fn put_into(self, around: Element) -> Element {
        around.spoken(self)
    }
}

impl<T: IntoNode + Clone + 'static> IntoNode for Signal<T> {
    fn into_node(self) -> Node {
        Node::Live(Box::new(move || self.get().into_node()))
    }
}

impl<T: IntoNode + Clone + 'static> IntoNode for Memo<T> {
    fn into_node(self) -> Node {
        Node::Live(Box::new(move || self.get().into_node()))
    }
}

/// Shows a part as long as a condition holds. It is made anew when the condition begins to hold,
/// and left alone while it goes on to.
pub fn when<T: IntoNode>(
    condition: impl Fn() -> bool + 'static,
    mut part: impl FnMut() -> T + 'static,
) -> Node {
    let holds = Memo::new(condition);
    Node::Live(Box::new(move || {
        if holds.get() {
            part().into_node()
        } else {
            Node::Empty
        }
    }))
}
