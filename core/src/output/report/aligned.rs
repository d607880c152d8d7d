//! The phrases aligned to their bar line: each at its true position against the bar it starts in,
//! with its length. An even left edge is one that always starts at the same position.

use super::page::{WIDTH, picture, px};
use super::style::{BEAT, INK, OFF, ONE, SOFT};
use crate::output::words;
use crate::phrase::{Phrase, bar_line};
use crate::quantization::PositionClass;
use maud::{Markup, html};

/// Left of the bar line: the names of positions.
const LEFT: f64 = 156.0;

/// Right of the longest phrase: its length.
const RIGHT: f64 = 32.0;

/// Most phrases in one picture: a page of A4 has room for them.
const MOST_ROWS: usize = 48;

/// Left of the bar line for pickups, in bars: they start at most a third of a bar ahead.
const ROOM_BEFORE: f64 = 0.37;

/// The colour of a phrase start.
pub fn colour(class: PositionClass) -> &'static str {
    match class {
        PositionClass::One => ONE,
        PositionClass::Beat => BEAT,
        _ => OFF,
    }
}

/// A phrase as a bar of `height`: capped where it starts on beat one, square on another beat,
/// round off the beat.
pub fn bar(class: PositionClass, x: f64, y: f64, width: f64, height: f64) -> Markup {
    let fill = colour(class);
    let width = width.max(3.0);
    if class.is_off_beat() {
        let (tall, round) = (height / 2.0, (height / 2.0).min(width / 2.0));
        let (neck, right, bottom) = (x + round, x + width, y + height);
        let outline = format!(
            "M{neck:.1} {y:.1}H{right:.1}V{bottom:.1}H{neck:.1}A{round:.1} {tall:.1} 0 0 1 \
             {neck:.1} {y:.1}Z"
        );
        return html! { path fill=(fill) d=(outline) {} };
    }
    html! {
        rect fill=(fill) x=(px(x)) y=(px(y)) width=(px(width)) height=(px(height)) {}
        @if class == PositionClass::One {
            rect fill=(INK) x=(px(x - 2.0)) y=(px(y - 2.5)) width="4" height=(px(height + 5.0)) {}
        }
    }
}

/// What the shapes mean.
pub fn key() -> Markup {
    let classes = [
        (PositionClass::One, "enters on beat one"),
        (PositionClass::Beat, "on another beat"),
        (PositionClass::And, "off the beat"),
    ];
    html! {
        p.key.soft {
            @for (class, meaning) in classes {
                span {
                    svg viewBox="0 0 26 12" aria-hidden="true" { (bar(class, 3.0, 2.5, 21.0, 7.0)) }
                    (meaning)
                }
                " "
            }
        }
    }
}

/// The picture of `phrases`; empty without any. `id` tells it from others on the page.
pub fn aligned(id: &str, name: &str, phrases: &[Phrase]) -> Markup {
    let shown = phrases.get(phrases.len().saturating_sub(MOST_ROWS)..).unwrap_or_default();
    if shown.is_empty() {
        return html! {};
    }
    let row = if shown.len() > 16 { 16.0 } else { 20.0 };
    let start = |phrase: &Phrase| bar_line::start_from_line(&phrase.entry);
    let furthest = shown.iter().map(|p| start(p) + p.bars).fold(2.0, f64::max).ceil().min(32.0);
    let unit = (WIDTH - LEFT - RIGHT) / (furthest + ROOM_BEFORE);
    let line = LEFT + ROOM_BEFORE * unit;
    let height = 26.0 + row * count(shown.len());
    let bottom = height - 18.0;
    let names = px(height - 5.0);
    let bars = (1..=32_i32).filter(|bar| f64::from(*bar) <= furthest);
    let drawn = html! {
        @for (bar, x) in bars.map(|bar| (bar, line + f64::from(bar) * unit)) {
            path stroke=(SOFT) stroke-opacity=".45" stroke-dasharray="2 4"
                d={ "M" (px(x)) " 4V" (px(bottom)) } {}
            text x=(px(x)) y=(names) font-size="12" text-anchor="middle" { (bar) }
        }
        text x=(px(line)) y=(names) font-size="12" text-anchor="middle" { "bar line" }
        @for (index, phrase) in shown.iter().enumerate() {
            @let y = 6.0 + row * count(index);
            @let x = line + start(phrase) * unit;
            @let width = (phrase.bars * unit).min(WIDTH - RIGHT - x);
            @let text = px(y + row * 0.68);
            text x="0" y=(text) font-size="12" { "bar " (phrase.entry.bar) }
            text x="54" y=(text) font-size="12" { (words::place(&phrase.entry)) }
            (bar(phrase.entry.class, x, y + 1.5, width, row - 5.0))
            text x=(WIDTH) y=(text) font-size="12" text-anchor="end" { (px(phrase.bars)) }
        }
        path stroke=(INK) stroke-width="2" d={ "M" (px(line)) " 2V" (px(bottom)) } {}
    };
    let title = format!("Phrases of {name}, hung on their bar line");
    let hidden = phrases.len() - shown.len();
    html! {
        figure {
            (picture(id, height, &title, &description(shown), &drawn))
            figcaption {
                "Each row is a phrase against the bar it enters in, with its length in bars at \
                 the right."
                @if hidden > 0 { " The first " (hidden) " are in the table only." }
            }
        }
    }
}

fn description(phrases: &[Phrase]) -> String {
    let one = |p: &Phrase| {
        format!("bar {}: on {}, {:.1} bars", p.entry.bar, words::place(&p.entry), p.bars)
    };
    phrases.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[expect(clippy::cast_precision_loss, reason = "rows of a picture")]
pub fn count(rows: usize) -> f64 {
    rows as f64
}
