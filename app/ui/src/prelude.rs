//! What views are made of: on the phone nodes of one type, which are small; on the desk Leptos's
//! own, which become HTML. `view!` is written the same for both.

#[cfg(feature = "csr")]
pub use combgate_view::{IntoNode, Node, view};
// `view!` calls methods of many traits of Leptos.
#[cfg(not(feature = "csr"))]
pub use leptos::prelude::{AnyView as Node, *};

/// What can stand in a view.
#[cfg(not(feature = "csr"))]
pub trait IntoNode {
    /// As a part of a page.
    fn into_node(self) -> Node;
}

#[cfg(not(feature = "csr"))]
impl<T: leptos::prelude::IntoAny> IntoNode for T {
    fn into_node(self) -> Node {
        self.into_any()
    }
}
