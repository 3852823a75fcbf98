//! The frame around every screen, and what must stand before the first one is shown: the right
//! to be the one tab that works, an open database, what the journal came to. Whether all of it is there is
//! looked at right behind that screen, and before anything is added to it.

use crate::handset::{Handset, Refused};
use crate::platform::database::{Database, StoreError};
use crate::platform::drafts::{self, Kind};
use crate::platform::journal::Journal;
use crate::platform::locks::{LockError, Tab};
use crate::platform::release::{self, Builds};
use crate::platform::{address, clock, page, space};
use crate::route::Route;
use crate::screens::{self, kept::forget};
use crate::sending::Sending;
use crate::speech::{choose, fill, language, say};
use crate::{speech, trouble};
use combgate_ui::words::{Language, Phrase, Word, text};
use combgate_view::{IntoNode, RwSignal, StoredValue, effect, mount_to_body, view, when};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// What the screens stand on.
struct Phone {
    handset: Handset,
    database: Database,
    tab: Tab,
}

/// The same, for whoever comes first to make something else of it.
type Kept = StoredValue<Option<Phone>>;

/// How far the start has come.
#[derive(Clone, Copy)]
enum Start {
    OtherTab,
    Failed(Word),
    /// The journal is not whole: nothing is bought, and what is left is given out.
    Damaged(StoredValue<(Database, Tab)>),
    /// Nobody gave the PIN yet.
    Locked(Handset, Kept),
    Ready(Handset, Kept),
}

/// Whether the first screen is shown.
#[derive(Clone, Copy)]
struct Settled(RwSignal<bool>);

/// What stands below a screen's first field: made with the screen, but for the very first one, where
/// it waits until that field can be typed into.
pub fn when_settled<T: IntoNode>(part: impl FnMut() -> T + 'static) -> impl IntoNode {
    let settled = use_context::<Settled>();
    when(
        move || settled.is_none_or(|Settled(settled)| settled.get()),
        part,
    )
}

/// Puts the program on the page once there is something to show: a screen that only says that it
/// starts would have to be laid out and painted before the first one that is of use.
pub async fn run() {
    let start = StoredValue::new(None::<RwSignal<Start>>);
    let show = move |outcome: Start| {
        if let Some(start) = start.get_value() {
            start.set(outcome);
            return;
        }
        mount_to_body(|| {
            let shown = RwSignal::new(outcome);
            start.set_value(Some(shown));
            app(shown).into_node()
        });
        // What is typed by now comes after the effects that keep it have begun.
        spawn_local(async { page::take_boot_away() });
    };
    let outcome = prepare(move || show(Start::OtherTab)).await;
    show(outcome.unwrap_or_else(Start::Failed));
}

/// The whole program.
fn app(start: RwSignal<Start>) -> impl IntoNode {
    speech::provide();
    provide_context(screens::health::Opened(clock::now()));
    let route = RwSignal::new(Route::parse(&address::hash()));
    address::on_change(move |hash| route.set(Route::parse(&hash)));
    effect(move |_| {
        let title = text(language(), route.with(Route::title));
        // The screen goes first.
        request_animation_frame(move || page::set_title(title));
    });
    let settled = RwSignal::new(false);
    provide_context(Settled(settled));

    view! {
        <div class="frame">
            <header class="top">
                <p class="top-name">{say(Word::AppName)}</p>
                {language_choice()}
            </header>
            <main>
                {move || match start.get() {
                    Start::OtherTab => trouble(Word::AppOtherTab).into_node(),
                    Start::Failed(word) => trouble(word).into_node(),
                    Start::Damaged(kept) => {
                        let database = kept.with_value(|(database, _)| database.clone());
                        screens::damaged::damaged(database).into_node()
                    }
                    Start::Locked(handset, phone) => {
                        let open = Callback::new(move |()| {
                            spawn_local(async move {
                                let outcome = unlocked(phone).await;
                                start.set(outcome.unwrap_or_else(Start::Failed));
                            });
                        });
                        request_animation_frame(move || {
                            spawn_local(async move {
                                is_whole(handset, phone, start).await;
                            });
                        });
                        screens::locked::locked(handset, open).into_node()
                    }
                    Start::Ready(handset, phone) => {
                        let sending = Sending::begin(handset);
                        provide_context(handset);
                        provide_context(sending);
                        // Two frames on, the screen is painted.
                        request_animation_frame(move || {
                            settled.set(true);
                            request_animation_frame(move || spawn_local(async move {
                                if is_whole(handset, phone, start).await {
                                    go_on(handset, sending).await;
                                }
                            }));
                        });
                        view! { {when_settled(move || update(route))} {screen(route)} }.into_node()
                    }
                }}
            </main>
            {when(
                move || settled.get() && matches!(start.get(), Start::Ready(..)),
                move || places(route),
            )}
        </div>
    }
}

