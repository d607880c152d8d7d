//! Fills bars with notes and rests, so that each bar adds up.

use super::layout::Layout;
use super::onsets::grid;
use super::placed::Placed;
use super::value::{QUARTER, Ratio, Value};
use super::values::{Piece, in_tuplet, plain};
use crate::phrase::AnalysisContext;
use crate::quantization::BarLines;
use crate::time::metre::Metre;
use std::collections::BTreeMap;

/// A notated bar.
#[derive(Debug, Clone, PartialEq)]
pub struct WrittenBar {
    /// Its number, counted from the start of the song.
    pub number: i64,
    /// Its metre; a bar that a change of metre cuts short is shorter.
    pub metre: Metre,
    /// Its length in ticks, of which a quarter note has [`QUARTER`].
    pub length: u32,
    /// Its notes and rests, which fill it.
    pub signs: Vec<Sign>,
}

/// A note or a rest: one note value.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign {
    /// Ticks from the bar line.
    pub at: u32,
    /// Its length in ticks.
    pub length: u32,
    /// Its value; for a bar of rest a whole note, whatever the metre.
    pub value: Value,
    /// Whether it has a dot.
    pub dotted: bool,
    /// The tuplet that it belongs to.
    pub tuplet: Option<Tuplet>,
    /// The note; `None` for a rest.
    pub note: Option<TiedNote>,
}

/// A sign's membership in a tuplet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tuplet {
    /// The ratio of the tuplet.
    pub ratio: Ratio,
    /// It is the first sign.
    pub opens: bool,
    /// It is the last sign.
    pub closes: bool,
}

/// A note of the line, or a part of one that is tied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TiedNote {
    /// Its onset in the melody line.
    pub onset: usize,
    /// It is tied to the sign before it.
    pub tied_from: bool,
    /// It is tied to the sign after it.
    pub tied_on: bool,
    /// It was played short.
    pub staccato: bool,
}

/// The longest note and the longest rest, in bars. Longer ones are cut to this; the bar numbers then show
/// that bars of rest are left out.
const MAX_BARS: u32 = 1_000;

/// A note of at most a beat is staccato if it sounds for less than this share of its written length. Own
/// value.
const STACCATO: f64 = 0.4;

/// A note's end this share of a unit after a grid line still counts as on that line.
const LATE_END: f64 = 0.35;

/// The bars from that of the first onset to that in which the last one ends.
pub(super) fn fill(placed: &[Placed], context: AnalysisContext<'_>) -> Vec<WrittenBar> {
    let main: Vec<&Placed> = placed.iter().filter(|placed| !placed.crowded).collect();
    let frames = frames(&main, &context.lines);
    let mut bars = Bars { lines: context.lines, frames: &frames, written: Vec::new(), open: None };
    for (index, onset) in main.iter().enumerate() {
        bars.note(onset, main.get(index + 1).copied());
    }
    bars.close();
    bars.written
}

/// The number of parts of each frame with onsets, by its bar and start.
type Frames = BTreeMap<(i64, u32), u32>;

fn frames(onsets: &[&Placed], lines: &BarLines<'_>) -> Frames {
    let mut frames = Frames::new();
    let mut points: Vec<u32> = Vec::new();
    let mut last = None;
    for onset in onsets {
        let layout = Layout::of_bar(onset.bar, lines);
        let start = onset.at / layout.frame * layout.frame;
        if last != Some((onset.bar, start)) {
            points.clear();
            last = Some((onset.bar, start));
        }
        points.push(onset.at - start);
        frames.insert((onset.bar, start), grid(&points, &layout, start).unwrap_or(1));
    }
    frames
}

/// The bars written so far.
struct Bars<'a> {
    lines: BarLines<'a>,
    frames: &'a Frames,
    written: Vec<WrittenBar>,
    /// The current bar, its layout, and how far it is filled.
    open: Option<(WrittenBar, Layout, u32)>,
}

