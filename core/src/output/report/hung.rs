//! The phrases hung on their bar line: each at its true place against the bar it enters in, with
//! its length. An even left edge is one that always comes in at the same place.

use super::escape;
use super::style::{BEAT, INK, OFF, ONE, SOFT};
use crate::output::words;
use crate::phrase::Phrase;
use crate::quantization::position::PositionClass;
use core::fmt::Write;

/// Width of a picture, in its own units.
pub const WIDTH: f64 = 480.0;

/// Left of the bar line: the names of places.
const LEFT: f64 = 156.0;

/// Right of the longest phrase: its length.
const RIGHT: f64 = 32.0;

/// At most so many phrases hang in one picture: a page of A4 has room for them.
const MOST_ROWS: usize = 48;

/// A phrase that enters this part of a pulse after the last pulse of its bar, or later, leads to
/// the next bar. Origin: a note on the beat is played up to .20 of it late (Weimar Jazz Database,
/// Pfleiderer and others 2017).
const PICK_UP: f64 = 0.2;

/// The colour of an entry.
pub fn colour(class: PositionClass) -> &'static str {
    match class {
        PositionClass::One => ONE,
        PositionClass::Beat => BEAT,
        _ => OFF,
    }
}

/// A phrase as a bar of `height`: capped where it enters on beat one, square on another beat,
/// round off the beat.
pub fn bar(class: PositionClass, x: f64, y: f64, width: f64, height: f64) -> String {
    let fill = colour(class);
    let width = width.max(3.0);
    if class.is_off_beat() {
        let (tall, round) = (height / 2.0, (height / 2.0).min(width / 2.0));
        let (neck, right, bottom) = (x + round, x + width, y + height);
        return format!(
            "<path fill=\"{fill}\" d=\"M{neck:.1} {y:.1}H{right:.1}V{bottom:.1}H{neck:.1}A{round:.1} \
             {tall:.1} 0 0 1 {neck:.1} {y:.1}Z\"/>"
        );
    }
    let mut shape = format!(
        "<rect fill=\"{fill}\" x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" \
         height=\"{height:.1}\"/>"
    );
    if class == PositionClass::One {
        let (x, y, height) = (x - 2.0, y - 2.5, height + 5.0);
        let _ = write!(
            shape,
            "<rect fill=\"{INK}\" x=\"{x:.1}\" y=\"{y:.1}\" width=\"4\" height=\"{height:.1}\"/>"
        );
    }
    shape
}

/// What the shapes mean.
pub fn key() -> String {
    let one = |class, words: &str| {
        let bar = bar(class, 3.0, 2.5, 21.0, 7.0);
        format!("<span><svg viewBox=\"0 0 26 12\" aria-hidden=\"true\">{bar}</svg>{words}</span>\n")
    };
    format!(
        "<p class=\"key soft\">\n{}{}{}</p>\n",
        one(PositionClass::One, "enters on beat one"),
        one(PositionClass::Beat, "on another beat"),
        one(PositionClass::And, "off the beat")
    )
}

/// The picture of `phrases`; empty without any. `id` tells it from others on the page.
pub fn hung(id: &str, name: &str, phrases: &[Phrase]) -> String {
    let shown = phrases.get(phrases.len().saturating_sub(MOST_ROWS)..).unwrap_or_default();
    if shown.is_empty() {
        return String::new();
    }
    let row = if shown.len() > 16 { 16.0 } else { 20.0 };
    let after = |p: &Phrase| (p.entry.played - 1.0) * p.entry.pulse_length.0 / p.entry.bar_length.0;
    let furthest = shown.iter().map(|p| after(p) + p.bars).fold(2.0, f64::max).ceil().min(32.0);
    // One after the bar's last pulse is a pick-up: it hangs out before the line it leads to.
    let hangs = |p: &Phrase| {
        let pulses = p.entry.bar_length.0 / p.entry.pulse_length.0;
        if p.entry.played >= pulses + PICK_UP { after(p) - 1.0 } else { after(p) }
    };
    let before = 0.25;
    let unit = (WIDTH - LEFT - RIGHT) / (furthest + before);
    let line = LEFT + before * unit;
    let height = 26.0 + row * count(shown.len());
    let mut out = format!(
        "<figure>\n<svg viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" aria-labelledby=\"{id}t \
         {id}d\">\n<title id=\"{id}t\">Phrases of {name}, hung on their bar line</title>\n\
         <desc id=\"{id}d\">{}</desc>\n",
        escape(&described(shown)),
        name = escape(name)
    );
    let bottom = height - 18.0;
    for bar in 1..=32_i32 {
        let x = line + f64::from(bar) * unit;
        if f64::from(bar) <= furthest {
            let _ = write!(
                out,
                "<path stroke=\"{SOFT}\" stroke-opacity=\".45\" stroke-dasharray=\"2 4\" \
                 d=\"M{x:.1} 4V{bottom:.1}\"/><text x=\"{x:.1}\" y=\"{:.1}\" font-size=\"12\" \
                 text-anchor=\"middle\">{bar}</text>",
                height - 5.0
            );
        }
    }
    let _ = writeln!(
        out,
        "<text x=\"{line:.1}\" y=\"{:.1}\" font-size=\"12\" text-anchor=\"middle\">bar \
         line</text>",
        height - 5.0
    );
    for (index, phrase) in shown.iter().enumerate() {
        let y = 6.0 + row * count(index);
        let x = line + hangs(phrase) * unit;
        let width = (phrase.bars * unit).min(WIDTH - RIGHT - x);
        let text = y + row * 0.68;
        let place = escape(&words::place(&phrase.entry));
        let _ = writeln!(
            out,
            "<text x=\"0\" y=\"{text:.1}\" font-size=\"12\">bar {}</text><text x=\"54\" \
             y=\"{text:.1}\" font-size=\"12\">{place}</text>{}<text x=\"{WIDTH}\" \
             y=\"{text:.1}\" font-size=\"12\" text-anchor=\"end\">{:.1}</text>",
            phrase.entry.bar,
            bar(phrase.entry.class, x, y + 1.5, width, row - 5.0),
            phrase.bars
        );
    }
    let _ = writeln!(
        out,
        "<path stroke=\"{INK}\" stroke-width=\"2\" d=\"M{line:.1} 2V{bottom:.1}\"/>\n</svg>"
    );
    let hidden = phrases.len() - shown.len();
    let note = if hidden > 0 {
        format!(" The first {hidden} are in the table only.")
    } else {
        String::new()
    };
    let _ = writeln!(
        out,
        "<figcaption>Each row is a phrase against the bar it enters in, with its length in bars at \
         the right.{note}</figcaption>\n</figure>"
    );
    out
}

fn described(phrases: &[Phrase]) -> String {
    let one = |p: &Phrase| {
        format!("bar {}: on {}, {:.1} bars", p.entry.bar, words::place(&p.entry), p.bars)
    };
    phrases.iter().map(one).collect::<Vec<_>>().join("; ")
}

#[expect(clippy::cast_precision_loss, reason = "rows of a picture")]
pub fn count(rows: usize) -> f64 {
    rows as f64
}