/// Gets everything ready, in the order that keeps two tabs from meeting in the database.
async fn prepare(other_tab: impl FnOnce()) -> Result<Start, Word> {
    let tab = match Tab::take().await {
        Err(LockError::Busy) => {
            other_tab();
            Tab::wait().await
        }
        taken => taken,
    };
    let tab = tab.map_err(|error| trouble::of_lock(&error))?;
    let database = Database::open()
        .await
        .map_err(|error: StoreError| trouble::of_store(&error))?;
    let handset = match opened(&database).await {
        Ok(handset) => handset,
        Err(refused) if refused.is_damage() => {
            trouble::log(trouble::of_refused(&refused));
            return Ok(Start::Damaged(StoredValue::new((database, tab))));
        }
        Err(refused) => return Err(trouble::of_refused(&refused)),
    };
    let phone = Phone {
        handset,
        database,
        tab,
    };
    if handset.is_locked() {
        return Ok(Start::Locked(handset, StoredValue::new(Some(phone))));
    }
    Ok(ready(phone))
}

/// Whether all of the journal is there. Where it is not, what is left of it takes the screen's place.
async fn is_whole(handset: Handset, phone: Kept, start: RwSignal<Start>) -> bool {
    let Err(refused) = handset.ensure_whole().await else {
        return true;
    };
    trouble::log(trouble::of_refused(&refused));
    if !refused.is_damage() {
        // Nothing is added before it was looked at again.
        return true;
    }
    // Whoever gave the PIN meanwhile has another handset, which is looked at for itself.
    if let Some(Phone { database, tab, .. }) = phone.try_update_value(Option::take).flatten() {
        start.set(Start::Damaged(StoredValue::new((database, tab))));
    }
    false
}

/// The same phone, once the PIN was given.
async fn unlocked(phone: Kept) -> Result<Start, Word> {
    let left = phone.try_update_value(Option::take).flatten();
    let Some(Phone { database, tab, .. }) = left else {
        return Err(Word::ErrorBusy);
    };
    let handset = opened(&database)
        .await
        .map_err(|refused| trouble::of_refused(&refused))?;
    Ok(ready(Phone {
        handset,
        database,
        tab,
    }))
}

/// Everything is there for the first screen.
fn ready(phone: Phone) -> Start {
    Start::Ready(phone.handset, StoredValue::new(Some(phone)))
}

/// What holds up no first screen: reading on, and what makes the page safer. Without the promise of
/// the storage and the worker the page works, and the start screen says so.
async fn go_on(handset: Handset, sending: Sending) {
    // Where the page ended between an entry and what it came from, the entry counts.
    if handset.standing().open.is_some() {
        forget(Kind::DayOpening);
    } else {
        forget(Kind::DayClosing);
    }
    if let Err(refused) = screens::lock::watch(handset).await {
        trouble::log(trouble::of_refused(&refused));
    }
    if let Err(refused) = handset.read_on().await {
        trouble::log(trouble::of_refused(&refused));
    }
    space::ask_to_persist().await;
    if let Err(error) = release::register().await {
        leptos::logging::warn!("{error}");
    }
    sending.resume();
}

/// The handset over whatever the journal holds.
async fn opened(database: &Database) -> Result<Handset, Refused> {
    Handset::open(database.clone(), Journal::open_damaged(database)).await
}

