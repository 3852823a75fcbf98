//! A delivery, step by step: who and what first, then what is found, then what follows from it.

pub mod comb;
pub mod decision;
pub mod frame;
pub mod inspection;
pub mod member;
pub mod moisture;
pub mod pail;
pub mod payment;
pub mod photo;
pub mod pictures;
pub mod product;
pub mod weight;

use crate::draft::{Draft, Pending};
use crate::handset::{Handset, Refused, handset};
use crate::platform::drafts::{self, DraftError, Kind};
use crate::register::Due;
use crate::route::Step;
use crate::shell::when_settled;
use crate::speech::say;
use crate::trouble;
use combgate_core::record::{AssessmentV1, Brief, OpenDay};
use combgate_ui::words::Word;
use combgate_view::{IntoNode, Memo, Node, RwSignal, StoredValue, effect, untrack, view};
use frame::{give_up, heading, left_open, steps, strip, ways, whose};
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
    /// What is due to the member and from them, once there is a member and the register was read.
    pub due: Memo<Option<Due>>,
    /// What comes of the draft as it stands.
    pub assessed: Memo<Result<AssessmentV1, Pending>>,
}

impl Bench {
    fn over(handset: Handset, brief: Arc<Brief>, open: OpenDay, draft: Draft) -> Self {
        let draft = RwSignal::new(draft);
        let (brief, open) = (StoredValue::new(brief), StoredValue::new(open));
        let number = Memo::new(move || {
            draft.with(|draft| draft.member.as_ref().map(|member| member.number.clone()))
        });
        let due = Memo::new(move || {
            let number = number.get()?;
            brief.with_value(|brief| handset.register().due(brief, &number))
        });
        let assessed = Memo::new(move || {
            brief
                .with_value(|brief| {
                    open.with_value(|open| {
                        due.with(|due| draft.with(|draft| draft.judged(brief, open, due.as_ref())))
                    })
                })
                .map(|(_, assessment)| assessment)
        });
        Self {
            handset,
            draft,
            brief,
            open,
            due,
            assessed,
        }
    }

    /// What is to be paid, once it is a purchase. Reactive.
    pub fn payable(self) -> Option<i64> {
        self.assessed
            .with(|assessed| assessed.as_ref().ok()?.payable_minor)
    }
}

/// The screen, at one step.
pub fn purchase(step: Step) -> impl IntoNode {
    let handset = handset();
    // Looked at once a step: a member registered on the way must not begin the step anew.
    let (brief, open) = untrack(|| (handset.brief(), handset.standing().open));
    let Some(brief) = brief else {
        return stop(Word::PurchaseNoBrief);
    };
    let Some(open) = open else {
        return stop(Word::DayNotOpen);
    };
    let kept = match Draft::resume() {
        Ok(kept) => kept,
        Err(error @ DraftError::Unreadable) => {
            return view! { {stop(trouble::of_draft(&error))} {give_up()} }.into_node();
        }
        Err(error) => return stop(trouble::of_draft(&error)),
    };
    // Where the page ended between a paper and giving up its draft, the paper counts.
    let is_issued = |draft: &Draft| open.deliveries.contains(&draft.delivery);
    let already = kept.as_ref().is_some_and(is_issued);
    let unsaved = RwSignal::new(None::<Word>);
    let keep = move |kept: Result<(), DraftError>| {
        // The screen may have been left by the time that a draft was kept.
        unsaved.set(kept.err().map(|error| trouble::of_draft(&error)));
    };
    if already {
        keep(drafts::discard(Kind::Delivery));
    }
    let kept = kept.filter(|draft| !is_issued(draft)).map(|mut draft| {
        if draft.step != step {
            draft.step = step;
            keep(drafts::save(Kind::Delivery, &draft));
        }
        draft
    });
    let Some(mut draft) = kept.or_else(Draft::begin) else {
        return stop(trouble::of_refused(&Refused::NoClock));
    };
    draft.step = step;
    let bench = Bench::over(handset, brief, open, draft);
    // Nothing is kept before anything was entered.
    effect(move |looked_before: Option<()>| {
        bench.draft.track();
        if looked_before.is_some() {
            let draft = bench.draft.get_untracked();
            drafts::save_next(Kind::Delivery, draft, keep);
        }
    });
    view! {
        {heading(step)}
        {left_open(bench)}
        {already.then(|| view! { <p class="notice" role="status">{say(Word::ReceiptAlready)}</p> })}
        {(step != Step::Member).then(|| view! { {whose(bench)} })}
        {strip(bench)}
        {part(step, bench)}
        {move || unsaved.get().map(|word| {
            view! { <p class="notice trouble" role="alert">{say(word)}</p> }
        })}
        {when_settled(move || view! {
            {ways(step)}
            {steps(bench, step)}
            {give_up()}
        })}
    }
    .into_node()
}

fn part(step: Step, bench: Bench) -> Node {
    match step {
        Step::Member => member::member(bench).into_node(),
        Step::Product => product::product(bench).into_node(),
        Step::Pail => pail::pail(bench).into_node(),
        Step::Inspection => inspection::inspection(bench).into_node(),
        Step::Comb => comb::comb(bench).into_node(),
        Step::Moisture => moisture::moisture(bench).into_node(),
        Step::Weight => weight::weight(bench).into_node(),
        Step::Decision => decision::decision(bench).into_node(),
    }
}

fn stop(word: Word) -> Node {
    view! {
        <h1>{say(Word::PurchaseTitle)}</h1>
        <p class="notice care" role="alert">{say(word)}</p>
    }
    .into_node()
}
