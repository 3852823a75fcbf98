//! Bees and product form; everything after depends on them.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Product() -> impl IntoView {}
