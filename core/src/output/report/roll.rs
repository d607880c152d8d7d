//! The phrases over the bars, as a sheet of music runs: four bars a line, with the chords.

use super::escape;
use super::hung::{WIDTH, bar, count};
use super::style::{INK, RULE};
use crate::output::words;
use crate::phrase::Phrase;
use crate::theory::form::Form;
use core::fmt::Write;

/// Bars a line: what a phone can show.
const BARS: i64 = 4;

/// Height of a line of bars.
const LINE: f64 = 54.0;

/// More letters of chords than a bar has room for.
const MOST_LETTERS: usize = 12;

/// Lines a picture: a chorus of 32 bars.
const LINES: usize = 8;

/// At most so many lines are drawn: 64 choruses of twelve bars. The table goes on.
const MOST_LINES: usize = 192;

/// Picture of `phrases` over the bars; lines of four bars in which nothing sounds are left out.
/// `id` tells it from others on the page.
pub fn roll(id: &str, name: &str, phrases: &[Phrase], form: Option<&Form>) -> String {
    let lines = lines(phrases, form);
    if lines.is_empty() {
        return String::new();
    }
    let shown = lines.get(..lines.len().min(MOST_LINES)).unwrap_or_default();
    let mut out = String::new();
    for (number, lines) in shown.chunks(LINES).enumerate() {
        picture(&mut out, &format!("{id}{number}"), name, lines, phrases, form);
    }
    out.push_str("<p class=\"soft\">Four bars a line; lines without a note are left out.");
    if lines.len() > shown.len() {
        let _ = write!(out, " The first {MOST_LINES} lines are drawn.");
    }
    out.push_str("</p>\n");
    out
}

/// A picture of some lines, short enough to stand on one page of paper.
fn picture(
    out: &mut String,
    id: &str,
    name: &str,
    lines: &[i64],
    phrases: &[Phrase],
    form: Option<&Form>,
) {
    let height = LINE * count(lines.len()) + 8.0;
    let first = lines.first().copied().unwrap_or(0);
    let end = lines.last().map_or(first, |last| last.saturating_add(BARS));
    let enter = phrases.iter().filter(|p| (first..end).contains(&p.entry.bar)).count();
    let last = end.saturating_sub(1);
    let _ = write!(
        out,
        "<figure>\n<svg viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-labelledby=\"{id}t \
         {id}d\">\n<title id=\"{id}t\">Phrases of {name}, bars {first} to {last}</title>\n<desc \
         id=\"{id}d\">{enter} phrases enter here; they are told in the table of every \
         phrase.</desc>\n",
        name = escape(name)
    );
    for (index, first) in lines.iter().enumerate() {
        draw(out, *first, 8.0 + LINE * count(index), phrases, form);
    }
    out.push_str("</svg>\n</figure>\n");
}

/// First bars of the lines in which something sounds.
fn lines(phrases: &[Phrase], form: Option<&Form>) -> Vec<i64> {
    let origin = form.map_or(1, Form::first_bar);
    let line_of = |bar: i64| {
        // Lines begin anew with every chorus.
        let from =
            form.and_then(|form| Some(form.chorus_start(form.spot(bar)?.chorus))).unwrap_or(origin);
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

fn draw(out: &mut String, first: i64, y: f64, phrases: &[Phrase], form: Option<&Form>) {
    let unit = WIDTH / count(4);
    let (top, bottom) = (y + 14.0, y + 36.0);
    let _ = write!(out, "<path stroke=\"{RULE}\" d=\"M0 {0:.1}H{WIDTH}\"/>", (top + bottom) / 2.0);
    for offset in 0..BARS {
        let number = first.saturating_add(offset);
        let x = unit * real(offset);
        let spot = form.and_then(|form| Some((form, form.spot(number)?)));
        // A line may reach past its chorus.
        if form.is_some_and(|form| {
            form.spot(number).map(|s| s.chorus) != form.spot(first).map(|s| s.chorus)
        }) {
            break;
        }
        let mut label = number.to_string();
        if let Some((form, spot)) = spot {
            let chords: String = form.chords_at(spot.bar).chars().take(MOST_LETTERS).collect();
            if !chords.is_empty() {
                let _ = write!(label, " \u{b7} {chords}");
            }
            let opens = form.bars_before(spot.section) + 1 == spot.bar;
            let section = if opens { form.section_label(spot.section) } else { String::new() };
            let part = match (spot.bar, section.as_str()) {
                (1, "") => format!("chorus {}", spot.chorus),
                (1, section) => format!("chorus {}, {section}", spot.chorus),
                (_, section) => section.to_owned(),
            };
            let _ = write!(
                out,
                "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"10\" font-weight=\"700\">{}</text>",
                x + 4.0,
                bottom + 9.0,
                escape(&part)
            );
        }
        let thick = if spot.is_some_and(|(_, spot)| spot.bar == 1) { 3.0 } else { 1.5 };
        let _ = write!(
            out,
            "<path stroke=\"{INK}\" stroke-width=\"{thick}\" d=\"M{:.1} {top:.1}V{bottom:.1}\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11.5\">{}</text>",
            x + thick / 2.0,
            x + 2.0,
            y + 9.0,
            escape(&label)
        );
    }
    for phrase in phrases {
        let from = position(phrase) - real(first);
        let to = from + phrase.bars;
        if to <= 0.0 || from >= 4.0 || phrase.exit.bar < first {
            continue;
        }
        let (x, end) = (from.max(0.0) * unit, to.min(4.0) * unit);
        let height = 11.0;
        let y = (top + bottom) / 2.0 - height / 2.0;
        let words = format!(
            "bar {}, {}: {:.1} bars",
            phrase.entry.bar,
            words::place(&phrase.entry),
            phrase.bars
        );
        let shape = if from < 0.0 {
            // It goes on from the line before.
            let fill = super::hung::colour(phrase.entry.class);
            format!(
                "<rect fill=\"{fill}\" x=\"0\" y=\"{y:.1}\" width=\"{:.1}\" height=\"{height}\"/>",
                end.max(2.0)
            )
        } else {
            bar(phrase.entry.class, x, y, end - x, height)
        };
        let _ = write!(out, "<g><title>{}</title>{shape}</g>", escape(&words));
    }
    out.push('\n');
}

/// Where a phrase enters, in bars as they are counted.
fn position(phrase: &Phrase) -> f64 {
    let entry = &phrase.entry;
    real(entry.bar) + (entry.played - 1.0) * entry.pulse_length.0 / entry.bar_length.0
}

#[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^52")]
fn real(bars: i64) -> f64 {
    bars as f64
}
