//! Advice on a page: what to work on, and what went well.

use crate::output::words::capital;
use crate::study::advice::{
    Advice, BarSpan, CHECK_THE_GRID, NOT_ENOUGH, NOTHING_TO_FIX, OTHER_METRE, Point,
};
use maud::{Markup, html};

/// The points with their evidence, or why there are none. `listen_in` names the take to listen to if it is
/// not the page's own; `listen_at` writes its bars.
pub fn points(
    advice: &Advice,
    listen_in: Option<&str>,
    listen_at: impl Fn(&BarSpan) -> Markup,
) -> Markup {
    html! {
        @if advice.points.is_empty() {
            p { (without_points(advice)) }
        } @else {
            ol {
                @for point in &advice.points {
                    li {
                        strong { (point.heard) } " " (point.suggestion.to_string())
                        span.evidence {
                            (capital(&point.evidence.to_string())) "."
                            @if point.about { " " (CHECK_THE_GRID) }
                            @if !point.bars.is_empty() {
                                " Listen " (advice.listen()) " bars "
                                @for (index, bars) in point.bars.iter().enumerate() {
                                    @if index > 0 { ", " }
                                    (listen_at(bars))
                                }
                                @if let Some(take) = listen_in { " of " bdi { (take) } } "."
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What went well; empty if there is nothing.
pub fn went_well(advice: &Advice) -> Markup {
    html! {
        @if !advice.went_well.is_empty() {
            h3 { "What went well" }
            ul {
                @for well in &advice.went_well {
                    li {
                        (well.heard)
                        span.evidence {
                            (capital(&well.evidence.to_string())) "."
                            @if well.about { " " (CHECK_THE_GRID) }
                        }
                    }
                }
            }
        }
    }
}

/// The first point in short: the finding and what to practise; or why there is none.
pub fn first_point(advice: &Advice) -> Markup {
    html! {
        @if let Some(Point { heard, suggestion, .. }) = advice.points.first() {
            strong { (heard) } " " (suggestion.to_string())
        } @else {
            span.soft { (without_points(advice)) }
        }
    }
}

fn without_points(advice: &Advice) -> &'static str {
    if advice.other_metre {
        OTHER_METRE
    } else if advice.nothing_to_fix {
        NOTHING_TO_FIX
    } else {
        NOT_ENOUGH
    }
}
