//! One entry: its paper as the member has it, what was found in it, and the signed text.

use super::answer::{Answer, Sheet, Trouble};
use super::asked::Path;
use super::parts::weight;
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::desk::OpenDesk;
use crate::enrol::known;
use crate::entry::signed_text;
use crate::findings::{LookedAt, of_handset, opening_before};
use crate::keys::DeskCheck;
use crate::statement::later_payments;
use crate::store::{Handset, Journals, Office, Papers, SqliteStore, StoreError};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::record::{DayOpenedV1, EntryBody, ParsedEntry};
use combgate_core::units::Code;
use combgate_ui::paper::{self, Around, Paper, Undone, when};
use leptos::prelude::*;

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Path((handset, seq)): Path<(String, u64)>,
) -> Response {
    pages
        .show(clerk, Place::Days, move |desk, clerk| {
            let handset = known(&desk.store, &handset).map_err(|_| Trouble::Nowhere)?;
            let entry = desk
                .store
                .booked_among(&handset.code, seq..=seq)?
                .pop()
                .ok_or(Trouble::Nowhere)?;
            let found: Vec<LookedAt> = of_handset(&desk.store, &DeskCheck, &handset)?
                .into_iter()
                .filter(|each| each.finding.seq == seq)
                .collect();
            Ok(Answer::Sheet(sheet(clerk, desk, &handset, &entry, &found)?))
        })
        .await
}

fn sheet(
    clerk: &Clerk,
    desk: &OpenDesk,
    handset: &Handset,
    entry: &ParsedEntry,
    found: &[LookedAt],
) -> Result<Sheet, StoreError> {
    let language = clerk.language();
    let say = |word| text(language, word);
    let seq = entry.seq().to_string();
    let kind = say(names::kind(entry.body().kind()));
    let around = around(desk, handset, entry)?;
    let paper = Paper::of(entry.body())
        .zip(around)
        .map(|(of, around)| paper::paper(language, of, &around));
    let officer = officer(&desk.store, handset, entry)?;
    let written = when(&entry.at().to_rfc3339());
    let day = crate::store::filed_under(entry.body());
    let findings: Vec<_> = found
        .iter()
        .map(|each| {
            view! {
                <li>
                    {weight(language, each.finding.weight)}
                    " "
                    <a href=format!("/findings/{}", each.id())>
                        {say(names::title(&each.finding.code))}
                    </a>
                </li>
            }
        })
        .collect();
    let hash = entry.hash().to_string();
    let body = view! {
        <p>
            {phrase(
                language,
                Phrase::EntryOf {
                    handset: handset.code.as_str(),
                    seq: &seq,
                    when: &written,
                    officer: &officer,
                },
            )}
        </p>
        {day
            .map(|day| {
                view! {
                    <p>
                        <a href=format!("/days/{day}")>
                            {phrase(language, Phrase::DayOf { day: &day.to_string() })}
                        </a>
                    </p>
                }
            })}
        {if findings.is_empty() {
            view! { <p class="notice good">{say(Word::EntryNothing)}</p> }.into_any()
        } else {
            view! { <ul class="notice bad lines">{findings}</ul> }.into_any()
        }}
        {paper.map(|paper| view! { <div class="paper-frame">{paper}</div> })}
        <details open=!matches!(entry.body(), EntryBody::Receipt(_) | EntryBody::Slip(_))>
            <summary>{say(Word::EntrySigned)}</summary>
            <p>{phrase(language, Phrase::EntryDigest { digest: &hash })}</p>
            <pre class="bytes" tabindex="0">{payload(entry)}</pre>
        </details>
    };
    Ok(Sheet {
        title: phrase(language, Phrase::EntryTitle { kind, seq: &seq }),
        body: body.into_any(),
    })
}

/// The signed text, laid out to be read.
fn payload(entry: &ParsedEntry) -> String {
    signed_text(entry)
        .and_then(|text| serde_json::to_string_pretty(&text).ok())
        .unwrap_or_else(|| entry.compact().to_owned())
}

/// How the day began that the entry belongs to.
fn opening(
    store: &SqliteStore,
    handset: &Handset,
    entry: &ParsedEntry,
) -> Result<Option<DayOpenedV1>, StoreError> {
    let opening = opening_before(store, &handset.code, entry.seq().saturating_add(1))?;
    Ok(opening.and_then(|opening| match opening.body() {
        EntryBody::DayOpened(opened) => Some(DayOpenedV1::clone(opened)),
        _ => None,
    }))
}

/// Who opened the day that the entry belongs to.
fn officer(
    store: &SqliteStore,
    handset: &Handset,
    entry: &ParsedEntry,
) -> Result<String, StoreError> {
    let opening = opening(store, handset, entry)?;
    Ok(opening.map_or_else(
        || handset.name.to_string(),
        |opened| opened.officer.to_string(),
    ))
}

/// How a receipt was cancelled, if it was.
fn undone(
    store: &SqliteStore,
    handset: &Handset,
    entry: &ParsedEntry,
) -> Result<Option<Undone>, StoreError> {
    let paper = store.paper(&handset.code, entry.seq())?;
    let Some(cancelled_by) = paper.and_then(|paper| paper.cancelled_by) else {
        return Ok(None);
    };
    let cancellation = store.booked_among(&handset.code, cancelled_by..=cancelled_by)?;
    Ok(cancellation.first().and_then(|entry| match entry.body() {
        EntryBody::Cancellation(undone) => Some(Undone {
            day: undone.day.to_string(),
            reason: undone.reason.to_string(),
            replaced_by: None,
        }),
        _ => None,
    }))
}

/// What stands on a paper besides the signed record, once it is known who buys.
fn around(
    desk: &OpenDesk,
    handset: &Handset,
    entry: &ParsedEntry,
) -> Result<Option<Around>, StoreError> {
    let store = &desk.store;
    let officer = officer(store, handset, entry)?;
    let member = match Paper::of(entry.body()) {
        Some(paper) => named(store, handset, paper.member())?,
        None => String::new(),
    };
    let scale = opening(store, handset, entry)?.and_then(|opened| opened.scale);
    let undone = undone(store, handset, entry)?;
    let payments = later_payments(store, &handset.code, entry.seq())?;
    Ok(desk.desk.cooperative.clone().map(|cooperative| Around {
        cooperative,
        member,
        officer,
        when: when(&entry.at().to_rfc3339()),
        scale: scale.map(|scale| scale.id.to_string()),
        // The handset signs it for the member; the desk has no such signature to show.
        stub: None,
        payments,
        undone,
        short_code: paper::short_code(&entry.hash()),
    }))
}

/// Number and name, as far as the register knows.
fn named(store: &SqliteStore, handset: &Handset, number: &Code) -> Result<String, StoreError> {
    let member = store.member_seen_by(&handset.code, number)?;
    Ok(match member {
        Some(member) => format!("{number}, {}", member.name),
        None => number.to_string(),
    })
}
