//! The report of a comparison.

use super::beside::{self, OwnSolos};
use super::page::{list, page, table};
use super::{escape, figures as tables, hung};
use crate::figures::Figures;
use crate::study::compare::{Comparison, Difference, Gap, Measure, Style, Take, bars_text, points};
use crate::time::metre_map::MetreMap;

/// What the report of a comparison is made of.
#[derive(Debug, Clone, Copy)]
pub struct CompareReport<'a> {
    /// What it is called.
    pub title: &'a str,
    /// What came out.
    pub comparison: &'a Comparison,
    /// The takes it was made of.
    pub takes: &'a [Take<'a>],
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
    let mut body = String::from("<h2>What differs</h2>\n");
    let (held, open): (Vec<_>, Vec<_>) =
        comparison.sentences().partition(|told| told.difference().holds);
    if held.is_empty() {
        body.push_str("<p>No difference between these takes is more than chance may be.</p>\n");
    }
    body.push_str(&list(held.iter().map(ToString::to_string)));
    body.push_str(&list(open.iter().map(ToString::to_string)));
    body.push_str(
        "<p class=\"soft\">All that is claimed here at once has a chance of 5 % of one false claim \
         or more, so that an interval below may leave out 0 where nothing is claimed.</p>\n",
    );
    body.push_str("<h2>Figures</h2>\n");
    let named: Vec<(String, &Figures)> =
        comparison.takes.iter().map(|take| (take.name.clone(), &take.figures)).collect();
    body.push_str(&tables::parts("Figures of each take", "Take", &named));
    body.push_str(&beside_others(report));
    body.push_str("<h2>Differences</h2>\n");
    body.push_str(&differences(comparison));
    body.push_str("<h2>Phrases, hung on their bar line</h2>\n");
    body.push_str(&hung::key());
    for (index, take) in takes.iter().enumerate() {
        body.push_str(&format!("<h3><bdi>{}</bdi></h3>\n", escape(take.name)));
        body.push_str(&hung::hung(&format!("hung{index}"), take.name, take.phrases));
    }
    let under = format!("{} takes side by side", comparison.takes.len());
    page(title, &under, &body)
}

/// Each take beside recorded solos, and beside the user's own set.
fn beside_others(report: &CompareReport<'_>) -> String {
    let of_each = |told: &dyn Fn(usize, &Figures) -> String| -> String {
        let takes = report.comparison.takes.iter().enumerate();
        let told = takes.map(|(index, take)| (&take.name, told(index, &take.figures)));
        told.filter(|(_, told)| !told.is_empty())
            .map(|(name, told)| format!("<h3><bdi>{}</bdi></h3>\n{told}", escape(name)))
            .collect()
    };
    let recorded = of_each(&|index, figures| {
        let metres = report.metres.get(index);
        metres.map_or_else(String::new, |metres| beside::recorded(figures, metres, report.style))
    });
    let own = of_each(&|_, figures| beside::own(figures, report.own));
    let mut out = String::new();
    if !recorded.is_empty() {
        out.push_str(&format!("<h2>Beside recorded solos</h2>\n{recorded}{}", beside::source()));
    }
    if !own.is_empty() {
        out.push_str(&format!("<h2>Beside your own files</h2>\n{own}"));
    }
    out.push_str(&beside::unread(report.own));
    out
}

fn differences(comparison: &Comparison) -> String {
    let head = [("Takes", false), ("Of", false), ("Difference", true), ("95 % interval", true)];
    let name = |take: usize| comparison.takes.get(take).map_or("", |take| take.name.as_str());
    let lines: Vec<Vec<String>> = comparison
        .differences
        .iter()
        .map(|difference| {
            let (gap, interval) = gap(difference);
            let (first, second) = (escape(name(difference.first)), escape(name(difference.second)));
            vec![
                format!("<bdi>{first}</bdi> less <bdi>{second}</bdi>"),
                what(difference.of).to_owned(),
                gap,
                interval,
            ]
        })
        .collect();
    table("Differences between takes: points of percent, or bars", &head, &lines)
}

fn what(of: Measure) -> &'static str {
    match of {
        Measure::OffBeatEntries => "entries off the beat",
        Measure::BeatOneEntries => "entries on beat one",
        Measure::OffBeatExits => "exits off the beat",
        Measure::OverTheBar => "phrases over a bar line",
        Measure::Bars => "mean length in bars",
    }
}

fn gap(difference: &Difference) -> (String, String) {
    let none = "\u{2013}".to_owned();
    match difference.gap {
        Some(Gap::Share(share)) => {
            (points(share.difference), format!("{} to {}", points(share.low), points(share.high)))
        }
        Some(Gap::Length(length)) => {
            let interval = length
                .interval
                .map(|(low, high)| format!("{} to {}", bars_text(low), bars_text(high)));
            (bars_text(length.difference), interval.unwrap_or(none))
        }
        None => (none.clone(), none),
    }
}
