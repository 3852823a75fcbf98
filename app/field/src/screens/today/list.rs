//! Papers in a list: those of the day, or those that were searched for among all there are.

use crate::handset::{Handset, Names, Paper, Papers};
use crate::route::Route;
use crate::speech::{fill, say, spoken};
use crate::trouble::of_refused;
use chrono::NaiveDate;
use combgate_core::intake::as_sought;
use combgate_ui::words::{Phrase, Word};
use combgate_ui::{figures, sentences};
use combgate_view::{IntoNode, Memo, Node, RwSignal, StoredValue, view};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Papers that are shown of what was found.
const FOUND_AT_MOST: usize = 30;

/// The list of a day's papers, with the search among all.
pub(super) fn list(handset: Handset, of_day: Papers, day: NaiveDate) -> impl IntoNode {
    let asked = RwSignal::new(String::new());
    let problem = RwSignal::new(None::<Word>);
    let reading = RwSignal::new(false);
    let typed = move |event| {
        asked.set(event_target_value(&event));
        if reading.get_untracked() || asked.with_untracked(|asked| asked.trim().is_empty()) {
            return;
        }
        reading.set(true);
        spawn_local(async move {
            if let Err(refused) = handset.read_papers(1).await {
                problem.set(Some(of_refused(&refused)));
            }
        });
    };
    let of_day = StoredValue::new(of_day);
    let own = Memo::new(move || of_day.with_value(|papers| names(handset, papers)));
    // All papers' names are looked up anew as more papers are read, not at every letter.
    let all_names = Memo::new(move || handset.papers().with(|papers| names(handset, papers)));
    let shown = move || {
        let asked = asked.with(|asked| as_sought(asked));
        if asked.is_empty() {
            return of_day.with_value(|papers| {
                let rows = papers.newest_first().filter(|paper| paper.day == day);
                own.with(|own| listed(rows, papers, own, Word::TodayNone))
            });
        }
        all_names.with(|names| {
            handset.papers().with(|papers| {
                let found = papers
                    .newest_first()
                    .filter(|paper| fits(paper, &asked, names));
                listed(found, papers, names, Word::TodayFoundNone)
            })
        })
    };
    view! {
        <h2>{say(Word::TodayPapers)}</h2>
        <div class="field">
            <label for="find-paper">{say(Word::TodayFind)}</label>
            <input id="find-paper" type="search" autocomplete="off" on:input=typed/>
        </div>
        {move || problem.get().map(|word| crate::screens::inputs::trouble(say(word)))}
        <div role="status">{shown}</div>
    }
}

/// Spelling is forgiven as in the search for a member; here any part of a word will do.
fn fits(paper: &Paper, asked: &str, names: &Names) -> bool {
    let holds = |text: &str| as_sought(text).contains(asked);
    holds(&paper.number.to_string())
        || holds(paper.member.as_str())
        || holds(names.of(&paper.member))
}

fn names(handset: Handset, papers: &Papers) -> Names {
    handset.names_of(papers.newest_first().map(|paper| &paper.member))
}

fn listed<'a>(
    papers: impl Iterator<Item = &'a Paper>,
    all: &Papers,
    names: &Names,
    none: Word,
) -> Node {
    let papers: Vec<&Paper> = papers.collect();
    if papers.is_empty() {
        return view! { <p>{say(none)}</p> }.into_node();
    }
    // A day's list is whole; what was searched for is narrowed down by more letters.
    let most = if none == Word::TodayNone {
        papers.len()
    } else {
        FOUND_AT_MOST
    };
    let more = papers.len().saturating_sub(most);
    let more = (more > 0).then(|| {
        let count = more.to_string();
        view! { <p>{move || fill(Phrase::TodayFoundMore { count: &count })}</p> }
    });
    let rows = papers.into_iter().take(most).map(|paper| {
        let name = names.of(&paper.member);
        let member = sentences::member(&paper.member, name);
        row(paper, all, member)
    });
    view! { <ul class="rows">{rows.collect::<Vec<_>>()}</ul> {more} }.into_node()
}

fn row(paper: &Paper, all: &Papers, member: String) -> Node {
    let undone = all.undone(&paper.number);
    let word = if undone.is_some() {
        Word::TodayCancelled
    } else {
        sentences::decision(paper.decision)
    };
    let reason = undone.map(|undone| {
        let by = all.replaced_by(&paper.number).map(|by| {
            let number = by.to_string();
            view! { <span>{move || fill(Phrase::CancelReplacedBy { number: &number })}</span> }
        });
        view! { <span class="hint">{undone.reason.to_string()}</span> {by} }
    });
    let net = paper.net_g;
    let weight = move || {
        net.map(|net| {
            format!(
                "{} {}",
                figures::kilograms(net),
                spoken(Word::PurchaseUnitKg)
            )
        })
    };
    let total = paper
        .total
        .map(|(minor, currency)| sentences::money(minor, currency));
    let struck = undone.is_some();
    let owed = (all.owed(paper) > 0).then(|| view! { <span>{say(Word::PaperOwed)}</span> });
    let href = Route::Receipt(paper.seq).href();
    view! {
        <li>
            <a class="row" href=href>
                <span class="row-top">
                    <span class="number-of-paper">{paper.number.to_string()}</span>
                    <span>{say(word)}</span>
                </span>
                <span class="row-top"><span>{member}</span> {owed}</span>
                <span class="row-figures" class:struck=struck>
                    <span>{weight}</span>
                    <span>{total}</span>
                </span>
                {reason}
            </a>
        </li>
    }
    .into_node()
}
