//! Who brings the delivery: a member from the register, or a new one.

use super::Bench;
use crate::draft::{Bringer, Draft, Newcomer};
use crate::register::Candidate;
use crate::screens::inputs::{Field, tick_box, trouble};
use crate::speech::{fill, say, spoken};
use crate::trouble::of_refused;
use combgate_core::record::EntryBody;
use combgate_core::units::Code;
use combgate_ui::sentences::{self, isolated};
use combgate_ui::words::{Phrase, Word};
use combgate_view::{IntoNode, Memo, Node, RwSignal, Signal, untrack, view, when};
use leptos::task::spawn_local;

/// Most members shown at once.
const SHOWN: usize = 8;

/// The step.
pub fn member(bench: Bench) -> impl IntoNode {
    // Where the page ended between the entry of a newcomer and the draft, the entry counts.
    let newcomer = untrack(|| bench.draft.with(|draft| draft.newcomer.number.clone()));
    let register = bench.handset.register();
    if let Some(member) = newcomer.and_then(|number| untrack(|| register.registered(&number))) {
        choose(bench, member);
    }
    let is_chosen = Memo::new(move || bench.draft.with(|draft| draft.member.is_some()));
    move || {
        if is_chosen.get() {
            chosen(bench)
        } else {
            view! { {search(bench)} {registration(bench)} }.into_node()
        }
    }
}

fn choose(bench: Bench, member: Candidate) {
    bench.draft.update(|draft| {
        draft.member = Some(Bringer {
            number: member.number,
            name: member.name,
        });
        draft.search.clear();
        draft.newcomer = Newcomer::default();
    });
}

fn chosen(bench: Bench) -> Node {
    let shown = move || {
        let member = bench.draft.with(|draft| draft.member.clone());
        let shown = member.map(|member| sentences::member(&member.number, &member.name));
        let member = shown.unwrap_or_default();
        fill(Phrase::PurchaseChosen { member: &member })
    };
    view! {
        <p class="notice large">{shown}</p>
        <button type="button" on:click=move |_| bench.draft.update(|draft| draft.member = None)>
            {say(Word::PurchaseChange)}
        </button>
    }
    .into_node()
}

fn search(bench: Bench) -> Node {
    let wanted = Memo::new(move || bench.draft.with(|draft| draft.search.clone()));
    let register = bench.handset.register();
    // Who types on often finds the same: then nothing is drawn, or told to a screen reader, again.
    let found = Memo::new(move || wanted.with(|wanted| register.find(wanted, SHOWN)));
    let results = move || {
        let Some((best, count)) = found.get() else {
            return view! { <p class="hint">{say(Word::PurchaseRegisterReading)}</p> }.into_node();
        };
        if count == 0 {
            return view! { <p class="hint">{say(Word::PurchaseNoneFound)}</p> }.into_node();
        }
        let more = count - best.len();
        let more = (more > 0).then(|| {
            let count = more.to_string();
            view! { <p class="hint">{fill(Phrase::PurchaseMore { count: &count })}</p> }
        });
        let buttons: Vec<_> = best
            .into_iter()
            .map(|member| result(bench, member))
            .collect();
        view! { <div class="found">{buttons}</div> {more} }.into_node()
    };
    let field = Field::new(
        "member-search",
        move || spoken(Word::PurchaseSearch).to_owned(),
        move || wanted.get(),
        move |typed| bench.draft.update(|draft| draft.search = typed),
    );
    view! {
        {field.of_kind("search", Signal::derive(|| None))}
        <div role="status">{results}</div>
    }
    .into_node()
}

fn result(bench: Bench, member: Candidate) -> Node {
    let Candidate {
        number,
        name,
        village,
    } = member.clone();
    let comma = if village.is_empty() { "" } else { ", " };
    let tapped = move |_| choose(bench, member.clone());
    view! {
        <button type="button" on:click=tapped>
            <span>{number.as_str().to_owned()} " " <strong>{isolated(&name)}</strong> {comma} {isolated(&village)}</span>
        </button>
    }
    .into_node()
}

