//! Decision with its grounds, the price, and the issue.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Decision() -> impl IntoView {}
