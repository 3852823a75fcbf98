//! The start: this handset, how safely it keeps things, a delivery to go on with.

use super::export::waiting;
use super::health::promise;
use super::inputs::{Form, Task, Typed, line, notice};
use crate::draft::Draft;
use crate::handset::{Handset, handset, today};
use crate::platform::drafts::{self, Kind};
use crate::platform::files;
use crate::platform::space::{self, Space};
use crate::route::{Route, Step};
use crate::speech::{say, spoken};
use combgate_core::units::Label;
use combgate_ui::qr::Squares;
use combgate_ui::words::Word;
use combgate_view::{IntoNode, Memo, RwSignal, view};
use leptos::task::spawn_local;

/// The screen.
pub fn start() -> impl IntoNode {
    let handset = handset();
    let has_key = Memo::new(move || handset.kid().is_some());
    view! {
        <h1>{say(Word::StartTitle)}</h1>
        <p>{say(Word::AppPurpose)}</p>
        {move || {
            if has_key.get() {
                view! { {resume()} {enrolled(handset)} }.into_node()
            } else {
                enrol(handset).into_node()
            }
        }}
        {storage()}
    }
}

/// Makes the key.
fn enrol(handset: Handset) -> impl IntoNode {
    let name = Typed::empty("handset-name", Word::StartHandsetName);
    let form = Form::begin();
    let task = Task::idle();
    let enrol = move || match Label::new(&name.text.get_untracked()) {
        Ok(name) => task.run(async move { handset.enrol(name).await }),
        Err(_) => form.point_out(),
    };
    view! {
        <p>{say(Word::StartNextName)}</p>
        {line(name, form.asked())}
        {task.problem()}
        {task.button(Word::StartMakeKey, enrol)}
    }
}

/// Key, card, whose handset this is, and what comes next.
fn enrolled(handset: Handset) -> impl IntoNode {
    let task = Task::idle();
    let card = move |_| {
        task.run(async move {
            let card = handset.card().await?;
            if files::download(&card.name, "text/plain", &card.text).is_err() {
                task.say(Word::ErrorFileNotGiven);
            }
            Ok(())
        });
    };
    let key = move || {
        view! {
            <div>
                <dt>{say(Word::StartCode)}</dt>
                <dd data-figure="key">{move || handset.kid().map(|kid| kid.short())}</dd>
            </div>
        }
    };
    let facts = move || match handset.brief() {
        None => view! {
            <p>{say(Word::StartKeyMade)}</p>
            <dl class="figures">{key()}</dl>
        }
        .into_node(),
        Some(brief) => {
            let brief = brief.payload();
            view! {
                <dl class="terms">
                    <div>
                        <dt>{say(Word::StartCooperative)}</dt>
                        <dd>{brief.cooperative.name.as_str().to_owned()}</dd>
                    </div>
                </dl>
                <dl class="figures">
                    <div>
                        <dt>{say(Word::StartHandsetCode)}</dt>
                        <dd>{brief.handset.code.as_str().to_owned()}</dd>
                    </div>
                    {key()}
                </dl>
            }
            .into_node()
        }
    };
    let next = move || {
        let standing = handset.standing();
        let (word, route) = if handset.brief().is_none() {
            (Word::StartNextCard, Route::Brief)
        } else if let Some(open) = standing.open {
            if today().is_ok_and(|today| open.is_left_open(today)) {
                (Word::DayLeftOpen, Route::CloseDay)
            } else {
                (Word::StartNextBuy, Route::Purchase(Step::Member))
            }
        } else if today().is_ok_and(|today| standing.closed.contains(&today)) {
            (Word::StartNextTomorrow, Route::Today)
        } else {
            (Word::StartNextOpen, Route::OpenDay)
        };
        view! {
            <p class="notice">{say(word)}</p>
            <div class="actions">
                <a class="button primary" href=route.href()>{say(route.title())}</a>
            </div>
        }
    };
    // The card itself is an entry too; before there is a brief it is all there is to hand over.
    let waiting = move || handset.brief().map(|_| view! { {waiting(handset, true)} });
    view! {
        {facts}
        {next}
        {waiting}
        <div class="actions">
            <button type="button" on:click=card>{say(Word::StartCard)}</button>
        </div>
        {task.problem()}
        {card_code(handset)}
    }
}

/// The card as a code for a camera.
fn card_code(handset: Handset) -> impl IntoNode {
    let text = RwSignal::new(None::<String>);
    let task = Task::idle();
    let show = move |_| {
        task.run(async move {
            text.set(Some(handset.card().await?.text));
            Ok(())
        });
    };
    let code = move || {
        let text = text.get()?;
        Some(match Squares::of(&text) {
            Some(squares) => squares.picture(spoken(Word::StartCardCodeIs).to_owned()),
            None => notice(Word::StartCardTooLong),
        })
    };
    view! {
        <div class="actions">
            <button type="button" on:click=show>{say(Word::StartCardCode)}</button>
        </div>
        {task.problem()}
        {code}
    }
}

/// A delivery that was begun.
pub fn resume() -> impl IntoNode {
    let href = Route::Purchase(Draft::left_at()).href();
    drafts::is_open(Kind::Delivery).unwrap_or(false).then(|| {
        view! {
            <div class="notice care">
                <p>{say(Word::StartDraft)}</p>
                <a class="button" href=href>{say(Word::StartResume)}</a>
            </div>
        }
    })
}

/// Whether the browser promised to keep what is stored, and how much room there is.
fn storage() -> impl IntoNode {
    let space = RwSignal::new(None::<Space>);
    spawn_local(async move {
        space.set(Some(space::report().await));
    });
    move || {
        space.get().map(|space| {
            view! {
                <div class="notice" class:care=!space.persistent>
                    {promise(&space)}
                    <a class="button" href=Route::Health.href()>{say(Word::HealthTitle)}</a>
                </div>
            }
        })
    }
}
