//! Handing over what is in the journal: what waits, and the bundle as a file.

use super::inputs::{Task, notice};
use crate::handset::{Handset, Outgoing, Part, Refused};
use crate::platform::files::{self, Shared};
use crate::route::Route;
use crate::speech::{fill, say, spoken};
use chrono::{DateTime, FixedOffset, Timelike};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, RwSignal, view, when};

/// A browser passes on only a few kinds of file, and plain text is one of them (Web Share API,
/// 2.4; the desk reads a bundle by its content, not by its name).
const SHARED_AS: &str = "text/plain";

/// Day and minute, as the clock there and then showed them.
pub fn moment(at: DateTime<FixedOffset>) -> String {
    format!("{} {:02}:{:02}", at.date_naive(), at.hour(), at.minute())
}

/// What the desk has not acknowledged: how much, since when, and what to do.
pub fn waiting(handset: Handset, link: bool) -> impl IntoNode {
    let go = link.then(|| Route::HandOver.href());
    move || {
        let waiting = handset.waiting();
        if waiting.count == 0 {
            let all = handset.acknowledged();
            let Some(newest) = all.newest() else {
                return notice(Word::HandoverNothing);
            };
            let when = moment(newest.made_at);
            return view! {
                <p class="notice good" role="status" data-figure="waiting">
                    {move || fill(Phrase::HandoverAll { when: &when })}
                </p>
            }
            .into_node();
        }
        let count = waiting.count.to_string();
        let unbundled = waiting.unbundled.to_string();
        let since = waiting.since.map(|at| {
            let when = moment(at);
            view! { <span>{move || fill(Phrase::HandoverSince { when: &when })}</span> }
        });
        let carried = move || match waiting.unbundled {
            0 => spoken(Word::HandoverCarried).to_owned(),
            _ => fill(Phrase::HandoverUnbundled { count: &unbundled }),
        };
        let go = go.clone().map(|href| {
            view! { <a class="button primary" href=href>{say(Word::HandoverGo)}</a> }
        });
        view! {
            <div class="notice waiting" role="status" data-figure="waiting">
                <p class="waiting-count">
                    {move || fill(Phrase::TodayNotHandedOver { count: &count })}
                </p>
                <p>{since} " " <span>{carried}</span></p>
                {go}
            </div>
        }
        .into_node()
    }
}

/// The bundle: passed on to another program where the browser can, downloaded everywhere.
pub fn export(handset: Handset) -> impl IntoNode {
    let task = Task::idle();
    let told = RwSignal::new(None::<Word>);
    let download = move |part| {
        told.set(None);
        task.run(async move {
            let said = give_out(&handset.bundle(part).await?);
            told.set(Some(said));
            Ok(())
        });
    };
    let share = move |_| {
        told.set(None);
        task.run(async move {
            let said = pass_on(handset).await?;
            told.set(Some(said));
            Ok(())
        });
    };
    let waits = Memo::new(move || handset.waiting().count > 0);
    // Where it can be sent, the file is the other way.
    let is_sent = Memo::new(move || handset.desk_address().is_some());
    let can_share = files::can_share("combgate.json.txt", SHARED_AS);
    view! {
        {when(move || waits.get(), move || view! {
            <div class="actions">
                <button
                    type="button"
                    class:primary=move || !is_sent.get()
                    aria-disabled=move || task.is_busy().then_some("true")
                    on:click=move |_| download(Part::NotHandedOver)
                >
                    {say(Word::TodayExport)}
                </button>
            </div>
        })}
        <div class="actions">
            {when(move || can_share && waits.get(), move || view! { <button type="button" on:click=share>{say(Word::TodayShare)}</button> })}
            <button type="button" on:click=move |_| download(Part::Everything)>
                {say(Word::HandoverEverything)}
            </button>
        </div>
        {task.problem()}
        {move || told.get().map(notice)}
    }
}

fn give_out(bundle: &[Outgoing]) -> Word {
    let mut given = bundle
        .iter()
        .map(|file| files::download(&file.name, "application/json", &file.text));
    if given.all(|given| given.is_ok()) {
        Word::TodayExported
    } else {
        Word::ErrorFileNotGiven
    }
}

async fn pass_on(handset: Handset) -> Result<Word, Refused> {
    let bundle = handset.bundle(Part::NotHandedOver).await?;
    let mut said = Word::TodayShared;
    for file in &bundle {
        let name = format!("{}.txt", file.name);
        said = match files::share(&name, SHARED_AS, &file.text).await {
            Ok(Shared::Passed) => continue,
            Ok(Shared::Stopped) => Word::TodayShareStopped,
            Err(_) => Word::TodayShareFailed,
        };
        break;
    }
    Ok(said)
}
