//! The phone's views, of one type each.
//!
//! Leptos makes a type of its own of every element, attribute and closure on a screen, with code to
//! build, change and remove it: most of a small program. Here an element is data, and one piece of
//! code, [`show`], puts all of them on the page. [`signals`] keep Leptos's own in one type, for the same
//! reason; `view!` is written as there.
//!
//! A closure in a view is followed: when a signal that it reads changes, it runs again, and what it
//! gives is compared with what is shown. What is alike stays, with its focus and what was typed.

mod closure;
mod element;
mod node;
mod set;
mod show;
pub mod signals;

pub use closure::{Gives, Hears};
pub use combgate_view_syntax::view;
pub use element::{Element, Kind, listener};
pub use node::{IntoNode, Node, when};
pub use set::{IntoSetting, Setting, Spoken, Value};
pub use show::{Mounted, begin, mount, mount_to_body, speak_anew};
pub use signals::{Memo, RwSignal, Signal, StoredValue, effect, seldom, untrack};

/// What a browser sends to those who listen.
pub mod event {
    #![allow(
        non_camel_case_types,
        reason = "they are named as they are listened to"
    )]
    pub use web_sys::{Event as blur, Event as change, Event as input, Event as toggle};
    pub use web_sys::{MouseEvent as click, SubmitEvent as submit};
}
