//! Plots where a person would look rather than read, each with its figures as a table behind it.

use super::answer::{Answer, Sheet};
use super::asked::{Query, day_if_any};
use super::plots::{Bar, Plot, Points, bars, behind, points};
use super::visit::Clerk;
use super::{Pages, Place};
use crate::currency::{of_ledger, sum as amount};
use crate::statistics::{Moistures, STEP, Statistics, Weighed, gather};
use crate::terms::trial::last_month;
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::State;
use axum::response::Response;
use combgate_core::intake::Bee;
use combgate_core::units::{Code, Currency};
use combgate_ui::figures::{kilograms, percent};
use combgate_ui::sentences;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;
use std::collections::BTreeSet;

/// Limits within so much of the wettest are drawn too, hundredths of a percent.
const NEAR: i64 = 3_00;

/// Which days.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
}

pub(super) async fn show(
    State(pages): State<Pages>,
    clerk: Clerk,
    Query(asked): Query<Asked>,
) -> Response {
    pages
        .show(clerk, Place::Statistics, move |desk, clerk| {
            let language = clerk.language();
            let month = last_month(&desk.store)?;
            let first = day_if_any(Word::TermsFrom, &asked.from)?.unwrap_or(*month.start());
            let last = day_if_any(Word::TermsUntil, &asked.to)?.unwrap_or(*month.end());
            let found = gather(&desk.store, first..=last)?;
            let body = view! {
                {choice(language, &found)}
                {by_day(language, &found)}
                {prices(language, &found, of_ledger(&desk.store)?)}
                {moistures(language, Bee::Honeybee, &found.honeybee)}
                {moistures(language, Bee::StinglessBee, &found.stingless_bee)}
                {digits(language, &found.weighed)}
            };
            Ok(Answer::Sheet(Sheet {
                title: text(language, Word::NavStatistics).to_owned(),
                body: body.into_any(),
            }))
        })
        .await
}

fn choice(language: Language, found: &Statistics) -> AnyView {
    let say = |word| text(language, word);
    view! {
        <form method="get" action="/statistics" class="choose">
            <p class="field">
                <label for="from">{say(Word::TermsFrom)}</label>
                <input id="from" name="from" type="date" value=found.first.to_string() required/>
            </p>
            <p class="field">
                <label for="to">{say(Word::TermsUntil)}</label>
                <input id="to" name="to" type="date" value=found.last.to_string() required/>
            </p>
            <p><button type="submit">{say(Word::FindingsShow)}</button></p>
        </form>
    }
    .into_any()
}

fn by_day(language: Language, found: &Statistics) -> AnyView {
    let say = |word| text(language, word);
    let grades: BTreeSet<&Code> = found.grams.values().flat_map(|day| day.keys()).collect();
    if grades.is_empty() {
        return view! { <p class="notice">{say(Word::DayNone)}</p> }.into_any();
    }
    let all: Vec<Bar> = found
        .grams
        .iter()
        .map(|(day, by_grade)| Bar {
            under: day.format("%m-%d").to_string(),
            parts: grades
                .iter()
                .map(|grade| by_grade.get(*grade).copied().unwrap_or(0))
                .collect(),
        })
        .collect();
    let most = all.iter().map(|bar| bar.parts.iter().sum::<i64>()).max();
    let mut heads = vec![say(Word::ColumnDay).to_owned()];
    heads.extend(grades.iter().map(|grade| format!("{grade}, kg")));
    let rows = found
        .grams
        .iter()
        .map(|(day, by_grade)| {
            let mut row = vec![day.to_string()];
            row.extend(
                grades
                    .iter()
                    .map(|grade| kilograms(by_grade.get(*grade).copied().unwrap_or(0))),
            );
            row
        })
        .collect();
    let title = say(Word::StatisticsByDay);
    view! {
        <section>
            <h2>{title}</h2>
            {bars(Plot::LARGE, &all, &kilograms(most.unwrap_or(0)), title.to_owned())}
            {key(language, &grades, false)}
            {behind(language, heads, rows)}
        </section>
    }
    .into_any()
}

/// What a kilogram came to, a line of points for each grade.
fn prices(language: Language, found: &Statistics, currency: Option<Currency>) -> AnyView {
    let grades: BTreeSet<&Code> = found.grams.values().flat_map(|day| day.keys()).collect();
    if grades.is_empty() {
        return ().into_any();
    }
    let unit = currency.map_or("", Currency::code);
    let title = phrase(language, Phrase::StatisticsPrice { currency: unit });
    let days: Vec<String> = found
        .grams
        .keys()
        .map(|day| day.format("%m-%d").to_string())
        .collect();
    let lines: Vec<Vec<Option<i64>>> = grades
        .iter()
        .map(|grade| {
            let days = found.grams.keys();
            days.map(|day| found.per_kg_minor(*day, grade)).collect()
        })
        .collect();
    let shown = |minor: i64| amount(minor, currency);
    let mut heads = vec![text(language, Word::ColumnDay).to_owned()];
    heads.extend(grades.iter().map(|grade| format!("{grade}, {unit}")));
    let rows = found
        .grams
        .keys()
        .map(|day| {
            let cell = |grade| {
                found
                    .per_kg_minor(*day, grade)
                    .map_or_else(|| "–".to_owned(), shown)
            };
            let cells = grades.iter().map(|grade| cell(grade));
            std::iter::once(day.to_string()).chain(cells).collect()
        })
        .collect();
    let drawn = Points {
        days: &days,
        lines: &lines,
        shown: &shown,
    };
    view! {
        <section>
            <h2>{title.clone()}</h2>
            <p>{text(language, Word::StatisticsPriceWhat)}</p>
            {points(&drawn, title)}
            {key(language, &grades, true)}
            {behind(language, heads, rows)}
        </section>
    }
    .into_any()
}

