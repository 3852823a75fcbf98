//! Who brings the delivery: a member from the brief, or a new one.

use super::Bench;
use super::fields::line;
use crate::draft::Bringer;
use crate::handset::{Handset, Refused};
use crate::speech::{fill, say};
use crate::trouble::of_refused;
use combgate_core::record::{EntryBody, MemberRegisteredV1};
use combgate_core::units::{Code, Label};
use combgate_ui::words::{Phrase, Word};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Most members shown at once.
const SHOWN: usize = 20;

/// A member who can be chosen.
#[derive(Clone, PartialEq)]
struct Candidate {
    number: Code,
    name: Label,
    village: Option<Label>,
}

impl Candidate {
    fn shown(&self) -> String {
        let village = self.village.as_ref().map_or("", Label::as_str);
        let comma = if village.is_empty() { "" } else { ", " };
        format!("{} {}{comma}{village}", self.number, self.name)
    }

    fn is_meant_by(&self, wanted: &str) -> bool {
        self.shown().to_lowercase().contains(wanted)
    }
}

/// The step.
#[component]
pub fn Member(
    /// What to work with.
    bench: Bench,
) -> impl IntoView {
    move || {
        let chosen = bench.draft.with(|draft| draft.member.clone());
        if let Some(member) = chosen {
            let shown = format!("{} {}", member.number, member.name);
            view! {
                <p class="notice">{move || fill(Phrase::PurchaseChosen { member: &shown })}</p>
                <button
                    type="button"
                    on:click=move |_| bench.draft.update(|draft| draft.member = None)
                >
                    {say(Word::PurchaseChange)}
                </button>
            }
            .into_any()
        } else {
            view! { <Search bench/> <Register bench/> }.into_any()
        }
    }
}

#[component]
fn Search(bench: Bench) -> impl IntoView {
    let wanted = RwSignal::new(String::new());
    let registered = RwSignal::new(Vec::<Candidate>::new());
    let handset = bench.handset;
    spawn_local(async move {
        // Without them the register of the brief is still there to be searched.
        let _ = registered.try_set(registered_here(handset).await.unwrap_or_default());
    });
    let found = move || {
        let wanted = wanted.get().trim().to_lowercase();
        let mut all = bench.brief.with_value(|brief| {
            brief
                .payload()
                .members
                .iter()
                .map(|member| Candidate {
                    number: member.number.clone(),
                    name: member.name.clone(),
                    village: member.village.clone(),
                })
                .filter(|member| member.is_meant_by(&wanted))
                .collect::<Vec<_>>()
        });
        let here = registered.get();
        all.extend(
            here.into_iter()
                .filter(|member| member.is_meant_by(&wanted)),
        );
        all
    };
    let results = move || {
        let found = found();
        if found.is_empty() {
            return view! { <p class="hint">{say(Word::PurchaseNoneFound)}</p> }.into_any();
        }
        let more = found.len().saturating_sub(SHOWN);
        let more = (more > 0).then(|| {
            let count = more.to_string();
            view! { <p class="hint">{fill(Phrase::PurchaseMore { count: &count })}</p> }
        });
        let buttons: Vec<_> = found
            .into_iter()
            .take(SHOWN)
            .map(|member| {
                let shown = member.shown();
                let bringer = Bringer {
                    number: member.number,
                    name: member.name.to_string(),
                };
                let choose = move |_| {
                    let bringer = bringer.clone();
                    bench.draft.update(|draft| draft.member = Some(bringer));
                };
                view! { <button type="button" on:click=choose>{shown}</button> }
            })
            .collect();
        view! { <div class="choices">{buttons}</div> {more} }.into_any()
    };
    view! {
        {line(
            "member-search".to_owned(),
            "search",
            move || say(Word::PurchaseSearch)().to_owned(),
            move || wanted.get(),
            move |typed| wanted.set(typed),
        )}
        <div role="status">{results}</div>
    }
}

/// Members that this handset put on the register; the brief may not know them yet.
async fn registered_here(handset: Handset) -> Result<Vec<Candidate>, Refused> {
    let known: Vec<Code> = untrack(|| handset.brief()).map_or_else(Vec::new, |brief| {
        let members = brief.payload().members.iter();
        members.map(|member| member.number.clone()).collect()
    });
    let entries = handset.entries().await?;
    Ok(entries
        .iter()
        .filter_map(|entry| match entry.body() {
            EntryBody::MemberRegistered(member) if !known.contains(&member.member) => {
                Some(Candidate {
                    number: member.member.clone(),
                    name: member.name.clone(),
                    village: member.village.clone(),
                })
            }
            _ => None,
        })
        .collect())
}

#[component]
fn Register(bench: Bench) -> impl IntoView {
    let (name, village) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (consent, busy) = (RwSignal::new(false), RwSignal::new(false));
    let problem = RwSignal::new(None::<Word>);
    let register = move |_| {
        if busy.get_untracked() {
            return;
        }
        if !consent.get_untracked() {
            problem.set(Some(Word::PurchaseConsentNeeded));
            return;
        }
        let body = new_member(bench, &name.get_untracked(), &village.get_untracked());
        let Some(body) = body else {
            problem.set(Some(Word::PurchaseImpossible));
            return;
        };
        let bringer = Bringer {
            number: body.member.clone(),
            name: body.name.to_string(),
        };
        busy.set(true);
        problem.set(None);
        spawn_local(async move {
            let added = bench
                .handset
                .add(EntryBody::MemberRegistered(Box::new(body)))
                .await;
            busy.try_set(false);
            match added {
                Ok(_) => {
                    bench.draft.try_update(|draft| draft.member = Some(bringer));
                }
                Err(refused) => {
                    problem.try_set(Some(of_refused(&refused)));
                }
            }
        });
    };
    view! {
        <h2>{say(Word::PurchaseRegister)}</h2>
        {line(
            "member-name".to_owned(),
            "text",
            move || say(Word::PurchaseName)().to_owned(),
            move || name.get(),
            move |typed| name.set(typed),
        )}
        {line(
            "member-village".to_owned(),
            "text",
            move || say(Word::PurchaseVillage)().to_owned(),
            move || village.get(),
            move |typed| village.set(typed),
        )}
        <label class="choice">
            <input
                type="checkbox"
                prop:checked=move || consent.get()
                on:change=move |event| consent.set(event_target_checked(&event))
            />
            <span>{say(Word::PurchaseConsent)}</span>
        </label>
        {move || problem.get().map(|word| {
            view! { <p class="problem" role="alert">{say(word)}</p> }
        })}
        <div class="actions">
            <button type="button" disabled=move || busy.get() on:click=register>
                {say(Word::PurchaseRegisterNow)}
            </button>
        </div>
    }
}

/// `None` where name or village cannot stand on the register.
fn new_member(bench: Bench, name: &str, village: &str) -> Option<MemberRegisteredV1> {
    let place = untrack(|| bench.handset.standing())
        .members_registered
        .checked_add(1)?;
    let number = bench.brief.with_value(|brief| {
        let handset = &brief.payload().handset.code;
        Code::new(&format!("{handset}-N{place}"))
    });
    Some(MemberRegisteredV1 {
        member: number.ok()?,
        name: Label::new(name).ok()?,
        village: match village.trim() {
            "" => None,
            typed => Some(Label::new(typed).ok()?),
        },
        phone: None,
        consent: true,
    })
}
