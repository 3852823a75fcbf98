//! Who brings the delivery: a member from the brief, or a new one.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Member() -> impl IntoView {}