/// Which mark is which grade.
fn key(language: Language, grades: &BTreeSet<&Code>, as_points: bool) -> AnyView {
    let all: Vec<_> = grades
        .iter()
        .enumerate()
        .map(|(place, grade)| {
            let mark = if as_points {
                super::plots::mark(place, 6, 6)
            } else {
                let class = format!("part part-{}", place % 4);
                view! { <rect class=class width="12" height="12"></rect> }.into_any()
            };
            view! {
                <li>
                    <svg class="key" viewBox="0 0 12 12" aria-hidden="true">{mark}</svg>
                    {format!("{} {grade}", text(language, Word::ColumnGrade))}
                </li>
            }
        })
        .collect();
    view! { <ul class="key-list">{all}</ul> }.into_any()
}

fn moistures(language: Language, bee: Bee, found: &Moistures) -> AnyView {
    let (Some((first, _)), Some((last, _))) = (
        found.counts.first_key_value(),
        found.counts.last_key_value(),
    ) else {
        return ().into_any();
    };
    let near = found.limits.iter().filter(|limit| **limit - last <= NEAR);
    let end = near
        .clone()
        .max()
        .map_or(*last, |limit| (*limit).max(*last));
    let plot = Plot {
        limits: near
            .map(|limit| ((limit - first) / STEP, format!("{} %", percent(*limit))))
            .collect(),
        ..Plot::LARGE
    };
    let next = |step: &i64| Some(step + STEP).filter(|next| *next <= end);
    let steps: Vec<i64> = std::iter::successors(Some(*first), next).collect();
    let of = |step: &i64| found.counts.get(step).copied().unwrap_or(0);
    let all: Vec<Bar> = steps
        .iter()
        .map(|step| Bar {
            under: percent(*step),
            parts: vec![i64::try_from(of(step)).unwrap_or(i64::MAX)],
        })
        .collect();
    let most = steps.iter().map(of).max().unwrap_or(0).to_string();
    let bee = combgate_ui::words::text(language, sentences::bee(bee));
    let title = phrase(language, Phrase::StatisticsMoisture { bee });
    let limits: Vec<String> = found
        .limits
        .iter()
        .map(|limit| format!("{} %", percent(*limit)))
        .collect();
    let above = |limit: &i64| -> u64 {
        let counts = found.counts.iter();
        counts
            .filter(|(step, _)| *step >= limit)
            .map(|(_, count)| count)
            .sum()
    };
    let told: Vec<_> = found
        .limits
        .iter()
        .map(|limit| {
            let (limit_in_words, count) = (percent(*limit), above(limit).to_string());
            let just_below = of(&((limit - 1).div_euclid(STEP) * STEP)).to_string();
            view! {
                <li>
                    {phrase(
                        language,
                        Phrase::StatisticsLimit {
                            limit: &limit_in_words,
                            below: &just_below,
                            above: &count,
                        },
                    )}
                </li>
            }
        })
        .collect();
    let heads = vec![
        text(language, Word::StatisticsFromPercent).to_owned(),
        text(language, Word::StatisticsPapers).to_owned(),
    ];
    let rows = steps
        .iter()
        .map(|step| vec![percent(*step), of(step).to_string()])
        .collect();
    let name = format!("{title}. {}", limits.join(", "));
    view! {
        <section>
            <h2>{title}</h2>
            {bars(plot, &all, &most, name)}
            <ul class="lines">{told}</ul>
            {behind(language, heads, rows)}
        </section>
    }
    .into_any()
}

fn digits(language: Language, all: &[Weighed]) -> AnyView {
    let say = |word| text(language, word);
    if all.is_empty() {
        return ().into_any();
    }
    let each: Vec<_> = all
        .iter()
        .map(|weighed| {
            let bar = |(digit, count): (usize, &u64)| Bar {
                under: digit.to_string(),
                parts: vec![i64::try_from(*count).unwrap_or(i64::MAX)],
            };
            let drawn: Vec<Bar> = weighed.digits.iter().enumerate().map(bar).collect();
            let most = weighed
                .digits
                .iter()
                .max()
                .copied()
                .unwrap_or(0)
                .to_string();
            let title = format!("{}, {}", weighed.officer, weighed.scale);
            let verdict = match (weighed.enough, weighed.uneven) {
                (false, _) => Word::StatisticsTooFew,
                (true, true) => Word::StatisticsUneven,
                (true, false) => Word::StatisticsEven,
            };
            let class = if weighed.uneven {
                "notice care"
            } else {
                "notice"
            };
            let heads = vec![
                say(Word::StatisticsDigit).to_owned(),
                say(Word::StatisticsPails).to_owned(),
            ];
            let rows = weighed
                .digits
                .iter()
                .enumerate()
                .map(|(digit, count)| vec![digit.to_string(), count.to_string()])
                .collect();
            let name = format!("{} {title}", say(Word::StatisticsDigits));
            view! {
                <div class="small-plot">
                    <h3>{title}</h3>
                    {bars(Plot::SMALL, &drawn, &most, name)}
                    <p class=class>{say(verdict)}</p>
                    {behind(language, heads, rows)}
                </div>
            }
        })
        .collect();
    view! {
        <section>
            <h2>{say(Word::StatisticsDigits)}</h2>
            <p>{say(Word::StatisticsDigitsWhat)}</p>
            <div class="small-plots">{each}</div>
        </section>
    }
    .into_any()
}
