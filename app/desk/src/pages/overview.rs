//! The overview: what needs attention today, and who has handed over up to where.

use super::answer::{Answer, Sheet, Trouble};
use super::parts::{Column, Named, day, minute, table, weight};
use super::visit::Clerk;
use super::{Pages, Place, names};
use crate::currency::of_ledger;
use crate::currency::sum as amount;
use crate::desk::{self, OpenDesk};
use crate::findings::{LookedAt, of_all};
use crate::handsets::{Standing, standing};
use crate::keys::DeskCheck;
use crate::store::{DayStands, Journals, Office, Papers, SqliteStore, StoreError, Sums, TermsKind};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use chrono::NaiveDate;
use combgate_core::clerk::FindingWeight;
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::kilograms;
use combgate_ui::words::Language;
use leptos::prelude::*;
use std::collections::HashSet;

/// Days shown: a fortnight is what a clerk still has in mind.
const DAYS: usize = 14;
/// A brief that ends within so many days is to be renewed.
const BRIEF_ENDS_SOON: i64 = 3;

pub(super) async fn show(State(pages): State<Pages>, clerk: Clerk) -> Response {
    pages
        .show(clerk, Place::Overview, |desk, clerk| {
            let found = of_all(&desk.store, &DeskCheck)?;
            let rows = standing(&desk.store)?;
            let days = day_rows(&desk.store, &found)?;
            let lacking = lacking(desk)?;
            let currency = of_ledger(&desk.store)?;
            let language = clerk.language();
            let body = view! {
                {attention(language, &found, &lacking)}
                {handsets(language, &rows, &found)}
                {day_table(language, &days, currency)}
            };
            Ok::<_, Trouble>(Answer::Sheet(Sheet {
                title: text(language, Word::OverviewTitle).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

/// What the desk itself still lacks before briefs can be made.
fn lacking(desk: &OpenDesk) -> Result<Vec<Word>, StoreError> {
    let today = desk::now().date_naive();
    let mut lacking = Vec::new();
    if desk.desk.cooperative.is_none() {
        lacking.push(Word::LackingCooperative);
    }
    if desk
        .store
        .terms_in_force(TermsKind::Policy, today)?
        .is_none()
    {
        lacking.push(Word::LackingPolicy);
    }
    if desk
        .store
        .terms_in_force(TermsKind::PriceList, today)?
        .is_none()
    {
        lacking.push(Word::LackingPrices);
    }
    Ok(lacking)
}

fn attention(language: Language, found: &[LookedAt], lacking: &[Word]) -> AnyView {
    let say = |word| text(language, word);
    let open = |wanted| {
        found
            .iter()
            .filter(|each| each.finding.weight == wanted && !each.is_settled())
            .count()
    };
    let waiting = found
        .iter()
        .filter(|each| each.last_step().is_some() && !each.is_settled())
        .count();
    let tiles: Vec<_> = [
        (
            FindingWeight::Serious,
            "serious",
            Word::OverviewSeriousMeans,
        ),
        (
            FindingWeight::Question,
            "question",
            Word::OverviewQuestionMeans,
        ),
        (FindingWeight::Note, "note", Word::OverviewNoteMeans),
    ]
    .into_iter()
    .map(|(each, query, means)| {
        let count = open(each);
        let class = if count == 0 { "tile none" } else { "tile" };
        view! {
            <li class=class>
                <a href=format!("/findings?weight={query}")>
                    {weight(language, each)} <strong class="count">{count}</strong>
                </a>
                <p>{say(means)}</p>
            </li>
        }
    })
    .collect();
    let all_well = open(FindingWeight::Serious) + open(FindingWeight::Question) == 0;
    let lacking: Vec<_> = lacking
        .iter()
        .map(|word| view! { <li>{say(*word)}</li> })
        .collect();
    view! {
        <section>
            <h2 id="attention">{say(Word::OverviewAttention)}</h2>
            {(!lacking.is_empty()).then(|| view! { <ul class="notice bad lines">{lacking}</ul> })}
            {all_well
                .then(|| view! { <p class="notice good">{say(Word::OverviewAllWell)}</p> })}
            <ul class="tiles">{tiles}</ul>
            {(waiting > 0)
                .then(|| {
                    let count = waiting.to_string();
                    view! { <p>{phrase(language, Phrase::OverviewWaiting { count: &count })}</p> }
                })}
        </section>
    }
    .into_any()
}

/// Findings of a handset that its officer is to hear of.
fn asked_of(found: &[LookedAt], standing: &Standing) -> usize {
    let own = found
        .iter()
        .filter(|each| each.handset == standing.handset.code);
    own.filter(|each| each.is_asked()).count()
}

fn handsets(language: Language, rows: &[Standing], found: &[LookedAt]) -> AnyView {
    let say = |word| text(language, word);
    let today = desk::now().date_naive();
    let all: Vec<_> = rows
        .iter()
        .map(|row| {
            let code = row.handset.code.to_string();
            let href = format!("/handsets/{code}");
            let to_do = format!("/findings?handset={code}");
            let open = asked_of(found, row);
            let brief = match row.brief_until {
                None => say(Word::OverviewNoBrief).into_any(),
                Some(last) if (last - today).num_days() < BRIEF_ENDS_SOON => {
                    let until = last.to_string();
                    phrase(language, Phrase::OverviewBriefEnds { day: &until }).into_any()
                }
                Some(last) => day(last),
            };
            view! {
                <tr>
                    <th scope="row">
                        <a href=href>{code}</a>
                        <span class="under">{row.handset.name.to_string()}</span>
                        {row
                            .out_of_use
                            .map(|cause| {
                                view! { <strong class="mark">{say(names::cause(cause))}</strong> }
                            })}
                    </th>
                    <td class="number">{row.handset.head.seq}</td>
                    <td class="number">
                        {if row.waiting > 0 { row.waiting.to_string() } else { "–".to_owned() }}
                    </td>
                    <td>
                        {row
                            .handed_over
                            .map_or_else(
                                || say(Word::OverviewNever).into_any(),
                                minute,
                            )}
                    </td>
                    <td>
                        {row
                            .open_day
                            .map_or_else(
                                || say(Word::OverviewNoneOpen).into_any(),
                                day,
                            )}
                    </td>
                    <td>{brief}</td>
                    <td class="number">
                        {if open > 0 {
                            view! { <a href=to_do><strong>{open}</strong></a> }.into_any()
                        } else {
                            view! { "–" }.into_any()
                        }}
                    </td>
                </tr>
            }
        })
        .collect();
    if all.is_empty() {
        return view! {
            <section>
                <h2 id="handed-over">{say(Word::OverviewHandedOver)}</h2>
                <p>{say(Word::OverviewNoHandset)} " " <a href="/handsets">{say(Word::NavHandsets)}</a></p>
            </section>
        }
        .into_any();
    }
    let shown = table(
        Named::By("handed-over"),
        [
            Column::text(say(Word::ColumnHandset)),
            Column::number(say(Word::ColumnBookedTo)),
            Column::number(say(Word::ColumnWaiting)),
            Column::text(say(Word::ColumnLastBundle)),
            Column::text(say(Word::ColumnOpenDay)),
            Column::text(say(Word::ColumnBriefUntil)),
            Column::number(say(Word::ColumnToLookAt)),
        ],
        all.into_any(),
    );
    view! {
        <section>
            <h2 id="handed-over">{say(Word::OverviewHandedOver)}</h2>
            {shown}
        </section>
    }
    .into_any()
}

/// What the overview tells of a day.
struct DayRow {
    day: NaiveDate,
    stands: DayStands,
    open: usize,
}

fn day_rows(store: &SqliteStore, found: &[LookedAt]) -> Result<Vec<DayRow>, StoreError> {
    let asked: HashSet<(&Code, u64)> = found
        .iter()
        .filter(|each| each.is_asked())
        .map(|each| (&each.handset, each.finding.seq))
        .collect();
    let mut rows = Vec::new();
    for day in store.latest_days(DAYS)? {
        let mut papers = HashSet::new();
        for (handset, finding) in store.findings_on(day)? {
            if asked.contains(&(&handset, finding.seq))
                && store.paper(&handset, finding.seq)?.is_some()
            {
                papers.insert((handset, finding.seq));
            }
        }
        rows.push(DayRow {
            day,
            stands: store.day_stands(day)?,
            open: papers.len(),
        });
    }
    Ok(rows)
}

fn day_table(language: Language, rows: &[DayRow], currency: Option<Currency>) -> AnyView {
    let say = |word| text(language, word);
    if rows.is_empty() {
        return ().into_any();
    }
    let all: Vec<_> = rows
        .iter()
        .map(|row| {
            let day = row.day.to_string();
            view! {
                <tr>
                    <th scope="row"><a href=format!("/days/{day}")>{day.clone()}</a></th>
                    <td class="number">{kilograms(row.stands.net_g)}</td>
                    <td class="number">{amount(row.stands.payable_minor, currency)}</td>
                    <td class="number">{amount(row.stands.owed_minor, currency)}</td>
                    <td class="number">
                        {if row.open > 0 { row.open.to_string() } else { "–".to_owned() }}
                    </td>
                </tr>
            }
        })
        .collect();
    let unit = currency.map_or("", Currency::code);
    let shown = table(
        Named::By("days"),
        [
            Column::text(say(Word::ColumnDay)),
            Column::number(say(Word::ColumnNetKg)),
            Column::number(phrase(language, Phrase::ColumnPayable { currency: unit })),
            Column::number(phrase(language, Phrase::ColumnOwed { currency: unit })),
            Column::number(say(Word::ColumnPapersToLookAt)),
        ],
        all.into_any(),
    );
    view! {
        <section>
            <h2 id="days">{say(Word::OverviewDays)}</h2>
            {shown}
            <p class="quiet">{say(Word::OverviewDaysStand)}</p>
        </section>
    }
    .into_any()
}
