//! The written position of each onset of a take.
//!
//! Onsets keep the position from the quantizer, except those of a steady player ([`super::steady`]). Onsets
//! without one go to the cheapest grid of their frame (the felt pulse): distance moved against the
//! difficulty of reading the grid, as in Cemgil, Desain and Kappen (2000) and Temperley (2007, chapter 2);
//! the costs are our own.

use super::layout::Layout;
use super::placed::Placed;
use super::steady::requantize;
use super::value::ticks;
use crate::phrase::{AnalysisContext, played};
use crate::quantization::{BarLines, MetricalPosition};
use crate::time::BeatSpan;

/// Grids of a frame: number of parts, and the cost of reading it as a share of the frame. Own values.
const SIMPLE: [(u32, f64); 6] = [(1, 0.0), (2, 0.0), (4, 0.03), (3, 0.05), (6, 0.12), (8, 0.15)];
const COMPOUND: [(u32, f64); 6] = [(1, 0.0), (3, 0.0), (6, 0.03), (2, 0.06), (4, 0.12), (12, 0.15)];

/// The shortest note, in ticks: any multiple of it can be written.
const SHORTEST: u32 = 3;

/// The cost of moving an onset that has a position: more than any grid.
const MOVED: f64 = 1.0;

/// The written positions of all onsets, in order. Empty without a beat grid.
pub(super) fn place(context: AnalysisContext<'_>) -> Vec<Placed> {
    let mut placed = Vec::new();
    let mut frame: Vec<Wanted> = Vec::new();
    for onset in 0..context.line.len() {
        let Some(wanted) = Wanted::of(onset, context) else { continue };
        if frame.last().is_some_and(|last| last.frame != wanted.frame) {
            settle(&mut frame, &mut placed, &context.lines);
        }
        frame.push(wanted);
    }
    settle(&mut frame, &mut placed, &context.lines);
    requantize(&mut placed, context);
    // Neighbouring beats are quantized separately, so an onset may end up before its predecessor.
    for index in (1..placed.len()).rev() {
        let Some(next) = placed.get(index).copied() else { continue };
        let Some(before) = placed.get_mut(index - 1) else { continue };
        if (before.bar, before.at) >= (next.bar, next.at) {
            *before = Placed {
                bar: next.bar,
                at: next.at,
                bar_start: next.bar_start,
                crowded: true,
                ..*before
            };
        }
    }
    placed
}

/// An onset in its frame.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    placed: Placed,
    /// Its bar and the start of its frame in ticks; then the frame's length.
    frame: (i64, u32),
    length: u32,
    /// Its position in the frame, from 0 to below 1.
    share: f64,
    /// That position is from the quantizer; otherwise it is as played.
    known: bool,
}

impl Wanted {
    fn of(onset: usize, context: AnalysisContext<'_>) -> Option<Self> {
        let position = context.position(onset)?;
        let layout = Layout::of_bar(position.bar, &context.lines);
        let (at, known) = ticks_in_bar(&position, layout.length);
        let start = at / layout.frame * layout.frame;
        let melody = context.line.get(onset)?;
        let ended = melody.off(context.notes);
        let ended = ended.and_then(|off| played(context.tempo, off, context.latency));
        Some(Self {
            placed: Placed {
                onset,
                bar: position.bar,
                at,
                bar_start: position.bar_start,
                played: position.beat,
                ended,
                crowded: false,
            },
            frame: (position.bar, start),
            length: layout.frame.min(layout.length - start),
            share: f64::from(at - start) / f64::from(layout.frame.min(layout.length - start)),
            known,
        })
    }
}

/// Ticks from the bar line, and whether they are from the quantizer.
fn ticks_in_bar(position: &MetricalPosition, length: u32) -> (u32, bool) {
    let pulses = position.notated().unwrap_or_else(|| (position.played - 1.0).max(0.0));
    let at = ticks(BeatSpan(pulses * position.pulse_length.0));
    // A position past the end of a bar that is cut short is invalid.
    (at.min(length.saturating_sub(1)), position.notated().is_some() && at < length)
}

