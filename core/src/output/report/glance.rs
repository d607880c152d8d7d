//! The large figures at the top of a page, each with its count, its uncertainty and a scale.

use super::page::{counted, px};
use super::picture::{Axis, beside_words, whisker};
use crate::output::words;
use crate::phrase::figures::{Figures, Lengths};
use crate::stats::Share;
use crate::study::compare::{Style, StyleNorm, against_norm};
use crate::time::metre_map::MetreMap;
use maud::{Markup, html};

/// Width and height of a scale.
pub const SCALE: (f64, f64) = (240.0, 36.0);

/// Heights of a scale's line and of the marks on it.
pub const LINE: f64 = 18.0;
pub const MARKS: f64 = 9.0;

/// A large figure.
pub struct Figure {
    /// Its label.
    pub label: String,
    /// Its value.
    pub value: String,
    /// Lines with its count, its uncertainty and what it is compared with.
    pub details: Vec<String>,
    /// Its scale.
    pub scale: Markup,
}

/// Figures in a row.
pub fn glance(figures: &[Figure]) -> Markup {
    html! {
        dl.glance {
            @for figure in figures {
                div {
                    dt { (figure.label) }
                    dd.value { (figure.value) }
                    @for line in &figure.details { dd.soft { (line) } }
                    dd { (figure.scale) }
                }
            }
        }
    }
}

/// The norm of recorded solos and their name; `None` if there is nothing to compare with.
#[derive(Debug, Clone)]
pub struct Beside {
    norm: StyleNorm,
    solos: String,
}

impl Beside {
    /// The recorded solos of a style; `None` if the take is not all in 4/4.
    pub fn of(figures: &Figures, metres: &MetreMap, style: Style) -> Option<Self> {
        let is_comparable = !against_norm(figures, metres, style).is_empty();
        is_comparable.then(|| Self { norm: style.norm(), solos: style.solos() })
    }
}

/// Starts, phrase length and space.
pub fn of_take(figures: &Figures, beside: Option<&Beside>) -> [Figure; 3] {
    [off_beat(figures, beside), length(figures, beside), space(figures)]
}

/// The share of off-beat starts.
pub fn off_beat(figures: &Figures, beside: Option<&Beside>) -> Figure {
    let norm = beside.map(|b| (b.norm.off_beat(), b.solos.as_str()));
    share("Off-beat starts", &figures.off_beat_entries, "phrase", norm)
}

/// A share of `of`s, with a mark for the norm.
pub fn share(label: &str, share: &Share, of: &str, other: Option<(f64, &str)>) -> Figure {
    let label = label.to_owned();
    let Some((value, (low, high))) = share.share().zip(share.interval()) else {
        let (value, details) = (NONE.to_owned(), vec![format!("no {of}s yet")]);
        return Figure { label, value, details, scale: html! {} };
    };
    let axis = Axis::percent(2.0, SCALE.0 - 2.0);
    let x = |share: f64| axis.x(share * 100.0);
    let counted = counted(usize::try_from(share.of).unwrap_or(usize::MAX), of);
    let mut details =
        vec![format!("{} of {counted}; 95 % CI {}", share.count, words::range((low, high)))];
    details.extend(
        other.map(|(other, who)| format!("Vertical mark: {who}, {}", words::percent(other))),
    );
    let drawn = html! {
        @if let Some((other, _)) = other {
            rect.norm x=(px(x(other) - 2.5)) y="0" width="5" height=(px(LINE)) {}
        }
        (axis.below(LINE, 10.5))
        (whisker(x(value), Some((x(low), x(high))), MARKS))
    };
    Figure { label, value: words::percent(value), details, scale: beside_words(SCALE, &drawn) }
}

/// The typical length of a phrase.
pub fn length(figures: &Figures, beside: Option<&Beside>) -> Figure {
    let label = "Typical phrase length".to_owned();
    let Some(Lengths { bars, .. }) = figures.lengths else {
        let details = vec!["no phrase has ended yet".to_owned()];
        return Figure { label, value: NONE.to_owned(), details, scale: html! {} };
    };
    let mut details = vec![format!(
        "middle 50 %: {:.1}\u{2013}{:.1} bars; longest {:.1}",
        bars.lower, bars.upper, bars.longest
    )];
    details.extend(beside.map(
        |Beside { norm: StyleNorm { bars: [lower, _, upper], .. }, solos }| {
            format!("Shaded: middle 50 % of {solos}, {lower:.1}\u{2013}{upper:.1}")
        },
    ));
    let max = beside.map_or(bars.upper, |b| b.norm.bars[2].max(bars.upper));
    let axis = Axis::up_to(max, (2.0, SCALE.0 - 2.0), "\u{a0}bars");
    let drawn = html! {
        @if let Some(Beside { norm: StyleNorm { bars: [lower, _, upper], .. }, .. }) = beside {
            @let (from, to) = (axis.x(*lower), axis.x(*upper));
            rect.band x=(px(from)) y="1" width=(px(to - from)) height=(px(LINE - 1.0)) {}
        }
        (axis.below(LINE, 10.5))
        (whisker(axis.x(bars.median), Some((axis.x(bars.lower), axis.x(bars.upper))), MARKS))
    };
    let value = format!("{:.1} bars", bars.median);
    Figure { label, value, details, scale: beside_words(SCALE, &drawn) }
}

/// The share of time at rest.
fn space(figures: &Figures) -> Figure {
    let label = "Space".to_owned();
    let Some(rest) = figures.rest_share else {
        let details = vec!["needs two phrases".to_owned()];
        return Figure { label, value: NONE.to_owned(), details, scale: html! {} };
    };
    let axis = Axis::percent(2.0, SCALE.0 - 2.0);
    let drawn = html! {
        (axis.below(LINE, 10.5))
        (whisker(axis.x(rest * 100.0), None, MARKS))
    };
    let details = vec!["of the time at rest, between phrases".to_owned()];
    Figure { label, value: words::percent(rest), details, scale: beside_words(SCALE, &drawn) }
}

/// Shown instead of a missing figure.
pub const NONE: &str = "\u{2013}";
