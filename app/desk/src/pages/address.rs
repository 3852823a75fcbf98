//! Where handsets reach this desk over the network: a part of the page of briefs, which carry it.

use super::answer::Answer;
use super::form::Filled;
use super::parts::token;
use super::visit::Clerk;
use super::{Pages, Place};
use crate::accounts::Right;
use crate::address::set;
use crate::desk::OpenDesk;
use crate::words::{Word, text};
use axum::extract::State;
use axum::response::Response;
use leptos::prelude::*;

/// Keeps what was typed.
pub(super) async fn keep(State(pages): State<Pages>, form_sent: Filled) -> Response {
    let Filled { clerk, fields } = form_sent;
    pages
        .show(clerk, Place::Briefs, move |desk, clerk| {
            clerk.must(Right::Handsets)?;
            set(desk, fields.get("address"))?;
            Ok(Answer::See("/briefs".to_owned()))
        })
        .await
}

/// The part of the page.
pub(super) fn form(desk: &OpenDesk, clerk: &Clerk) -> AnyView {
    let say = |word| text(clerk.language(), word);
    let known = desk.desk.address.as_ref().map(ToString::to_string);
    if !clerk.may(Right::Handsets) {
        return ().into_any();
    }
    view! {
        <h2 id="address-part">{say(Word::BriefsAddress)}</h2>
        <p>{say(Word::BriefsAddressWhat)}</p>
        <form method="post" action="/address" class="sheet">
            {token(clerk)}
            <p class="field">
                <label for="address">{say(Word::BriefsAddressLike)}</label>
                <input
                    id="address"
                    name="address"
                    type="url"
                    inputmode="url"
                    autocomplete="off"
                    maxlength="255"
                    value=known
                />
            </p>
            <p><button type="submit">{say(Word::BriefsAddressKeep)}</button></p>
        </form>
    }
    .into_any()
}
