//! Pieces that pages share.

use super::form::TOKEN;
use super::names;
use super::visit::Clerk;
use crate::words::text;
use combgate_core::clerk::FindingWeight;
use combgate_core::units::Currency;
use combgate_ui::figures;
use combgate_ui::words::Language;
use leptos::prelude::*;

/// What binds a form to its session; the first field of every form.
pub(super) fn token(clerk: &Clerk) -> AnyView {
    let token = clerk.token.clone();
    view! { <input type="hidden" name=TOKEN value=token/> }.into_any()
}

/// A weight: a cell of a comb, full, half or empty, and a word. Never a colour alone.
pub(super) fn weight(language: Language, weight: FindingWeight) -> AnyView {
    let (class, inside) = match weight {
        FindingWeight::Serious => ("weight serious", "M12 2l8.7 5v10L12 22l-8.7-5V7z"),
        FindingWeight::Question => ("weight question", "M3.3 12h17.4v5L12 22l-8.7-5z"),
        FindingWeight::Note => ("weight note", ""),
    };
    let word = text(language, names::weight(weight));
    view! {
        <span class=class>
            <svg viewBox="0 0 24 24" width="20" height="20" aria-hidden="true">
                <path class="inside" d=inside></path>
                <path class="outline" d="M12 2l8.7 5v10L12 22l-8.7-5V7z"></path>
            </svg>
            {word}
        </span>
    }
    .into_any()
}

/// Money with its currency before it.
pub(super) fn money(minor: i64, currency: Option<Currency>) -> String {
    match currency {
        Some(currency) => combgate_ui::sentences::money(minor, currency),
        None => figures::money(minor, 0),
    }
}
