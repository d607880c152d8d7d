//! The report of a comparison.

use super::page::{list, page, table};
use super::{escape, figures as tables, hung};
use crate::compare::{Comparison, Difference, Gap, Measure, Take, bars_text, points};
use crate::figures::Figures;

/// The page of `comparison`, which was made of `takes`.
#[must_use]
pub fn compare_report(title: &str, comparison: &Comparison, takes: &[Take<'_>]) -> String {
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
