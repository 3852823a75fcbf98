//! Point counts of the comb.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Comb() -> impl IntoView {}
