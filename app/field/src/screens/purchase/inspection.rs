//! Container, hygiene and senses.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Inspection() -> impl IntoView {}
