//! Opening the day: float, pails, checks of scale and refractometer.

pub mod instruments;
pub mod typed;

use super::inputs::{Form, Task, amount, line, notice, tick, whole};
use super::kept::{forget, keep};
use crate::handset::{Handset, handset, today};
use crate::platform::drafts::Kind;
use crate::route::{Route, Step};
use crate::speech::{fill, say};
use chrono::NaiveDate;
use combgate_core::record::{Brief, EntryBody};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, view};
use instruments::{refractometer_part, scale_part};
use std::sync::Arc;
use typed::DayTyped;

/// The screen.
pub fn open_day() -> impl IntoNode {
    let handset = handset();
    let body = move || {
        let standing = handset.standing();
        let Some(brief) = handset.brief() else {
            return way(Word::ErrorNoBrief, &Route::Brief);
        };
        let Ok(day) = today() else {
            return notice(Word::ErrorClock);
        };
        match standing.open {
            Some(open) if open.day != day => way(Word::DayLeftOpen, &Route::CloseDay),
            Some(_) => way(Word::DayIsOpen, &Route::Purchase(Step::Member)),
            None if standing.closed.contains(&day) => way(Word::DayIsClosed, &Route::Today),
            None if !brief.holds_on(day) => expired(&brief, day),
            None => fields(handset, brief.clone(), day).into_node(),
        }
    };
    view! { <h1>{say(Word::DayOpenTitle)}</h1> {body} }
}

fn way(word: Word, route: &Route) -> Node {
    view! {
        {notice(word)}
        <div class="actions">
            <a class="button primary" href=route.href()>{say(route.title())}</a>
        </div>
    }
    .into_node()
}

/// A brief that held once is worked by no more.
fn expired(brief: &Brief, day: NaiveDate) -> Node {
    let (until, today) = (brief.payload().valid_until.to_string(), day.to_string());
    let told = move || {
        fill(Phrase::DayBriefExpired {
            until: &until,
            today: &today,
        })
    };
    let route = Route::Brief;
    view! {
        <p class="notice care" role="status">{told}</p>
        <div class="actions">
            <a class="button primary" href=route.href()>{say(route.title())}</a>
        </div>
    }
    .into_node()
}

fn fields(handset: Handset, brief: Arc<Brief>, day: NaiveDate) -> impl IntoNode {
    let typed = DayTyped::begin(&brief);
    let unsaved = keep(Kind::DayOpening, day, typed.inputs());
    let form = Form::begin();
    let task = Task::idle();
    let entry = Memo::new(move || typed.entry(&brief, day));
    let open = move || match entry.get_untracked() {
        None => form.point_out(),
        Some(opened) => task.run(async move {
            handset
                .add(EntryBody::DayOpened(Box::new(opened)))
                .await
                .map(|_| forget(Kind::DayOpening))
        }),
    };
    let scale = move || {
        if typed.scale.get() {
            scale_part(typed, form).into_node()
        } else {
            notice(Word::DayNoScale)
        }
    };
    let refractometer = move || {
        if typed.refractometer.get() {
            refractometer_part(typed, form).into_node()
        } else {
            notice(Word::DayNoRefractometer)
        }
    };
    view! {
        <p>{day.to_string()}</p>
        {line(typed.officer, form.asked())}
        {amount(typed.float, typed.currency, form.asked())}
        {whole(typed.pails, form.asked())}
        {whole(typed.seals, form.asked())}
        <h2>{say(Word::DayScaleCheck)}</h2>
        {tick("scale", Word::DayScalePart, typed.scale)}
        {scale}
        <h2>{say(Word::DayRefractometerCheck)}</h2>
        {tick("refractometer", Word::DayRefractometerPart, typed.refractometer)}
        {refractometer}
        {unsaved}
        {form.incomplete(move || entry.with(Option::is_some))}
        {task.problem()}
        {task.button(Word::DayOpenNow, open)}
    }
}
