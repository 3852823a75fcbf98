//! Moisture readings.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Moisture() -> impl IntoView {}
