//! Plots where a person would look rather than read, each with its figures as a table behind it.

use super::answer::{Answer, Sheet};
use super::visit::Clerk;
use super::{Pages, Place};
use crate::dry_run::last_month;
use crate::statistics::{Moistures, STEP, Statistics, Weighed, gather};
use crate::words::{Phrase, Word, phrase, text};
use axum::extract::{Query, State};
use axum::response::Response;
use chrono::NaiveDate;
use combgate_core::intake::Bee;
use combgate_core::units::Code;
use combgate_ui::figures::{kilograms, percent};
use combgate_ui::sentences;
use combgate_ui::words::Language;
use leptos::prelude::*;
use serde::Deserialize;
use std::collections::BTreeSet;

/// Room around a plot for its words, in its own units.
const LEFT: i64 = 56;
const BELOW: i64 = 34;
const ABOVE: i64 = 22;
/// A bar is no wider, however few there are.
const BAR_AT_MOST: i64 = 56;
/// Limits within so much of the wettest are drawn too, hundredths of a percent.
const NEAR: i64 = 3_00;

/// A plot's size in its own units, and limits to draw: at which bar's left edge, and how they are
/// called.
struct Plot {
    width: i64,
    high: i64,
    limits: Vec<(i64, String)>,
}

impl Plot {
    const LARGE: Self = Self {
        width: 640,
        high: 240,
        limits: Vec::new(),
    };
    const SMALL: Self = Self {
        width: 340,
        high: 170,
        limits: Vec::new(),
    };
}

/// Which days.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Asked {
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
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
            let first = asked.from.unwrap_or(*month.start());
            let last = asked.to.unwrap_or(*month.end());
            let found = gather(&desk.store, first..=last)?;
            let body = view! {
                {choice(language, &found)}
                {by_day(language, &found)}
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

/// A bar of a plot: what stands under it, and its parts from the ground up.
struct Bar {
    under: String,
    parts: Vec<i64>,
}

/// Bars on a ground line, the greatest as high as the plot, with its value beside it.
fn bars(plot: Plot, bars: &[Bar], greatest_in_words: &str, name: String) -> AnyView {
    let Plot {
        width,
        high,
        limits,
    } = plot;
    let greatest = bars
        .iter()
        .map(|bar| bar.parts.iter().sum::<i64>())
        .max()
        .unwrap_or(0)
        .max(1);
    let count = i64::try_from(bars.len()).unwrap_or(i64::MAX).max(1);
    let ground = high - BELOW;
    let room = ground - ABOVE;
    let step = (width - LEFT) / count;
    let wide = (step * 4 / 5).clamp(2, BAR_AT_MOST);
    let mut shapes = Vec::new();
    for (place, bar) in (0_i64..).zip(bars) {
        let x = LEFT + place * step + (step - wide) / 2;
        let mut y = ground;
        for (part, size) in bar.parts.iter().enumerate() {
            let tall = size.max(&0) * room / greatest;
            y -= tall;
            let class = format!("part part-{}", part % 4);
            shapes.push(
                view! { <rect class=class x=x y=y width=wide height=tall></rect> }.into_any(),
            );
        }
        // Words under every bar would run into each other.
        let every = (count / 12).max(1);
        if place % every == 0 {
            let middle = x + wide / 2;
            shapes.push(
                view! {
                    <text x=middle y=ground + 18 text-anchor="middle">{bar.under.clone()}</text>
                }
                .into_any(),
            );
        }
    }
    for (place, words) in limits {
        let x = LEFT + place * step;
        shapes.push(
            view! {
                <line class="limit" x1=x y1=ABOVE - 6 x2=x y2=ground></line>
                <text x=x - 4 y=ABOVE - 8 text-anchor="end">{words}</text>
            }
            .into_any(),
        );
    }
    view! {
        <svg class="plot" viewBox=format!("0 0 {width} {high}") role="img" aria-label=name>
            <line class="ground" x1=LEFT y1=ground x2=width y2=ground></line>
            <line class="most" x1=LEFT y1=ABOVE x2=width y2=ABOVE></line>
            <text x=LEFT - 6 y=ABOVE + 5 text-anchor="end">{greatest_in_words.to_owned()}</text>
            <text x=LEFT - 6 y=ground text-anchor="end">"0"</text>
            {shapes}
        </svg>
    }
    .into_any()
}

/// The figures behind a plot.
fn behind(language: Language, heads: Vec<String>, rows: Vec<Vec<String>>) -> AnyView {
    let heads: Vec<_> = heads
        .into_iter()
        .enumerate()
        .map(|(place, head)| {
            let class = if place == 0 { "" } else { "number" };
            view! { <th scope="col" class=class>{head}</th> }
        })
        .collect();
    let rows: Vec<_> = rows
        .into_iter()
        .map(|row| {
            let mut cells = row.into_iter();
            let name = cells.next().unwrap_or_default();
            let cells: Vec<_> = cells
                .map(|cell| view! { <td class="number">{cell}</td> })
                .collect();
            view! { <tr><th scope="row">{name}</th>{cells}</tr> }
        })
        .collect();
    view! {
        <details>
            <summary>{text(language, Word::StatisticsTable)}</summary>
            <div class="scroll" tabindex="0">
                <table>
                    <thead><tr>{heads}</tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            </div>
        </details>
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
    let key: Vec<_> = grades
        .iter()
        .enumerate()
        .map(|(place, grade)| {
            let class = format!("part part-{}", place % 4);
            view! {
                <li>
                    <svg class="key" viewBox="0 0 12 12" aria-hidden="true">
                        <rect class=class width="12" height="12"></rect>
                    </svg>
                    {format!("{} {grade}", say(Word::ColumnGrade))}
                </li>
            }
        })
        .collect();
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
            <ul class="key-list">{key}</ul>
            {behind(language, heads, rows)}
        </section>
    }
    .into_any()
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