/// The screen that the address asks for.
fn screen(route: RwSignal<Route>) -> impl IntoNode {
    // The first screen leaves the focus alone; later ones are announced by their heading.
    effect(move |shown_before: Option<()>| {
        route.track();
        if shown_before.is_some() {
            request_animation_frame(page::focus_heading);
        }
    });
    move || match route.get() {
        Route::Start => screens::start::start().into_node(),
        Route::Health => screens::health::health().into_node(),
        Route::Brief => screens::brief::brief().into_node(),
        Route::OpenDay => screens::open_day::open_day().into_node(),
        Route::Purchase(step) => screens::purchase::purchase(step).into_node(),
        Route::Receipt(seq) => screens::receipt::receipt(seq).into_node(),
        Route::Today => screens::today::today().into_node(),
        Route::CloseDay => screens::close_day::close_day().into_node(),
        Route::HandOver => screens::hand_over::hand_over().into_node(),
        Route::Cancel(seq) => screens::cancel::cancel(seq).into_node(),
        Route::Pay(seq) => screens::pay::pay(seq).into_node(),
        Route::Unknown => trouble(Word::AppNotFound).into_node(),
    }
}

/// A screen that can only say what is wrong.
pub fn trouble(word: Word) -> impl IntoNode {
    view! {
        <h1>{say(Word::ErrorTitle)}</h1>
        <p class="notice trouble" role="alert">{say(word)}</p>
    }
}

/// The list of places.
fn places(route: RwSignal<Route>) -> impl IntoNode {
    let links = Route::PLACES.map(|place| {
        let href = place.href();
        let name = say(place.place());
        let current = move || {
            route
                .with(|route| route.is_in_place(&place))
                .then_some("page")
        };
        view! { <li><a href=href aria-current=current>{name}</a></li> }
    });
    view! {
        <nav class="places" aria-label=say(Word::NavMain)>
            <ul>{links.into_iter().collect::<Vec<_>>()}</ul>
        </nav>
    }
}

/// The languages by their own names.
fn language_choice() -> impl IntoNode {
    let options = Language::ALL.map(|each| {
        view! {
            <option value=each.code() lang=each.code() selected=move || language() == each>
                {each.own_name()}
            </option>
        }
    });
    let changed = move |event| {
        if let Some(language) = Language::from_tag(&event_target_value(&event)) {
            choose(language);
        }
    };
    view! {
        <div class="language">
            <label class="unseen" for="language">{say(Word::LanguageChoose)}</label>
            <select id="language" on:change=changed>{options.into_iter().collect::<Vec<_>>()}</select>
        </div>
    }
}

/// Offers a newer build once one is stored, which no first field waits for, and lets nobody change over an open draft.
fn update(route: RwSignal<Route>) -> impl IntoNode {
    let builds = RwSignal::new(None::<Builds>);
    let draft_open = RwSignal::new(false);
    let stored = RwSignal::new(());
    release::on_change(move || stored.set(()));
    // Looked at when a build arrives, which may be after hours, and on every change of screen,
    // since drafts begin and end there.
    effect(move |_| {
        route.track();
        stored.track();
        draft_open.set(drafts::any_open().unwrap_or(true));
        spawn_local(async move { builds.set(release::builds().await.ok()) });
    });
    let newer = move || {
        builds
            .get()
            .filter(Builds::has_newer)
            .map(|builds| builds.newest)
    };
    let switch = move |_| {
        spawn_local(async move {
            if release::switch().await.is_err() {
                draft_open.set(drafts::any_open().unwrap_or(true));
            }
        });
    };
    move || {
        newer().map(|version| {
            view! {
                <div class="notice" role="status">
                    <p>
                        {say(Word::UpdateOffered)} " "
                        {move || fill(Phrase::AppVersion { version: &version })}
                    </p>
                    {move || if draft_open.get() {
                        view! { <p>{say(Word::UpdateAfterDraft)}</p> }
                    } else {
                        view! { <button type="button" on:click=switch>{say(Word::UpdateSwitch)}</button> }
                    }}
                </div>
            }
        })
    }
}
