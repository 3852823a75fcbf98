//! The frame of a screen about one receipt: it is read, and then something is asked about it.

use super::inputs::trouble;
use crate::handset::{Handset, handset};
use crate::route::Route;
use crate::speech::say;
use crate::trouble::of_refused;
use combgate_core::record::ReceiptV1;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, Node, RwSignal, view};
use leptos::task::spawn_local;

/// The screen of the receipt at a place in the journal, with the way back to it.
pub fn of_receipt(
    seq: u32,
    title: Word,
    asked: impl Fn(Handset, &ReceiptV1) -> Node + 'static,
) -> Node {
    let handset = handset();
    let found = RwSignal::new(None::<Result<ReceiptV1, Word>>);
    spawn_local(async move {
        let receipt = handset.receipt(seq).await;
        found.set(Some(receipt.map_err(|refused| of_refused(&refused))));
    });
    let body = move || {
        Some(match found.get()? {
            Err(word) => trouble(say(word)),
            Ok(receipt) => asked(handset, &receipt),
        })
    };
    let back = Route::Receipt(seq).href();
    view! {
        <h1>{say(title)}</h1>
        {body}
        <div class="actions">
            <a class="button" href=back>{say(Word::ActionBack)}</a>
        </div>
    }
    .into_node()
}