/// The form for a newcomer, which is made when it is opened.
fn registration(bench: Bench) -> Node {
    let begun = untrack(|| bench.draft.with(|draft| !draft.newcomer.is_blank()));
    let opened = RwSignal::new(begun);
    view! {
        <details open=begun on:toggle=move |_| opened.set(true)>
            <summary class="button">{say(Word::PurchaseRegister)}</summary>
            {when(move || opened.get(), move || newcomer(bench))}
        </details>
    }
    .into_node()
}

fn newcomer(bench: Bench) -> Node {
    let busy = RwSignal::new(false);
    let problem = RwSignal::new(None::<String>);
    let field = move |id: &'static str,
                      label: Word,
                      of: fn(&Newcomer) -> &String,
                      to: fn(&mut Newcomer) -> &mut String| {
        Field::new(
            id,
            move || spoken(label).to_owned(),
            move || bench.draft.with(|draft| of(&draft.newcomer).clone()),
            move |typed| bench.draft.update(|draft| *to(&mut draft.newcomer) = typed),
        )
        .line()
    };
    let agreed = move |id: &'static str,
                       label: Word,
                       of: fn(&Newcomer) -> bool,
                       to: fn(&mut Newcomer) -> &mut bool| {
        tick_box(
            id,
            label,
            Signal::derive(move || bench.draft.with(|draft| of(&draft.newcomer))),
            Box::new(move |now| bench.draft.update(|draft| *to(&mut draft.newcomer) = now)),
        )
    };
    let why = |word: Word| view! { <p class="below">{say(word)}</p> };
    let tapped = move |_| {
        if !busy.get_untracked() {
            register(bench, busy, problem);
        }
    };
    view! {
        {field("member-name", Word::PurchaseName, |new| &new.name, |new| &mut new.name)}
        {why(Word::PurchaseWhyName)}
        {field(
            "member-village",
            Word::PurchaseVillage,
            |new| &new.village,
            |new| &mut new.village,
        )}
        {why(Word::PurchaseWhyVillage)}
        {field("member-phone", Word::PurchasePhone, |new| &new.phone, |new| &mut new.phone)}
        {why(Word::PurchaseWhyPhone)}
        {agreed(
            "member-consent",
            Word::PurchaseConsent,
            |new| new.consent,
            |new| &mut new.consent,
        )}
        <p class="hint">{say(Word::PurchaseConsentFree)}</p>
        {agreed(
            "member-photos",
            Word::PurchaseConsentPhotos,
            |new| new.photos,
            |new| &mut new.photos,
        )}
        {agreed(
            "member-sharing",
            Word::PurchaseConsentSharing,
            |new| new.sharing,
            |new| &mut new.sharing,
        )}
        {move || problem.get().map(trouble)}
        <div class="actions">
            <button
                type="button"
                class="primary"
                aria-disabled=move || busy.get().then_some("true")
                on:click=tapped
            >
                {say(Word::PurchaseRegisterNow)}
            </button>
        </div>
    }
    .into_node()
}

/// Puts the newcomer on the register and chooses them.
fn register(bench: Bench, busy: RwSignal<bool>, problem: RwSignal<Option<String>>) {
    let read = next_number(bench).and_then(|number| {
        bench
            .draft
            .with_untracked(|draft: &Draft| draft.newcomer.read(number))
    });
    let body = match read {
        Ok(body) => body,
        Err(wrong) => {
            problem.set(Some(wrong));
            return;
        }
    };
    busy.set(true);
    problem.set(None);
    let number = body.member.clone();
    bench
        .draft
        .update(|draft| draft.newcomer.number = Some(number.clone()));
    spawn_local(async move {
        let body = EntryBody::MemberRegistered(Box::new(body));
        let added = bench.handset.add(body).await;
        busy.set(false);
        if let Err(refused) = added {
            let words = spoken(of_refused(&refused)).to_owned();
            problem.set(Some(words));
        } else if let Some(member) = untrack(|| bench.handset.register().registered(&number)) {
            choose(bench, member);
        }
    });
}

/// The number of the next newcomer.
fn next_number(bench: Bench) -> Result<Code, String> {
    let registered = untrack(|| bench.handset.standing()).members_registered;
    let number = bench.brief.with_value(|brief| {
        let handset = &brief.payload().handset.code;
        Code::new(&format!("{handset}-N{}", registered.saturating_add(1)))
    });
    number.map_err(|error| crate::trouble::of_text(&error))
}
