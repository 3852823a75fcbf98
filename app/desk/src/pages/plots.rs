//! Drawing plots: bars and points with few words, and the figures behind them as a table.
//!
//! A plot is drawn in its own units and made as wide as its place, so its words would shrink with it
//! where the window is narrow. The style sheet makes them larger there, and a plot leaves out words
//! that would then run into each other.

use crate::words::{Word, text};
use combgate_ui::words::Language;
use leptos::prelude::*;

/// Room around a plot for its words, in its own units.
const LEFT: i64 = 96;
/// Where words beside a plot begin.
const EDGE: i64 = 4;
const BELOW: i64 = 40;
const ABOVE: i64 = 30;
/// Words under a plot at most, and where the window is narrow.
const WORDS_AT_MOST: i64 = 12;
const WORDS_WHEN_NARROW: i64 = 4;
/// A bar is no wider, however few there are.
const BAR_AT_MOST: i64 = 56;
/// A plot's size in its own units, and limits to draw: at which bar's left edge, and how they are
/// called.
pub(super) struct Plot {
    pub(super) width: i64,
    pub(super) high: i64,
    pub(super) limits: Vec<(i64, String)>,
}

impl Plot {
    pub(super) const LARGE: Self = Self {
        width: 640,
        high: 240,
        limits: Vec::new(),
    };
    pub(super) const SMALL: Self = Self {
        width: 340,
        high: 170,
        limits: Vec::new(),
    };
}

/// A bar of a plot: what stands under it, and its parts from the ground up.
pub(super) struct Bar {
    pub(super) under: String,
    pub(super) parts: Vec<i64>,
}

/// Bars on a ground line, the greatest as high as the plot, with its value beside it.
pub(super) fn bars(plot: Plot, bars: &[Bar], greatest_in_words: &str, name: String) -> AnyView {
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
        if let Some(words) = under(place, count, x + wide / 2, ground, &bar.under) {
            shapes.push(words);
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
            <text x=EDGE y=ABOVE + 22>{greatest_in_words.to_owned()}</text>
            <text x=EDGE y=ground - 6>"0"</text>
            {shapes}
        </svg>
    }
    .into_any()
}

/// The figures behind a plot.
pub(super) fn behind(language: Language, heads: Vec<String>, rows: Vec<Vec<String>>) -> AnyView {
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
        <details class="behind">
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

/// Lines of points over days; a line is missing a point where nothing was bought.
pub(super) struct Points<'a> {
    pub(super) days: &'a [String],
    pub(super) lines: &'a [Vec<Option<i64>>],
    /// A value in words.
    pub(super) shown: &'a dyn Fn(i64) -> String,
}

/// A point of a line; the shape tells lines apart, and not the colour alone.
pub(super) fn mark(line: usize, x: i64, y: i64) -> AnyView {
    let class = format!("part part-{}", line % 4);
    match line % 4 {
        0 => view! { <circle class=class cx=x cy=y r="5"></circle> }.into_any(),
        1 => view! { <rect class=class x=x - 5 y=y - 5 width="10" height="10"></rect> }.into_any(),
        2 => view! {
            <path class=class d=format!("M{x} {}l6 10h-12z", y - 6)></path>
        }
        .into_any(),
        _ => view! {
            <path class=class d=format!("M{x} {}l6 6l-6 6l-6 -6z", y - 6)></path>
        }
        .into_any(),
    }
}

/// Points over days, between the least value and the greatest; the ground is not nothing, and both
/// ends say so.
pub(super) fn points(drawn: &Points<'_>, name: String) -> AnyView {
    let Plot { width, high, .. } = Plot::LARGE;
    let all = || drawn.lines.iter().flatten().flatten().copied();
    let (least, most) = (all().min().unwrap_or(0), all().max().unwrap_or(0));
    let span = most.saturating_sub(least).max(1);
    let ground = high - BELOW;
    let room = ground - ABOVE;
    let count = i64::try_from(drawn.days.len()).unwrap_or(i64::MAX).max(1);
    let step = (width - LEFT) / count;
    let middle = |place: i64| LEFT + place * step + step / 2;
    let height = |value: i64| {
        let share = i128::from(value.saturating_sub(least)) * i128::from(room) / i128::from(span);
        // Equal values stand in the middle rather than on the ground.
        let tall = if least == most {
            room / 2
        } else {
            i64::try_from(share).unwrap_or(room)
        };
        ground - tall
    };
    let mut shapes = Vec::new();
    for (line, values) in drawn.lines.iter().enumerate() {
        let places: Vec<(i64, i64)> = (0_i64..)
            .zip(values)
            .filter_map(|(place, value)| Some((middle(place), height((*value)?))))
            .collect();
        let path: Vec<String> = places.iter().map(|(x, y)| format!("{x},{y}")).collect();
        let class = format!("trace trace-{}", line % 4);
        shapes.push(view! { <polyline class=class points=path.join(" ")></polyline> }.into_any());
        shapes.extend(places.into_iter().map(|(x, y)| mark(line, x, y)));
    }
    for (place, day) in (0_i64..).zip(drawn.days) {
        if let Some(words) = under(place, count, middle(place), ground, day) {
            shapes.push(words);
        }
    }
    let least_in_words = (least != most).then(|| (drawn.shown)(least));
    let most_at = if least == most {
        ABOVE + room / 2
    } else {
        ABOVE
    };
    view! {
        <svg class="plot" viewBox=format!("0 0 {width} {high}") role="img" aria-label=name>
            <line class="ground" x1=LEFT y1=ground x2=width y2=ground></line>
            <line class="most" x1=LEFT y1=most_at x2=width y2=most_at></line>
            <text x=EDGE y=most_at + 22>{(drawn.shown)(most)}</text>
            <text x=EDGE y=ground - 6>{least_in_words}</text>
            {shapes}
        </svg>
    }
    .into_any()
}

/// Words under a place of a plot, where there is room for them: every one where there are few, fewer
/// in a narrow window, whose words are larger.
fn under(place: i64, count: i64, x: i64, ground: i64, words: &str) -> Option<AnyView> {
    let every = |at_most: i64| count.div_euclid(at_most).max(1);
    if place % every(WORDS_AT_MOST) != 0 {
        return None;
    }
    let class = (place % every(WORDS_WHEN_NARROW) != 0).then_some("spare");
    Some(
        view! {
            <text class=class x=x y=ground + 27 text-anchor="middle">{words.to_owned()}</text>
        }
        .into_any(),
    )
}
