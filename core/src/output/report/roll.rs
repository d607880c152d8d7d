//! The phrases bar by bar, laid out like sheet music: four bars per line, with chords.

use super::aligned::{bar, colour, count};
use super::page::px;
use super::picture::{WIDTH, picture};
use crate::output::words;
use crate::phrase::Phrase;
use crate::theory::form::Form;
use maud::{Markup, html};

/// Bars per line, as many as a phone can show.
const BARS: i64 = 4;

/// Height of a line of bars.
const LINE: f64 = 54.0;

/// Most characters of chords that fit into a bar.
const MAX_LETTERS: usize = 12;

/// Lines per picture: a chorus of 32 bars.
const LINES: usize = 8;

/// Most lines that are drawn: 64 choruses of twelve bars. The table has the rest.
const MAX_LINES: usize = 192;

/// Pictures of `phrases` bar by bar, without lines of four silent bars. `id` is unique on the page.
pub fn roll(id: &str, name: &str, phrases: &[Phrase], form: Option<&Form>) -> Markup {
    let lines = lines(phrases, form);
    let shown = lines.get(..lines.len().min(MAX_LINES)).unwrap_or_default();
    html! {
        @for (number, lines) in shown.chunks(LINES).enumerate() {
            figure { (page_of_lines(&format!("{id}{number}"), name, lines, phrases, form)) }
        }
        @if !lines.is_empty() {
            p.soft {
                "Four bars a line; lines without a note are left out."
                @if lines.len() > shown.len() { " The first " (MAX_LINES) " lines are drawn." }
            }
        }
    }
}

/// A picture of some lines, short enough for one page of paper.
fn page_of_lines(
    id: &str,
    name: &str,
    lines: &[i64],
    phrases: &[Phrase],
    form: Option<&Form>,
) -> Markup {
    let height = LINE * count(lines.len()) + 8.0;
    let first = lines.first().copied().unwrap_or(0);
    let end = lines.last().map_or(first, |last| last.saturating_add(BARS));
    let starts = phrases.iter().filter(|p| (first..end).contains(&p.entry.bar)).count();
    let title = format!("Phrases of {name}, bars {first} to {}", end.saturating_sub(1));
    let description = format!("{starts} phrases start here; the table of every phrase has each.");
    let drawn = html! {
        @for (index, first) in lines.iter().enumerate() {
            (line(*first, 8.0 + LINE * count(index), phrases, form))
        }
    };
    picture(id, height, &title, &description, &drawn)
}

/// The first bars of the lines that are not silent.
fn lines(phrases: &[Phrase], form: Option<&Form>) -> Vec<i64> {
    let origin = form.map_or(1, Form::first_bar);
    let line_of = |bar: i64| {
        // Every chorus starts a new line.
        let from = form
            .and_then(|form| Some(form.chorus_start(form.position(bar)?.chorus)))
            .unwrap_or(origin);
        from.saturating_add(bar.saturating_sub(from).div_euclid(BARS).saturating_mul(BARS))
    };
    let mut lines: Vec<i64> = phrases
        .iter()
        .flat_map(|phrase| {
            let last = phrase.exit.bar.min(phrase.entry.bar.saturating_add(256));
            (phrase.entry.bar..=last).map(line_of)
        })
        .collect();
    lines.sort_unstable();
    lines.dedup();
    lines
}

/// A line of four bars from bar `first` on, with `y` at its top.
fn line(first: i64, y: f64, phrases: &[Phrase], form: Option<&Form>) -> Markup {
    let (top, bottom) = (y + 14.0, y + 36.0);
    let middle = f64::midpoint(top, bottom);
    let chorus =
        |bar: i64| form.and_then(|form| form.position(bar)).map(|position| position.chorus);
    // A line ends with its chorus.
    let bars = (0..BARS).map(|offset| (offset, first.saturating_add(offset)));
    let bars = bars.take_while(|(_, number)| chorus(*number) == chorus(first));
    html! {
        path.thin d={ "M0 " (px(middle)) "H" (WIDTH) } {}
        @for (offset, number) in bars {
            (bar_line(number, UNIT * real(offset), top, bottom, form))
        }
        @for phrase in phrases {
            (in_line(phrase, first, middle - HEIGHT / 2.0))
        }
    }
}

/// Width of a bar.
const UNIT: f64 = WIDTH / 4.0;

/// Height of a phrase.
const HEIGHT: f64 = 11.0;

/// The line that opens bar `number`, with its number, its chords, and the chorus or section that starts there.
fn bar_line(number: i64, x: f64, top: f64, bottom: f64, form: Option<&Form>) -> Markup {
    let position = form.and_then(|form| Some((form, form.position(number)?)));
    let opens_chorus = position.is_some_and(|(_, position)| position.bar == 1);
    let thick = if opens_chorus { 3.0 } else { 1.5 };
    let mut label = number.to_string();
    let mut part = String::new();
    if let Some((form, position)) = position {
        let chords: String = form.chords_at(position.bar).chars().take(MAX_LETTERS).collect();
        if !chords.is_empty() {
            label = format!("{label} \u{b7} {chords}");
        }
        let opens = form.bars_before(position.section) + 1 == position.bar;
        let section = if opens { form.section_label(position.section) } else { String::new() };
        part = match (opens_chorus, section.as_str()) {
            (true, "") => format!("chorus {}", position.chorus),
            (true, section) => format!("chorus {}, {section}", position.chorus),
            (false, _) => section,
        };
    }
    html! {
        @if !part.is_empty() {
            text x=(px(x + 4.0)) y=(px(bottom + 9.0)) font-size="10" font-weight="700" { (part) }
        }
        path.line stroke-width=(thick)
            d={ "M" (px(x + thick / 2.0)) " " (px(top)) "V" (px(bottom)) } {}
        text x=(px(x + 2.0)) y=(px(top - 5.0)) font-size="11.5" { (label) }
    }
}

/// The part of a phrase in the line that starts with bar `first`.
fn in_line(phrase: &Phrase, first: i64, y: f64) -> Markup {
    let from = position(phrase) - real(first);
    let to = from + phrase.bars;
    if to <= 0.0 || from >= 4.0 || phrase.exit.bar < first {
        return html! {};
    }
    let (x, end) = (from.max(0.0) * UNIT, to.min(4.0) * UNIT);
    let class = phrase.entry.class;
    html! {
        g {
            title {
                "bar " (phrase.entry.bar) ", " (words::place(&phrase.entry)) ": "
                (px(phrase.bars)) " bars"
            }
            @if from < 0.0 {
                // It continues from the line before.
                rect class=(colour(class)) x="0" y=(px(y)) width=(px(end.max(2.0)))
                    height=(HEIGHT) {}
            } @else {
                (bar(class, x, y, end - x, HEIGHT))
            }
        }
    }
}

/// The start of a phrase, in bar numbers.
fn position(phrase: &Phrase) -> f64 {
    let entry = &phrase.entry;
    real(entry.bar) + (entry.played - 1.0) * entry.pulse_length.0 / entry.bar_length.0
}

#[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^52")]
fn real(bars: i64) -> f64 {
    bars as f64
}
