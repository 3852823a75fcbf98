//! What stands around every step: where it is, whose delivery, what comes of it, the ways out.

use super::Bench;
use crate::draft::Draft;
use crate::handset::today;
use crate::platform::address;
use crate::platform::drafts::{self, Kind};
use crate::route::{Route, Step};
use crate::speech::{fill, language, say, spoken};
use combgate_core::intake::Fault;
use combgate_core::record::GroundCode;
use combgate_ui::words::{Phrase, Word};
use combgate_ui::{paper, sentences};
use combgate_view::{IntoNode, Memo, Node, RwSignal, seldom, view};
use leptos::prelude::*;
use std::time::Duration;

fn place_of(step: Step) -> usize {
    Step::ALL
        .into_iter()
        .position(|each| each == step)
        .unwrap_or(0)
}

/// Whether something was written down in a step.
fn is_begun(step: Step, draft: &Draft) -> bool {
    match step {
        Step::Member => draft.member.is_some(),
        Step::Product => draft.bee.is_some() && draft.form.is_some() && draft.hive.is_some(),
        Step::Pail => draft.pails.iter().any(|pail| !pail.is_blank()),
        Step::Inspection => draft.answers.len() == Fault::ALL.len(),
        Step::Comb => !draft.taps.is_empty(),
        Step::Moisture => draft.readings.iter().any(|each| !each.value.is_empty()),
        Step::Weight => draft.pails.iter().any(|pail| !pail.gross.is_empty()),
        Step::Decision => false,
    }
}

/// What the step asks, and which of how many it is.
pub fn heading(step: Step) -> impl IntoNode {
    let (number, count) = (
        (place_of(step) + 1).to_string(),
        Step::ALL.len().to_string(),
    );
    view! {
        <h1>
            {say(step.title())} " "
            <span class="hint">
                {move || fill(Phrase::PurchaseStep { number: &number, count: &count })}
            </span>
        </h1>
    }
}

/// All steps by name, to go to any of them; those begun bear a mark.
pub fn steps(bench: Bench, step: Step) -> impl IntoNode {
    // A key makes or takes no mark but the first and the last of a step.
    let marks = seldom(move || {
        bench
            .draft
            .with(|draft| Step::ALL.map(|step| is_begun(step, draft)))
    });
    let links: Vec<_> = Step::ALL
        .into_iter()
        .enumerate()
        .map(|(place, each)| {
            let begun = move || marks.with(|marks| marks.get(place).copied().unwrap_or_default());
            let number = (place + 1).to_string();
            view! {
                <li>
                    <a
                        class="button"
                        class:begun=begun
                        href=Route::Purchase(each).href()
                        aria-current=(each == step).then_some("step")
                    >
                        <span class="place">{number}</span>
                        <span>{say(each.title())}</span>
                        {move || begun().then(|| view! {
                            <span class="unseen">" (" {say(Word::PurchaseBegun)} ")"</span>
                        })}
                    </a>
                </li>
            }
        })
        .collect();
    view! {
        <nav class="steps" aria-label=say(Word::PurchaseSteps)>
            <ol>{links}</ol>
        </nav>
    }
}

/// The member.
pub fn whose(bench: Bench) -> impl IntoNode {
    let member = Memo::new(move || bench.draft.with(|draft| draft.member.clone()));
    move || {
        let member = member.get()?;
        let member = sentences::member(&member.number, &member.name);
        let whose = fill(Phrase::PurchaseFor { member: &member });
        Some(view! { <p><strong>{whose}</strong></p> })
    }
}

/// That an earlier day was never closed: what is bought now would count on it, at its prices and
/// its checks. A day that goes on past midnight may end as it is.
pub fn left_open(bench: Bench) -> Option<impl IntoNode> {
    let today = today().ok()?;
    let left = bench
        .open
        .with_value(|open| open.is_left_open(today).then_some(open.day));
    let way = Route::CloseDay;
    left.map(|day| {
        view! {
            <div class="notice trouble" role="alert">
                <p>{day.to_string()} ": " {say(Word::DayLeftOpen)}</p>
                <a class="button" href=way.href()>{say(way.title())}</a>
            </div>
        }
    })
}

