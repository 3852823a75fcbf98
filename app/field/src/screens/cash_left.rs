//! What a payment leaves of the float, before it is made.

use crate::speech::fill;
use combgate_core::record::{Means, OpenDay};
use combgate_core::units::Currency;
use combgate_ui::sentences;
use combgate_ui::words::Phrase;
use combgate_view::{IntoNode, Node, view};

/// What is left after so much is paid, in minor units; a warning where the float does not reach.
pub fn cash_left(open: &OpenDay, currency: Currency, paid_minor: i64, means: Means) -> Node {
    let after = open.cash_after(paid_minor, means);
    if means == Means::Cash && paid_minor > 0 && after < 0 {
        let amount = sentences::money(open.cash_minor.max(0), currency);
        let words = move || fill(Phrase::PurchaseCashShort { amount: &amount });
        return view! { <p class="notice trouble" role="alert">{words}</p> }.into_node();
    }
    let amount = sentences::money(after, currency);
    let words = move || fill(Phrase::PurchaseCashAfter { amount: &amount });
    view! { <p data-figure="cash-after">{words}</p> }.into_node()
}
