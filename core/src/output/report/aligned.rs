//! The phrases aligned to the bar line: each at its position relative to the bar it starts in, with its length.
//! An even left edge shows a player who always starts at the same position.

use super::page::px;
use super::picture::{WIDTH, beside_words, picture};
use crate::output::words;
use crate::phrase::{Phrase, bar_line};
use crate::quantization::PositionClass;
use maud::{Markup, html};

/// Space left of the bar line, for the names of positions.
const LEFT: f64 = 128.0;

/// Space left of it if rows are too low for names, for the bar.
const LEFT_LOW: f64 = 40.0;

/// Space right of the longest phrase, for its length.
const RIGHT: f64 = 30.0;

/// Most phrases with names in the picture.
const MAX_NAMED: usize = 24;

/// Most phrases in one picture, as many as fit on an A4 page.
const MAX_ROWS: usize = 64;

/// Space left of the bar line for pickups, in bars: they start at most a third of a bar ahead.
const ROOM_BEFORE: f64 = 0.37;

/// The CSS class of a shape, for its colour.
pub fn colour(class: PositionClass) -> &'static str {
    match class {
        PositionClass::One => "one",
        PositionClass::Beat => "beat",
        _ => "off",
    }
}

/// A phrase as a bar of `height`: with a cap if it starts on beat one, square on another beat, round off
/// the beat.
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
        return html! { path class=(fill) d=(outline) {} };
    }
    let out = (height * 0.2).min(2.5);
    html! {
        rect class=(fill) x=(px(x)) y=(px(y)) width=(px(width)) height=(px(height)) {}
        @if class == PositionClass::One {
            rect.mark x=(px(x - 2.0)) y=(px(y - out)) width="4" height=(px(height + 2.0 * out)) {}
        }
    }
}

/// The legend.
pub fn key() -> Markup {
    let classes = [
        (PositionClass::One, "starts on beat one"),
        (PositionClass::Beat, "starts on another beat"),
        (PositionClass::And, "starts off the beat"),
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

/// The picture of `phrases` with its legend; empty without any. `id` is unique on the page.
pub fn aligned(id: &str, name: &str, phrases: &[Phrase]) -> Markup {
    let hidden = phrases.len().saturating_sub(MAX_ROWS);
    let shown = phrases.get(hidden..).unwrap_or_default();
    if shown.is_empty() {
        return html! {};
    }
    let is_named = shown.len() <= MAX_NAMED;
    let (row, from) = if is_named { (18.0, LEFT) } else { (9.0, LEFT_LOW) };
    let furthest = shown.iter().map(|p| start(p) + p.bars).fold(2.0, f64::max).ceil().min(32.0);
    let unit = (WIDTH - from - RIGHT) / (furthest + ROOM_BEFORE);
    let line = from + ROOM_BEFORE * unit;
    let bottom = 8.0 + row * count(shown.len());
    let every = match furthest {
        far if far > 16.0 => 8,
        far if far > 8.0 => 4,
        _ => 1,
    };
    let bars = (every..=32).step_by(every).map(count).filter(|bar| *bar <= furthest);
    let label = |y: f64, x: f64, anchor: &str, text: &str| {
        html! { text x=(px(x)) y=(px(y)) font-size="11" text-anchor=(anchor) { (text) } }
    };
    let drawn = html! {
        @for bar in bars {
            @let x = line + bar * unit;
            path.dash d={ "M" (px(x)) " 4V" (px(bottom)) } {}
            @let unit = if bar + count(every) > furthest { " bars" } else { "" };
            (label(bottom + 14.0, x, "middle", &format!("+{bar:.0}{unit}")))
        }
        (label(bottom + 14.0, line, "middle", "bar line"))
        @for (index, phrase) in shown.iter().enumerate() {
            @let y = 6.0 + row * count(index);
            @let x = line + start(phrase) * unit;
            @let width = (phrase.bars * unit).min(WIDTH - RIGHT - x);
            @let base = y + row * 0.5 + 3.5;
            @if is_named {
                (label(base, 0.0, "start", &format!("bar {}", phrase.entry.bar)))
                (label(base, 46.0, "start", &words::place(&phrase.entry)))
                (label(base, WIDTH, "end", &px(phrase.bars)))
            } @else if index % 4 == 0 {
                (label(base, 0.0, "start", &phrase.entry.bar.to_string()))
            }
            (bar(phrase.entry.class, x, y + row * 0.12, width, row * 0.72))
        }
        path.line stroke-width="2" d={ "M" (px(line)) " 2V" (px(bottom)) } {}
    };
    let title = format!("Phrases of {name}, aligned to the bar line");
    html! {
        figure {
            (key())
            (picture(id, bottom + 18.0, &title, &description(shown), &drawn))
            figcaption {
                "Each row is a phrase against the bar it starts in; a pickup starts left of its \
                 bar line. "
                @if is_named { "At the right, its length in bars." }
                @else { "At the left, the bar of every fourth phrase." }
                @if hidden > 0 { " The first " (hidden) " are in the table only." }
            }
        }
    }
}

/// Width and height of a small picture.
const SMALL: (f64, f64) = (120.0, 44.0);

/// Bars from the bar line to the right edge of a small picture; all of them have the same scale.
const SMALL_BARS: f64 = 4.0;

/// Phrases in a small picture.
const SMALL_ROWS: usize = 14;

/// A small picture of the last phrases, for a table row that has the rest in numbers.
pub fn small(phrases: &[Phrase]) -> Markup {
    let shown = phrases.get(phrases.len().saturating_sub(SMALL_ROWS)..).unwrap_or_default();
    let unit = SMALL.0 / (SMALL_BARS + ROOM_BEFORE);
    let line = ROOM_BEFORE * unit;
    let drawn = html! {
        @for bar in [1.0, 2.0, 3.0] {
            path.dash d={ "M" (px(line + bar * unit)) " 0V" (px(SMALL.1)) } {}
        }
        @for (index, phrase) in shown.iter().enumerate() {
            @let x = line + start(phrase) * unit;
            @let width = (phrase.bars * unit).min(SMALL.0 - x);
            rect class=(colour(phrase.entry.class)) x=(px(x)) y=(px(1.0 + 3.0 * count(index)))
                width=(px(width.max(1.5))) height="2" {}
        }
        path.line stroke-width="1.5" d={ "M" (px(line)) " 0V" (px(SMALL.1)) } {}
    };
    beside_words(SMALL, &drawn)
}

fn start(phrase: &Phrase) -> f64 {
    bar_line::start_from_line(&phrase.entry)
}

fn description(phrases: &[Phrase]) -> String {
    let one = |p: &Phrase| {
        format!("bar {}: starts on {}, {:.1} bars", p.entry.bar, words::place(&p.entry), p.bars)
    };
    phrases.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[expect(clippy::cast_precision_loss, reason = "rows and bars of a picture")]
pub fn count(rows: usize) -> f64 {
    rows as f64
}