/// Why what was typed on a step gives nothing, said on that step.
pub fn unusable(bench: Bench, code: GroundCode) -> impl IntoNode {
    move || {
        let words = bench.assessed.with(|assessed| {
            let assessment = assessed.as_ref().ok()?;
            let ground = assessment.grounds.iter().find(|each| each.code == code)?;
            Some(sentences::ground(language(), ground, assessment))
        })?;
        Some(view! { <p class="notice trouble" role="status">{words}</p> })
    }
}

/// Decision, payable and the float left, on every step.
pub fn strip(bench: Bench) -> impl IntoNode {
    // Its form changes seldom, the amount in it at every key of a weight.
    let form = Memo::new(move || {
        bench.assessed.with(|assessed| match assessed {
            Err(pending) => Err(pending.word()),
            Ok(assessment) if assessment.is_unfinished() => Err(Word::PurchaseUndecided),
            Ok(assessment) => Ok((assessment.decision, assessment.payable_minor.is_some())),
        })
    });
    let amount = move || {
        bench.assessed.with(|assessed| {
            let assessment = assessed.as_ref().ok()?;
            let (minor, currency) = assessment.payable_minor.zip(assessment.currency)?;
            Some(sentences::money(minor, currency))
        })
    };
    let told = move || match form.get() {
        Err(word) => view! { <p><strong>{say(word)}</strong></p> }.into_node(),
        Ok((decision, is_bought)) => {
            let total = is_bought.then(|| {
                view! {
                    <p>{say(Word::PriceTotal)} ": " <strong data-figure="payable">{amount}</strong></p>
                }
            });
            view! { {paper::decision(language(), decision)} {total} }.into_node()
        }
    };
    let is_decided = move || form.with(Result::is_ok);
    let cash = bench.open.with_value(|open| open.cash_minor);
    let currency = bench
        .brief
        .with_value(|brief| brief.terms().prices().parts().currency);
    let float = move || {
        let amount = sentences::money(cash, currency);
        fill(Phrase::DayFloatLeft { amount: &amount })
    };
    view! {
        <div class="card strip" class:stays=is_decided>
            <div role="status">{told}</div>
            <p data-figure="float">{float}</p>
        </div>
    }
}

/// One step back, one step on.
pub fn ways(step: Step) -> impl IntoNode {
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

/// A hand that trembles or sticks taps twice: the second tap counts only after this.
const DOUBLE_TAP: Duration = Duration::from_millis(600);

/// Does something that cannot be undone, at the second tap.
pub fn at_second_tap(
    word: impl Fn() -> String + 'static,
    sure_word: Word,
    needs_second: impl Fn() -> bool + 'static,
    done: impl Fn() + 'static,
) -> Node {
    let (sure, armed) = (RwSignal::new(false), RwSignal::new(false));
    let words = move || {
        if sure.get() {
            spoken(sure_word).to_owned()
        } else {
            word()
        }
    };
    let tapped = move |_| {
        if armed.get_untracked() || !needs_second() {
            done();
        } else {
            sure.set(true);
            set_timeout(
                move || {
                    armed.set(true);
                },
                DOUBLE_TAP,
            );
        }
    };
    let calm = move |_| {
        sure.set(false);
        armed.set(false);
    };
    view! { <button type="button" on:click=tapped on:blur=calm>{words}</button> }.into_node()
}

/// Gives the draft up, at the second tap.
pub fn give_up() -> impl IntoNode {
    at_second_tap(
        move || spoken(Word::PurchaseGiveUp).to_owned(),
        Word::PurchaseGiveUpSure,
        || true,
        || {
            // Where nothing can be kept, there is nothing to give up.
            let _ = drafts::discard(Kind::Delivery);
            address::replace(&Route::Start.hash());
        },
    )
}