impl Bars<'_> {
    /// Writes an onset, and the rest before it.
    fn note(&mut self, onset: &Placed, next: Option<&Placed>) {
        self.rest_to(onset.bar, onset.at);
        let (mut length, staccato) = self.length(onset, next);
        let mut tied_from = false;
        for left in (0..MAX_BARS).rev() {
            let Some((_, layout, filled)) = &self.open else { break };
            let room = layout.length.saturating_sub(*filled);
            let here = length.min(room);
            length = if left == 0 { 0 } else { length - here };
            let note = TiedNote { onset: onset.onset, tied_from, tied_on: length > 0, staccato };
            self.span(here, Some(note));
            tied_from = true;
            if length == 0 {
                break;
            }
            self.next_bar();
        }
    }

    /// The written length of an onset in ticks, and whether it was played short. It lasts to the next onset
    /// unless there is a rest: of an eighth at least, after a note more than a beat before the next.
    fn length(&self, onset: &Placed, next: Option<&Placed>) -> (u32, bool) {
        let layout = Layout::of_bar(onset.bar, &self.lines);
        let unit =
            if layout.is_compound() { layout.pulse() / 3 } else { layout.pulse() / 2 }.max(1);
        let max = f64::from(MAX_BARS) * f64::from(layout.length);
        let to_next = next.map(|next| f64::from(self.ticks_between(onset, next)));
        let sounds = onset.ended.map(|ended| (ended - onset.played).0 * f64::from(QUARTER));
        // Scales the sounding length of a swung or late note to its written length.
        let scale = next.zip(to_next).map_or(1.0, |(next, to_next)| {
            (to_next / ((next.played - onset.played).0 * f64::from(QUARTER)).max(1.0))
                .clamp(0.5, 2.0)
        });
        let sounds = sounds.map(|sounds| (sounds * scale).clamp(0.0, max));
        let short = |length: f64| {
            length <= f64::from(layout.pulse())
                && sounds.is_some_and(|sounds| sounds < STACCATO * length)
        };
        let near = to_next.is_some_and(|to_next| to_next <= f64::from(layout.pulse()));
        let legato =
            sounds.zip(to_next).is_some_and(|(sounds, to_next)| to_next - sounds < f64::from(unit));
        if let Some(to_next) = to_next.filter(|_| near || legato || sounds.is_none()) {
            return (whole(to_next), short(to_next));
        }
        let sounds = sounds.unwrap_or_else(|| f64::from(unit));
        let end = self.line_after(onset, sounds, unit);
        let length = to_next.map_or(end, |to_next| end.min(whole(to_next)));
        (length, short(f64::from(length)))
    }

    /// Ticks from one onset to the next, through at most [`MAX_BARS`] bars.
    fn ticks_between(&self, onset: &Placed, next: &Placed) -> u32 {
        if next.bar == onset.bar {
            return next.at.saturating_sub(onset.at);
        }
        let between = next.bar.saturating_sub(onset.bar).min(MAX_BARS.into());
        let last = onset.bar.saturating_add(between);
        let whole: u32 = (onset.bar..last).map(|bar| Layout::of_bar(bar, &self.lines).length).sum();
        let there = if last == next.bar { next.at } else { 0 };
        (whole + there).saturating_sub(onset.at)
    }

    /// Ticks from an onset to the grid line at which a note that sounds for `sounds` ticks ends.
    fn line_after(&self, onset: &Placed, sounds: f64, unit: u32) -> u32 {
        let sounding = whole((sounds - LATE_END * f64::from(unit)).max(1.0));
        let (mut bar, mut before) = (onset.bar, 0);
        for _ in 0..MAX_BARS {
            let layout = Layout::of_bar(bar, &self.lines);
            let from = if bar == onset.bar { onset.at } else { 0 };
            let left = layout.length.saturating_sub(from);
            if before + left >= sounding {
                let at = (from + sounding.saturating_sub(before))
                    .max(from + u32::from(bar == onset.bar));
                let frame = at.min(layout.length - 1) / layout.frame * layout.frame;
                let step = self.step_in(bar, frame, &layout).unwrap_or(unit);
                let start = if self.step_in(bar, frame, &layout).is_some() { frame } else { 0 };
                let line = start + (at - start).div_ceil(step) * step;
                return before + line.min(layout.length) - from;
            }
            before += left;
            bar += 1;
        }
        before
    }

    /// In a tuplet frame, the unit that notes may end on; `None` in other frames.
    fn step_in(&self, bar: i64, frame: u32, layout: &Layout) -> Option<u32> {
        let parts = *self.frames.get(&(bar, frame))?;
        let ratio = layout.tuplet(parts)?;
        let parts = if ratio.actual.is_multiple_of(3) { 3 } else { 2 };
        Some((layout.frame / parts).max(1))
    }

    /// Fills up with rests to a point, and opens its bar.
    fn rest_to(&mut self, bar: i64, at: u32) {
        if self.open.is_none() {
            self.begin(bar);
        }
        for _ in 0..MAX_BARS {
            let Some((open, layout, filled)) = &self.open else { break };
            if open.number >= bar {
                break;
            }
            let room = layout.length.saturating_sub(*filled);
            self.span(room, None);
            self.next_bar();
        }
        if self.open.as_ref().is_some_and(|(open, _, _)| open.number < bar) {
            self.begin(bar);
        }
        if let Some((_, _, filled)) = &self.open {
            self.span(at.saturating_sub(*filled), None);
        }
    }

    fn begin(&mut self, number: i64) {
        let layout = Layout::of_bar(number, &self.lines);
        let metre = self.lines.bar(number).metre;
        let bar = WrittenBar { number, metre, length: layout.length, signs: Vec::new() };
        self.open = Some((bar, layout, 0));
    }

    fn next_bar(&mut self) {
        if let Some((bar, _, _)) = self.open.take() {
            let next = bar.number.saturating_add(1);
            self.written.push(bar);
            self.begin(next);
        }
    }

    /// Fills the last bar with rests and closes it.
    fn close(&mut self) {
        if let Some((_, layout, filled)) = &self.open {
            self.span(layout.length.saturating_sub(*filled), None);
        }
        if let Some((bar, _, _)) = self.open.take() {
            self.written.push(bar);
        }
    }

    /// Adds this many ticks of a note or of rest to the open bar.
    fn span(&mut self, length: u32, note: Option<TiedNote>) {
        let frames = self.frames;
        let Some((bar, layout, filled)) = &mut self.open else { return };
        let (from, to) = (*filled, *filled + length);
        *filled = to;
        if note.is_none() && from == 0 && to == layout.length {
            let sign =
                Sign { at: 0, length, value: Value::Whole, dotted: false, tuplet: None, note };
            bar.signs.push(sign);
            return;
        }
        let pieces = pieces(layout, bar.number, frames, from, to, note.is_none());
        let last = pieces.len().saturating_sub(1);
        for (index, piece) in pieces.into_iter().enumerate() {
            let note = note.map(|note| TiedNote {
                tied_from: note.tied_from || index > 0,
                tied_on: note.tied_on || index < last,
                ..note
            });
            let tuplet = piece.tuplet.map(|ratio| {
                let frame = piece.at / layout.frame * layout.frame;
                let closes = piece.at + piece.length == frame + layout.frame;
                Tuplet { ratio, opens: piece.at == frame, closes }
            });
            let Piece { at, length, value, dotted, .. } = piece;
            bar.signs.push(Sign { at, length, value, dotted, tuplet, note });
        }
    }
}

/// A stretch of a bar as note values: by the parts of tuplet frames, and elsewhere by the metre.
fn pieces(
    layout: &Layout,
    bar: i64,
    frames: &Frames,
    from: u32,
    to: u32,
    rest: bool,
) -> Vec<Piece> {
    let (mut pieces, mut plain_from, mut frame) =
        (Vec::new(), from, from / layout.frame * layout.frame);
    while frame < to {
        let end = frame + layout.frame;
        let ratio = frames.get(&(bar, frame)).and_then(|parts| layout.tuplet(*parts));
        let (start, stop) = (from.max(frame), to.min(end));
        if let Some(ratio) = ratio.filter(|_| end <= layout.length && (start, stop) != (frame, end))
        {
            plain(layout, plain_from, start, rest, &mut pieces);
            in_tuplet(frame, layout.frame, ratio, start, stop, &mut pieces);
            plain_from = stop;
        }
        frame = end;
    }
    plain(layout, plain_from, to, rest, &mut pieces);
    pieces
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the cast saturates")]
fn whole(ticks: f64) -> u32 {
    ticks.round() as u32
}