/// Sets the ticks of a frame's onsets.
fn settle(frame: &mut Vec<Wanted>, placed: &mut Vec<Placed>, lines: &BarLines<'_>) {
    let Some(first) = frame.first().copied() else { return };
    let layout = Layout::of_bar(first.frame.0, lines);
    let apart = frame.windows(2).all(|pair| matches!(pair, [a, b] if a.placed.at < b.placed.at));
    let points: Vec<u32> = frame.iter().map(|wanted| wanted.placed.at - first.frame.1).collect();
    let known = apart && frame.iter().all(|wanted| wanted.known);
    if known && grid(&points, &layout, first.frame.1).is_some() {
        placed.extend(frame.iter().map(|wanted| wanted.placed));
        frame.clear();
        return;
    }
    let best = grids(&layout, first.frame.1)
        .filter_map(|(parts, cost)| {
            slots(frame, parts).map(|(slots, moved)| (cost + moved, parts, slots))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((_, parts, slots)) => {
            let unit = first.length / parts;
            placed.extend(
                frame.iter().zip(slots).map(|(wanted, slot)| Placed {
                    at: first.frame.1 + slot * unit,
                    ..wanted.placed
                }),
            );
        }
        None => crowd(frame, first, placed),
    }
    frame.clear();
}

/// The possible grids of a frame that starts at `start`, with their costs. A frame that a change of metre
/// cuts short has no tuplets.
fn grids(layout: &Layout, start: u32) -> impl Iterator<Item = (u32, f64)> {
    let length = layout.frame.min(layout.length - start);
    let grids = if layout.frame_in_three { COMPOUND } else { SIMPLE };
    grids.into_iter().filter(move |(parts, _)| {
        let unit = length / parts;
        let whole = length == layout.frame;
        let written = match layout.tuplet(*parts) {
            Some(ratio) if !whole || !(unit * ratio.actual).is_multiple_of(ratio.normal) => 0,
            Some(ratio) => unit * ratio.actual / ratio.normal,
            None => unit,
        };
        length.is_multiple_of(*parts) && written > 0 && written.is_multiple_of(SHORTEST)
    })
}

/// The number of parts of the simplest grid of the frame at `start` that contains all of `points`, in ticks
/// from there.
pub(super) fn grid(points: &[u32], layout: &Layout, start: u32) -> Option<u32> {
    let length = layout.frame.min(layout.length - start);
    let mut parts = grids(layout, start).map(|(parts, _)| parts);
    parts.find(|parts| points.iter().all(|at| (at * parts).is_multiple_of(length)))
}

/// Assigns a part of the frame to each onset, in order. Returns the parts and the cost; `None` if there are
/// too few parts.
fn slots(frame: &[Wanted], parts: u32) -> Option<(Vec<u32>, f64)> {
    let (mut cost, mut next) = (0.0, 0);
    let mut slots = Vec::new();
    for (index, wanted) in frame.iter().enumerate() {
        let left = u32::try_from(frame.len() - index - 1).ok()?;
        let last = parts.checked_sub(left + 1)?;
        let exact = wanted.share * f64::from(parts);
        let slot = nearest(exact).clamp(next, last.max(next));
        if slot >= parts {
            return None;
        }
        let moved = (f64::from(slot) / f64::from(parts) - wanted.share).abs();
        cost += moved + if wanted.known && moved > 1e-6 { MOVED } else { 0.0 };
        next = slot + 1;
        slots.push(slot);
    }
    Some((slots, cost))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a part of a frame: from 0 to 12"
)]
fn nearest(exact: f64) -> u32 {
    exact.round() as u32
}

/// For more onsets than any grid has parts: of those at one part, the last stays and the others become grace
/// notes.
fn crowd(frame: &[Wanted], first: Wanted, placed: &mut Vec<Placed>) {
    let parts = if first.length.is_multiple_of(4 * SHORTEST) { 4 } else { 1 };
    let unit = first.length / parts;
    let slot = |wanted: &Wanted| nearest(wanted.share * f64::from(parts)).min(parts - 1);
    for (index, wanted) in frame.iter().enumerate() {
        let next = frame.get(index + 1).map(slot);
        let at = first.frame.1 + slot(wanted) * unit;
        placed.push(Placed { at, crowded: next == Some(slot(wanted)), ..wanted.placed });
    }
}
