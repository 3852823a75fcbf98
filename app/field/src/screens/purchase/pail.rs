//! The container: number, tare, seal.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Pail() -> impl IntoView {}
