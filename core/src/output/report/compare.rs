//! The report of a comparison, for choosing between takes: the clear differences, the figures of each take on
//! one scale, then each difference with its interval.

use super::figures::{self as tables, NONE};
use super::intervals::{Interval, intervals};
use super::page::{Cell, Column, Section, counted, page, px, table_with_axis};
use super::picture::{Axis, beside_words, whisker};
use super::reference::{self, OwnSolos};
use super::take::sentences;
use super::{aligned, figures};
use crate::phrase::figures::Figures;
use crate::study::compare::{
    ComparedMeasure, Comparison, Gap, NamedTake, Style, TakeDifference, bars_text, claim, points,
};
use crate::time::metre_map::MetreMap;
use maud::{Markup, html};

/// The content of the report of a comparison.
#[derive(Debug, Clone, Copy)]
pub struct CompareReport<'a> {
    /// Its title.
    pub title: &'a str,
    /// The comparison.
    pub comparison: &'a Comparison,
    /// The compared takes.
    pub takes: &'a [NamedTake<'a>],
    /// The metres of each.
    pub metres: &'a [&'a MetreMap],
    /// The style of recorded solos to compare with.
    pub style: Style,
    /// The user's own reference solos.
    pub own: OwnSolos<'a>,
}

/// Most differences in the first lines.
const MAX_SENTENCES: usize = 3;

/// The page of a comparison.
#[must_use]
pub fn compare_report(report: &CompareReport<'_>) -> String {
    let CompareReport { title, comparison, takes, .. } = *report;
    let named: Vec<(String, &Figures)> =
        comparison.takes.iter().map(|take| (take.name.clone(), &take.figures)).collect();
    let aligned = html! {
        @for (index, take) in takes.iter().enumerate() {
            h3 { bdi { (take.name) } }
            (aligned::aligned(&format!("aligned{index}"), take.name, take.phrases))
        }
    };
    let mut sections = vec![
        Section::new("Size of each difference", differences(comparison)),
        Section::new("Phrases aligned to the bar line", aligned),
    ];
    sections.extend(references(report));
    sections
        .push(Section::new("All figures", tables::parts("Figures of each take", "Take", &named)));
    let subtitle = format!("{} compared", counted(comparison.takes.len(), "take"));
    page(
        title,
        &subtitle,
        &html! { (lead(comparison)) (grids(comparison)) (each_take(comparison)) },
        &sections,
    )
}

/// The clear differences, in sentences.
fn lead(comparison: &Comparison) -> Markup {
    let clear: Vec<String> = comparison
        .differences
        .iter()
        .filter(|difference| difference.holds)
        .filter_map(|difference| {
            let names = (name(comparison, difference.first), name(comparison, difference.second));
            Some(format!("{}.", claim(names.0, names.1, difference.gap?)))
        })
        .collect();
    let more = clear.len().saturating_sub(MAX_SENTENCES);
    html! {
        @for text in clear.iter().take(MAX_SENTENCES) { p.lead { bdi { (text) } } }
        @if more > 0 { p { (counted(more, "more clear difference")) " below." } }
        @if clear.is_empty() { p.lead { "No clear difference between these takes." } }
    }
}

fn name(comparison: &Comparison, take: usize) -> &str {
    comparison.takes.get(take).map_or("", |take| take.name.as_str())
}

/// The source of the beats of takes without a click.
fn grids(comparison: &Comparison) -> Markup {
    html! {
        @for take in &comparison.takes {
            @if let Some(grid) = &take.grid { p { bdi { (take.name) } ": " (sentences(grid)) } }
        }
    }
}

/// Width and height of a scale in a row, and of its axis.
const ROW: (f64, f64) = (300.0, 20.0);
const AXIS: (f64, f64) = (300.0, 20.0);

/// Starts, phrase lengths and space of each take, on common scales.
fn each_take(comparison: &Comparison) -> Markup {
    let ends = (4.0, ROW.0 - 4.0);
    let shares = Axis::percent(ends.0, ends.1);
    let longest = comparison.takes.iter().filter_map(|take| take.figures.lengths);
    let longest = longest.map(|lengths| lengths.bars.upper).fold(1.0, f64::max);
    let bars = Axis::up_to(longest, ends, "\u{a0}bars");
    let row = |take: &crate::study::compare::ComparedTake| -> Vec<Cell> {
        let of = &take.figures;
        let off = of.off_beat_entries.share().zip(of.off_beat_entries.interval());
        let off = off.map(|(value, (low, high))| {
            let [value, low, high] = [value, low, high].map(|v| shares.x(v * 100.0));
            (value, (low, high))
        });
        let length = of.lengths.map(|lengths| {
            let [median, lower, upper] =
                [lengths.bars.median, lengths.bars.lower, lengths.bars.upper].map(|v| bars.x(v));
            (median, (lower, upper))
        });
        vec![
            html! { bdi { (take.name) } }.into(),
            html! { (scale(&shares, off)) (figures::share_with_interval(&of.off_beat_entries)) }
                .into(),
            html! { (scale(&bars, length)) (figures::bars(of)) }.into(),
            figures::space(of).into(),
        ]
    };
    let head = [
        ("Take", Column::Text),
        ("Off-beat starts, with 95 % CI", Column::Drawn),
        ("Typical phrase length, with the middle 50 %", Column::Drawn),
        ("Space", Column::Number),
    ];
    let axis = |axis: &Axis| beside_words(AXIS, &axis.below(2.0, 10.5));
    let axes = [html! {}, axis(&shares), axis(&bars), html! {}];
    let rows = comparison.takes.iter().map(row).collect();
    table_with_axis("The takes on common scales", &head, rows, Some(&axes))
}

