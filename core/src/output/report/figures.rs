//! Figures in words, with their counts and intervals.

use super::page::{px, table};
use super::style::{INK, NORM, OFF, RULE};
use crate::figures::{FEW_PHRASES, Figures};
use crate::output::words;
use crate::stats::Share;
use maud::{Markup, html};

/// Stands where there is no figure.
pub const NONE: &str = "\u{2013}";

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

/// The same with its 95 % CI.
pub fn share_with_interval(of: &Share) -> Markup {
    html! {
        (share(of))
        @if let Some(interval) = of.interval() {
            br; span.soft { "95 % CI " span.nowrap { (words::range(interval)) } }
        }
    }
}

/// The median length of phrases, with the middle half.
pub fn bars(figures: &Figures) -> Markup {
    html! {
        @if let Some(bars) = figures.lengths.as_ref().map(|lengths| lengths.bars) {
            (px(bars.median)) br;
            span.soft { (px(bars.lower)) " to " (px(bars.upper)) ", longest " (px(bars.longest)) }
        } @else {
            (NONE)
        }
    }
}

/// Figures of several parts, one a row; `what` heads the first column.
pub fn parts(caption: &str, what: &str, parts: &[(String, &Figures)]) -> Markup {
    let head = [
        (what, false),
        ("Phrases", true),
        ("Enter off the beat", true),
        ("Enter on beat one", true),
        ("Leave off the beat", true),
        ("Bars, median", true),
        ("Rest", true),
    ];
    let row = |(name, figures): &(String, &Figures)| {
        vec![
            html! { bdi { (name) } },
            html! { (figures.phrases) },
            share_with_interval(&figures.off_beat_entries),
            share(&figures.beat_one_entries),
            share(&figures.off_beat_exits),
            bars(figures),
            html! { (figures.rest_share.map_or(NONE.to_owned(), words::percent)) },
        ]
    };
    table(caption, &head, &parts.iter().map(row).collect::<Vec<_>>())
}

/// The one large figure: the share of off-beat starts, with its interval over what recorded solos
/// do.
pub fn large(figures: &Figures, norm: Option<(f64, String)>) -> Markup {
    let Share { count, of } = figures.off_beat_entries;
    let share = figures.off_beat_entries;
    let (Some(value), Some((low, high))) = (share.share(), share.interval()) else {
        return html! { p { "No phrase was heard." } };
    };
    let (percent, range) = (words::percent(value), words::range((low, high)));
    let x = |share: f64| px(2.0 + share * 316.0);
    let (left, right) = (x(low), x(high));
    let whisker = format!("M{left} 15H{right}M{left} 8V22M{right} 8V22");
    html! {
        div.big {
            strong { (percent) }
            span {
                "of the phrases come in off the beat: " (count) " of " (of)
                (if of == 1 { " phrase" } else { " phrases" })
            }
        }
        @if figures.phrases < FEW_PHRASES { p { "Few phrases: the shares say little yet." } }
        figure {
            svg viewBox="0 0 320 30" style="max-width:26rem" role="img" aria-labelledby="bigt" {
                title id="bigt" { (percent) ", 95 % CI " (range) }
                rect x="2" y="11" width="316" height="8" fill=(RULE) {}
                @if let Some((norm, _)) = &norm {
                    path stroke=(NORM) stroke-width="5" d={ "M" (x(*norm)) " 3V27" } {}
                }
                path stroke=(INK) stroke-width="2.5" d=(whisker) {}
                circle cx=(x(value)) cy="15" r="7" fill=(OFF) stroke=(INK) {}
            }
            figcaption {
                "95 % CI " (range) "."
                @if let Some((norm, solos)) = &norm {
                    " The upright mark is " (solos) ": " (words::percent(*norm)) "."
                }
            }
        }
    }
}
