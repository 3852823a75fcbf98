//! Words of the program that stand on the page, in one list: an effect for each of them would be a task
//! and an owner of its own, all for a change of language that hardly ever comes.

use super::dom;
use crate::set::Spoken;
use std::cell::RefCell;

/// How words are put where they stand.
type Say = Box<dyn Fn(&'static str)>;

thread_local! {
    static SAID: RefCell<List> = const { RefCell::new(List { all: Vec::new(), free: Vec::new() }) };
}

struct List {
    all: Vec<Option<(Say, Spoken)>>,
    /// Places of it that are empty.
    free: Vec<usize>,
}

/// Words as long as they stand there.
pub(super) struct Saying(usize);

impl Saying {
    pub(super) fn of_text(text: dom::Node, spoken: Spoken) -> Self {
        let say = move |words| text.set_node_value(Some(words));
        Self::by(Box::new(say), spoken)
    }

    pub(super) fn by(say: Say, spoken: Spoken) -> Self {
        let saying = Some((say, spoken));
        SAID.with_borrow_mut(|list| {
            if let Some(place) = list.free.pop() {
                list.all[place] = saying;
                return Self(place);
            }
            list.all.push(saying);
            Self(list.all.len() - 1)
        })
    }

    /// Says other words in its place.
    pub(super) fn becomes(&self, spoken: Spoken) {
        SAID.with_borrow_mut(|list| {
            let Some((say, before)) = &mut list.all[self.0] else {
                return;
            };
            let words = spoken.now();
            if before.now() != words {
                say(words);
            }
            *before = spoken;
        });
    }
}

impl Drop for Saying {
    fn drop(&mut self) {
        SAID.with_borrow_mut(|list| {
            list.all[self.0] = None;
            list.free.push(self.0);
        });
    }
}

/// Says all words on the page again, in the language that the page speaks from now on.
pub fn speak_anew() {
    SAID.with_borrow(|list| {
        for (say, spoken) in list.all.iter().flatten() {
            say(spoken.now());
        }
    });
}