fn scale(axis: &Axis, value: Option<(f64, (f64, f64))>) -> Markup {
    let middle = ROW.1 / 2.0;
    let drawn = html! {
        path.thin d={ "M" (px(axis.x(f64::MIN))) " " (px(middle)) "H" (px(axis.x(f64::MAX))) } {}
        @if let Some((value, range)) = value { (whisker(value, Some(range), middle)) }
    };
    beside_words(ROW, &drawn)
}

/// Each take against recorded solos, and against the user's own set.
fn references(report: &CompareReport<'_>) -> Vec<Section> {
    let of_each = |of_take: &dyn Fn(usize, &Figures) -> Markup| {
        html! {
            @for (index, take) in report.comparison.takes.iter().enumerate() {
                @let found = of_take(index, &take.figures);
                @if !found.0.is_empty() {
                    h3 { bdi { (take.name) } }
                    (found)
                }
            }
        }
    };
    let recorded = of_each(&|index, figures| {
        let metres = report.metres.get(index);
        metres.map_or_else(|| html! {}, |m| reference::recorded(figures, m, report.style))
    });
    let own = of_each(&|_, figures| reference::own(figures, report.own));
    reference::sections(recorded, own, report.own)
}

/// The clear differences, and the others in a section that unfolds.
fn differences(comparison: &Comparison) -> Markup {
    let (clear, open): (Vec<_>, Vec<_>) =
        comparison.differences.iter().partition(|difference| difference.holds);
    let summary = match (clear.len(), open.len()) {
        (0, open) => format!("{open} differences, none of them clear"),
        (_, open) => format!("{} that {} not clear", counted(open, "difference"), is(open)),
    };
    html! {
        (plots(comparison, &clear))
        @if !open.is_empty() {
            details {
                summary { (summary) }
                (plots(comparison, &open))
            }
        }
        p.soft {
            "Right of 0, the take named first has more. Off-beat starts and phrase lengths are \
             tested, the other measures are only shown. Differences are tested together at the 5 % level, so a single range may exclude 0 \
             without being reported."
        }
    }
}

fn is(count: usize) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

/// A plot per measure.
fn plots(comparison: &Comparison, differences: &[&TakeDifference]) -> Markup {
    html! {
        @for of in ComparedMeasure::ALL {
            @let own: Vec<Interval> = differences
                .iter()
                .filter(|difference| difference.of == of)
                .map(|difference| interval(difference, html! {
                    bdi { (name(comparison, difference.first)) } " \u{2212} "
                    bdi { (name(comparison, difference.second)) }
                }))
                .collect();
            @if !own.is_empty() {
                @let (what, unit) = measure(of);
                (intervals(what, "Takes", unit, &own))
            }
        }
    }
}

/// The title of a plot, and its unit.
fn measure(of: ComparedMeasure) -> (&'static str, &'static str) {
    match of {
        ComparedMeasure::OffBeatEntries => ("Off-beat starts: difference in points", " points"),
        ComparedMeasure::BeatOneEntries => ("Starts on beat one: difference in points", " points"),
        ComparedMeasure::OffBeatExits => ("Off-beat endings: difference in points", " points"),
        ComparedMeasure::OverTheBar => {
            ("Phrases that cross a bar line: difference in points", " points")
        }
        ComparedMeasure::Bars => ("Mean phrase length: difference in bars", " bars"),
    }
}

fn interval(difference: &TakeDifference, label: Markup) -> Interval {
    let range = |(low, high): (String, String)| format!("{low} to {high}");
    match difference.gap {
        Some(Gap::Share(share)) => Interval {
            label,
            text: Some((
                format!("{} points", points(share.difference)),
                Some(range((points(share.low), points(share.high)))),
            )),
            value: Some(share.difference * 100.0),
            range: Some((share.low * 100.0, share.high * 100.0)),
        },
        Some(Gap::Length(length)) => Interval {
            label,
            text: Some((
                format!("{} bars", bars_text(length.difference)),
                Some(length.interval.map_or(NONE.to_owned(), |(low, high)| {
                    range((bars_text(low), bars_text(high)))
                })),
            )),
            value: Some(length.difference),
            range: length.interval,
        },
        None => Interval { label, text: None, value: None, range: None },
    }
}
