//! A receipt or slip, for the farmer alone: nothing here leads to another member's data.

pub mod ways;

use super::cancel::way_to_cancel;
use super::pay::way_to_pay;
use crate::handset::{Handset, Papers, Refused, handset};
use crate::route::Route;
use crate::speech::{language, say};
use crate::trouble::of_refused;
use combgate_core::record::{
    CooperativeV1, DayOpenedV1, EntryBody, ParsedEntry, ReceiptNumber, ScaleCardV1,
};
use combgate_ui::paper::{self, Around, Paper, Undone};
use combgate_ui::sentences;
use combgate_ui::words::{Language, Word};
use combgate_view::{IntoNode, Memo, Node, RwSignal, StoredValue, view};
use leptos::prelude::*;
use leptos::task::spawn_local;
use ways::ways;

/// A paper with all that stands on it.
#[derive(Clone)]
struct Found {
    entry: ParsedEntry,
    around: Around,
    /// The language that the member's register names.
    of_member: Option<Language>,
}

/// The screen.
pub fn receipt(seq: u32) -> impl IntoNode {
    let handset = handset();
    let found = RwSignal::new(None::<Result<Found, Word>>);
    spawn_local(async move {
        let outcome = find(handset, seq).await;
        found.set(Some(outcome));
    });
    let chosen = RwSignal::new(None::<Language>);
    let shown = move || match found.get()? {
        Err(word) => Some(said(word)),
        Ok(found) => Some(with_ways(found, chosen)),
    };
    let done = Route::Today.href();
    view! {
        {shown}
        <div class="actions">
            <a class="button primary" href=done>{say(Word::PaperDone)}</a>
            {way_to_pay(handset, seq)}
            {way_to_cancel(handset, seq)}
        </div>
    }
}

fn said(word: Word) -> Node {
    view! {
        <h1>{say(Word::ReceiptTitle)}</h1>
        <p class="notice care" role="alert">{say(word)}</p>
    }
    .into_node()
}

/// The paper in the language chosen for it, else the member's, else the officer's.
fn with_ways(found: Found, chosen: RwSignal<Option<Language>>) -> Node {
    let of_member = found.of_member;
    let shown_in = Memo::new(move || chosen.get().or(of_member).unwrap_or_else(language));
    let found = StoredValue::new(found);
    let on_paper = move || {
        found.with_value(|found| {
            Paper::of(found.entry.body())
                .map(|paper| paper::paper(shown_in.get(), paper, &found.around))
        })
    };
    let told = Callback::new(move |()| {
        found.with_value(|found| {
            Paper::of(found.entry.body()).map_or_else(Vec::new, |paper| {
                paper::told::sentences(shown_in.get_untracked(), paper, &found.around)
            })
        })
    });
    let (number, stub) = found.with_value(|found| {
        let number = Paper::of(found.entry.body()).map(|paper| paper.number().to_string());
        (number.unwrap_or_default(), found.around.stub.clone())
    });
    view! {
        {on_paper}
        {ways(shown_in, chosen, told, number, stub)}
    }
    .into_node()
}

/// The paper, what else stands on it, and its code, signed before anybody sees it.
async fn find(handset: Handset, seq: u32) -> Result<Found, Word> {
    let refused = |refused: Refused| of_refused(&refused);
    let entry = handset.entry(seq).await.map_err(refused)?;
    let entry = entry.ok_or(Word::PaperNotFound)?;
    let paper = Paper::of(entry.body()).ok_or(Word::PaperNotFound)?;
    let brief = handset.brief().ok_or(Word::PurchaseNoBrief)?;
    handset.read_papers(seq).await.map_err(refused)?;
    let member = paper.member();
    let mut name = name_of(handset, &entry);
    if name.is_empty() {
        // Put down by this handset, before the entries that were read so far.
        handset.read_papers(1).await.map_err(refused)?;
        name = name_of(handset, &entry);
    }
    let opened = opened(handset, &entry).await.map_err(refused)?;
    let of_member = handset
        .register()
        .member(member)
        .and_then(|known| known.language)
        .and_then(|tag| Language::from_tag(tag.as_str()));
    let scale = opened.as_ref().and_then(|opened| opened.scale.as_ref());
    let around = Around {
        cooperative: CooperativeV1::clone(&brief.payload().cooperative),
        member: sentences::member(member, &name),
        officer: opened
            .as_ref()
            .map_or_else(String::new, |opened| opened.officer.to_string()),
        when: paper::when(&entry.at().to_rfc3339()),
        short_code: paper::short_code(&entry.hash()),
        scale: scale.map(name_of_scale),
        // Without it the paper says so, and the short code holds.
        stub: handset.stub(seq, &entry).await.ok(),
        payments: handset
            .papers()
            .with_untracked(|papers| papers.payments(paper.number()).cloned().collect()),
        undone: handset
            .papers()
            .with_untracked(|papers| undone(papers, paper.number())),
    };
    Ok(Found {
        entry,
        around,
        of_member,
    })
}

/// Its number, with the authority's sticker where it bears one.
fn name_of_scale(scale: &ScaleCardV1) -> String {
    scale.sticker.as_ref().map_or_else(
        || scale.id.to_string(),
        |sticker| format!("{} / {sticker}", scale.id),
    )
}

fn name_of(handset: Handset, entry: &ParsedEntry) -> String {
    Paper::of(entry.body()).map_or_else(String::new, |paper| {
        let member = paper.member();
        let names = handset.names_of(std::iter::once(member));
        names.of(member).to_owned()
    })
}

/// The opening of the day that the paper counts on.
async fn opened(handset: Handset, entry: &ParsedEntry) -> Result<Option<DayOpenedV1>, Refused> {
    let Some(paper) = Paper::of(entry.body()) else {
        return Ok(None);
    };
    let day = handset.day(paper.day()).await?;
    Ok(day.iter().find_map(|each| match each.body() {
        EntryBody::DayOpened(opened) if opened.day == paper.day() => {
            Some(DayOpenedV1::clone(opened))
        }
        _ => None,
    }))
}

fn undone(papers: &Papers, number: &ReceiptNumber) -> Option<Undone> {
    papers.undone(number).map(|undone| Undone {
        day: undone.day.to_string(),
        reason: undone.reason.to_string(),
        replaced_by: papers.replaced_by(number).cloned(),
    })
}
