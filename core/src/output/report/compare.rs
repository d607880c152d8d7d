//! The report of a comparison.

use super::aligned;
use super::figures::{self as tables, NONE};
use super::page::{list, page, table};
use super::reference::{self, OwnSolos};
use crate::figures::Figures;
use crate::study::compare::{
    ComparedMeasure, Comparison, Gap, NamedTake, Style, TakeDifference, bars_text, points,
};
use crate::time::metre_map::MetreMap;
use maud::{Markup, html};

/// What the report of a comparison is made of.
#[derive(Debug, Clone, Copy)]
pub struct CompareReport<'a> {
    /// What it is called.
    pub title: &'a str,
    /// What came out.
    pub comparison: &'a Comparison,
    /// The takes it was made of.
    pub takes: &'a [NamedTake<'a>],
    /// The metres of each.
    pub metres: &'a [&'a MetreMap],
    /// The recorded solos they are held against.
    pub style: Style,
    /// Solos of the user's own choosing.
    pub own: OwnSolos<'a>,
}

/// The page of a comparison.
#[must_use]
pub fn compare_report(report: &CompareReport<'_>) -> String {
    let CompareReport { title, comparison, takes, .. } = *report;
    let (held, open): (Vec<_>, Vec<_>) =
        comparison.sentences().partition(|sentence| sentence.holds);
    let named: Vec<(String, &Figures)> =
        comparison.takes.iter().map(|take| (take.name.clone(), &take.figures)).collect();
    let body = html! {
        h2 { "What differs" }
        @if held.is_empty() {
            p { "No difference between these takes is more than chance may be." }
        }
        (list(held.iter().map(|sentence| &sentence.text)))
        (list(open.iter().map(|sentence| &sentence.text)))
        p.soft {
            "All that is claimed here at once has a chance of 5 % of one false claim or more, so \
             that an interval below may leave out 0 where nothing is claimed."
        }
        h2 { "Figures" }
        (tables::parts("Figures of each take", "Take", &named))
        (references(report))
        h2 { "Differences" }
        (differences(comparison))
        h2 { "Phrases, hung on their bar line" }
        (aligned::key())
        @for (index, take) in takes.iter().enumerate() {
            h3 { bdi { (take.name) } }
            (aligned::aligned(&format!("hung{index}"), take.name, take.phrases))
        }
    };
    page(title, &format!("{} takes side by side", comparison.takes.len()), &body)
}

/// Each take against recorded solos, and against the user's own set.
fn references(report: &CompareReport<'_>) -> Markup {
    let of_each = |told: &dyn Fn(usize, &Figures) -> Markup| {
        html! {
            @for (index, take) in report.comparison.takes.iter().enumerate() {
                @let told = told(index, &take.figures);
                @if !told.0.is_empty() {
                    h3 { bdi { (take.name) } }
                    (told)
                }
            }
        }
    };
    let recorded = of_each(&|index, figures| {
        let metres = report.metres.get(index);
        metres.map_or_else(|| html! {}, |m| reference::recorded(figures, m, report.style))
    });
    let own = of_each(&|_, figures| reference::own(figures, report.own));
    reference::sections(|text| html! { h2 { (text) } }, &recorded, &own, report.own)
}

fn differences(comparison: &Comparison) -> Markup {
    let head = [("Takes", false), ("Of", false), ("Difference", true), ("95 % CI", true)];
    let name = |take: usize| comparison.takes.get(take).map_or("", |take| take.name.as_str());
    let row = |difference: &TakeDifference| {
        let (gap, interval) = gap(difference);
        vec![
            html! { bdi { (name(difference.first)) } " less " bdi { (name(difference.second)) } },
            html! { (what(difference.of)) },
            html! { (gap) },
            html! { (interval) },
        ]
    };
    let rows: Vec<Vec<Markup>> = comparison.differences.iter().map(row).collect();
    table("Differences between takes: points of percent, or bars", &head, &rows)
}

fn what(of: ComparedMeasure) -> &'static str {
    match of {
        ComparedMeasure::OffBeatEntries => "entries off the beat",
        ComparedMeasure::BeatOneEntries => "entries on beat one",
        ComparedMeasure::OffBeatExits => "exits off the beat",
        ComparedMeasure::OverTheBar => "phrases over a bar line",
        ComparedMeasure::Bars => "mean length in bars",
    }
}

fn gap(difference: &TakeDifference) -> (String, String) {
    match difference.gap {
        Some(Gap::Share(share)) => {
            (points(share.difference), format!("{} to {}", points(share.low), points(share.high)))
        }
        Some(Gap::Length(length)) => {
            let interval = length
                .interval
                .map(|(low, high)| format!("{} to {}", bars_text(low), bars_text(high)));
            (bars_text(length.difference), interval.unwrap_or(NONE.to_owned()))
        }
        None => (NONE.to_owned(), NONE.to_owned()),
    }
}
