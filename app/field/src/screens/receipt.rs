//! A receipt or slip, for the farmer alone: nothing here leads to another member's data.

use super::cancel::{Fate, WayToCancel};
use crate::handset::{Handset, Refused, handset};
use crate::route::Route;
use crate::speech::{language, say};
use crate::trouble::of_refused;
use combgate_core::record::{Brief, EntryBody, ParsedEntry};
use combgate_core::units::{Code, Label};
use combgate_ui::paper::{self, Around};
use combgate_ui::words::{Language, Word};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Characters of the entry's hash that stand on the paper.
const SHORT_CODE: usize = 8;

/// An entry with what else its paper needs from the journal.
#[derive(Clone)]
struct Found {
    entry: ParsedEntry,
    officer: String,
    registered: Option<Label>,
}

/// The screen.
#[component]
pub fn Receipt(
    /// The entry's place in the journal.
    seq: u32,
) -> impl IntoView {
    let handset = handset();
    let found = RwSignal::new(None::<Result<Option<Found>, Word>>);
    spawn_local(async move {
        let outcome = find(handset, seq).await;
        found.try_set(Some(outcome.map_err(|refused| of_refused(&refused))));
    });
    let shown = move || {
        let found = found.get()?;
        Some(match (found, handset.brief()) {
            (Err(word), _) => said(word),
            (Ok(None), _) => said(Word::PaperNotFound),
            (Ok(Some(_)), None) => said(Word::PurchaseNoBrief),
            (Ok(Some(found)), Some(brief)) => paper_of(&found, &brief),
        })
    };
    let done = Route::Today.href();
    view! {
        <Fate handset seq/>
        {shown}
        <div class="actions">
            <a class="button primary" href=done>{say(Word::PaperDone)}</a>
            <WayToCancel handset seq/>
        </div>
    }
}

fn said(word: Word) -> AnyView {
    view! {
        <h1>{say(Word::ReceiptTitle)}</h1>
        <p class="notice care" role="alert">{say(word)}</p>
    }
    .into_any()
}

fn paper_of(found: &Found, brief: &Brief) -> AnyView {
    let Some(member) = member_of(found.entry.body()) else {
        return said(Word::PaperNotFound);
    };
    let known = brief
        .payload()
        .members
        .iter()
        .find(|each| each.number == *member);
    let name = known
        .map(|each| &each.name)
        .or(found.registered.as_ref())
        .map_or("", Label::as_str);
    let hash = found.entry.hash().to_string();
    let around = Around {
        cooperative: brief.payload().cooperative.clone(),
        member: format!("{member} {name}").trim_end().to_owned(),
        officer: found.officer.clone(),
        when: paper::when(&found.entry.at().to_rfc3339()),
        short_code: hash.chars().take(SHORT_CODE).collect(),
    };
    let of_member = known
        .and_then(|each| each.language.as_ref())
        .and_then(|tag| Language::from_tag(tag.as_str()));
    let language = of_member.unwrap_or_else(language);
    match found.entry.body() {
        EntryBody::Receipt(receipt) => paper::receipt(language, receipt, &around),
        EntryBody::Slip(slip) => paper::slip(language, slip, &around),
        _ => said(Word::PaperNotFound),
    }
}

fn member_of(body: &EntryBody) -> Option<&Code> {
    match body {
        EntryBody::Receipt(receipt) => Some(&receipt.member),
        EntryBody::Slip(slip) => Some(&slip.member),
        _ => None,
    }
}

/// The entry, the officer of its day, and the member's name if this handset put it down.
async fn find(handset: Handset, seq: u32) -> Result<Option<Found>, Refused> {
    let mut before = handset.entries().await?;
    before.retain(|entry| entry.seq() <= u64::from(seq));
    let Some(entry) = before.pop().filter(|entry| entry.seq() == u64::from(seq)) else {
        return Ok(None);
    };
    let officer = before.iter().rev().find_map(|each| match each.body() {
        EntryBody::DayOpened(opened) => Some(opened.officer.to_string()),
        _ => None,
    });
    let member = member_of(entry.body());
    let registered = before.iter().find_map(|each| match each.body() {
        EntryBody::MemberRegistered(new) if Some(&new.member) == member => Some(new.name.clone()),
        _ => None,
    });
    Ok(Some(Found {
        officer: officer.unwrap_or_default(),
        registered,
        entry,
    }))
}
