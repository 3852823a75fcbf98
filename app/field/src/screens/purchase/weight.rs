//! Gross, tare, net.

use leptos::prelude::*;

/// The step.
#[component]
pub fn Weight() -> impl IntoView {}
