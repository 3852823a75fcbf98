//! A delivery, step by step: who and what first, then what is found, then what follows from it.

pub mod comb;
pub mod decision;
pub mod fields;
pub mod inspection;
pub mod member;
pub mod moisture;
pub mod pail;
pub mod product;
pub mod weight;

use crate::draft::{Draft, Pending};
use crate::handset::{Handset, Refused, handset};
use crate::platform::address;
use crate::platform::drafts::{self, DraftError, Kind};
use crate::route::{Route, Step};
use crate::speech::{fill, language, say};
use crate::trouble;
use combgate_core::record::{AssessmentV1, Brief, OpenDay};
use combgate_ui::words::{Phrase, Word};
use combgate_ui::{paper, sentences};
use leptos::prelude::*;
use std::sync::Arc;

/// What every step works with; cheap to copy.
#[derive(Clone, Copy)]
pub struct Bench {
    /// The handset.
    pub handset: Handset,
    /// The draft, kept at every change.
    pub draft: RwSignal<Draft>,
    /// The brief in hand.
    pub brief: StoredValue<Arc<Brief>>,
    /// The day that is open.
    pub open: StoredValue<OpenDay>,
    /// What comes of the draft as it stands.
    pub assessed: Memo<Result<AssessmentV1, Pending>>,
}

impl Bench {
    fn over(handset: Handset, brief: Arc<Brief>, open: OpenDay, draft: Draft) -> Self {
        let draft = RwSignal::new(draft);
        let (brief, open) = (StoredValue::new(brief), StoredValue::new(open));
        let assessed = Memo::new(move |_| {
            brief
                .with_value(|brief| {
                    open.with_value(|open| draft.with(|draft| draft.judged(brief, open)))
                })
                .map(|(_, assessment)| assessment)
        });
        Self {
            handset,
            draft,
            brief,
            open,
            assessed,
        }
    }
}

/// The screen, at one step.
#[component]
pub fn Purchase(
    /// Which step.
    step: Step,
) -> impl IntoView {
    let handset = handset();
    // Looked at once a step: a member registered on the way must not begin the step anew.
    let (brief, open) = untrack(|| (handset.brief(), handset.standing().open));
    let Some(brief) = brief else {
        return stop(Word::PurchaseNoBrief);
    };
    let Some(open) = open else {
        return stop(Word::DayNotOpen);
    };
    let draft = match Draft::resume() {
        Ok(kept) => kept.or_else(Draft::begin),
        Err(error @ DraftError::Unreadable(_)) => {
            return view! { {stop(trouble::of_draft(&error))} <GiveUp/> }.into_any();
        }
        Err(error) => return stop(trouble::of_draft(&error)),
    };
    let Some(draft) = draft else {
        return stop(trouble::of_refused(&Refused::NoClock));
    };
    let bench = Bench::over(handset, brief, open, draft);
    let unsaved = RwSignal::new(None::<Word>);
    // Nothing is kept before anything was entered.
    Effect::new(move |looked_before: Option<()>| {
        let draft = bench.draft.get();
        if looked_before.is_some() {
            let kept = drafts::save(Kind::Delivery, &draft);
            unsaved.set(kept.err().map(|error| trouble::of_draft(&error)));
        }
    });
    view! {
        <Place step/>
        <Whose bench/>
        {part(step, bench)}
        {move || unsaved.get().map(|word| {
            view! { <p class="notice trouble" role="alert">{say(word)}</p> }
        })}
        <Strip bench/>
        <Ways step/>
        <GiveUp/>
    }
    .into_any()
}

fn part(step: Step, bench: Bench) -> AnyView {
    match step {
        Step::Member => view! { <member::Member bench/> }.into_any(),
        Step::Product => view! { <product::Product bench/> }.into_any(),
        Step::Pail => view! { <pail::Pail bench/> }.into_any(),
        Step::Inspection => view! { <inspection::Inspection bench/> }.into_any(),
        Step::Comb => view! { <comb::Comb bench/> }.into_any(),
        Step::Moisture => view! { <moisture::Moisture bench/> }.into_any(),
        Step::Weight => view! { <weight::Weight bench/> }.into_any(),
        Step::Decision => view! { <decision::Decision bench/> }.into_any(),
    }
}

fn stop(word: Word) -> AnyView {
    view! {
        <h1>{say(Word::PurchaseTitle)}</h1>
        <p class="notice care" role="alert">{say(word)}</p>
    }
    .into_any()
}

fn place_of(step: Step) -> usize {
    Step::ALL
        .into_iter()
        .position(|each| each == step)
        .unwrap_or(0)
}

#[component]
fn Place(step: Step) -> impl IntoView {
    let (number, count) = (
        (place_of(step) + 1).to_string(),
        Step::ALL.len().to_string(),
    );
    view! {
        <p>{move || fill(Phrase::PurchaseStep { number: &number, count: &count })}</p>
        <h1>{say(step.title())}</h1>
    }
}

#[component]
fn Whose(bench: Bench) -> impl IntoView {
    move || {
        let member = bench.draft.with(|draft| draft.member.clone())?;
        let member = format!("{} {}", member.number, member.name);
        let whose = fill(Phrase::PurchaseFor { member: &member });
        Some(view! { <p><strong>{whose}</strong></p> })
    }
}

/// Decision and payable, on every step.
#[component]
fn Strip(bench: Bench) -> impl IntoView {
    let told = move || match bench.assessed.get() {
        Err(pending) => view! { <p class="hint">{say(pending.word())}</p> }.into_any(),
        Ok(assessment) if assessment.is_unfinished() => {
            view! { <p><strong>{say(Word::PurchaseUndecided)}</strong></p> }.into_any()
        }
        Ok(assessment) => {
            let total = assessment
                .payable_minor
                .zip(assessment.currency)
                .map(|(minor, currency)| {
                    let amount = sentences::money(minor, currency);
                    view! {
                        <p>{say(Word::PriceTotal)} ": " <strong data-figure="payable">{amount}</strong></p>
                    }
                });
            view! { {paper::decision(language(), assessment.decision)} {total} }.into_any()
        }
    };
    view! { <div class="card" role="status">{told}</div> }
}

#[component]
fn Ways(step: Step) -> impl IntoView {
    let place = place_of(step);
    let before = place
        .checked_sub(1)
        .and_then(|place| Step::ALL.get(place))
        .copied();
    let after = Step::ALL.get(place + 1).copied();
    let link = |step: Step, word: Word, class: &'static str| {
        let href = Route::Purchase(step).href();
        view! { <a class=class href=href>{say(word)}</a> }
    };
    view! {
        <div class="actions">
            {before.map(|step| link(step, Word::ActionBack, "button"))}
            {after.map(|step| link(step, Word::ActionNext, "button primary"))}
        </div>
    }
}

/// Gives the draft up, at the second tap.
#[component]
fn GiveUp() -> impl IntoView {
    let sure = RwSignal::new(false);
    let words = move || {
        if sure.get() {
            say(Word::PurchaseGiveUpSure)()
        } else {
            say(Word::PurchaseGiveUp)()
        }
    };
    let tapped = move |_| {
        if sure.get_untracked() {
            // Where nothing can be kept, there is nothing to give up.
            let _ = drafts::discard(Kind::Delivery);
            address::replace(&Route::Start.hash());
        } else {
            sure.set(true);
        }
    };
    view! { <button type="button" on:click=tapped>{words}</button> }
}
