//! Figures in the cells of a table, with their counts and intervals.

pub use super::glance::NONE;
use super::page::{Column, px, table};
use crate::output::words;
use crate::phrase::figures::Figures;
use crate::stats::Share;
use maud::{Markup, html};

/// A share in a cell: "58 %, 7 of 12".
pub fn share(share: &Share) -> Markup {
    html! {
        @if let Some(value) = share.share() {
            (words::percent(value)) br; span.soft { (share.count) " of " (share.of) }
        } @else {
            (NONE)
        }
    }
}

/// A share with its 95 % CI.
pub fn share_with_interval(of: &Share) -> Markup {
    html! {
        (share(of))
        @if let Some(interval) = of.interval() {
            br; span.soft { "95 % CI " span.nowrap { (words::range(interval)) } }
        }
    }
}

/// The typical length of phrases, with the middle half.
pub fn bars(figures: &Figures) -> Markup {
    html! {
        @if let Some(bars) = figures.lengths.as_ref().map(|lengths| lengths.bars) {
            (px(bars.median)) br;
            span.soft {
                span.nowrap { (px(bars.lower)) "\u{2013}" (px(bars.upper)) }
                ", longest " (px(bars.longest))
            }
        } @else {
            (NONE)
        }
    }
}

/// The share of time at rest.
pub fn space(figures: &Figures) -> Markup {
    html! { (figures.rest_share.map_or(NONE.to_owned(), words::percent)) }
}

/// Figures of several parts, one per row; `what` heads the first column.
pub fn parts(caption: &str, what: &str, parts: &[(String, &Figures)]) -> Markup {
    let head = [
        (what, Column::Text),
        ("Phrases", Column::Number),
        ("Off-beat starts", Column::Number),
        ("Starts on beat one", Column::Number),
        ("Off-beat endings", Column::Number),
        ("Typical length (bars)", Column::Number),
        ("Space", Column::Number),
    ];
    let row = |(name, figures): &(String, &Figures)| {
        vec![
            html! { bdi { (name) } },
            html! { (figures.phrases) },
            share_with_interval(&figures.off_beat_entries),
            share(&figures.beat_one_entries),
            share(&figures.off_beat_exits),
            bars(figures),
            space(figures),
        ]
    };
    table(caption, &head, parts.iter().map(row).collect())
}
