//! The likeliest path through all frames (Viterbi 1967) and through the known beats.

use super::evidence::{Evidence, Frame};
use super::lanes::Sums;
use super::margins::Margins;
use super::space::{Space, Step, TEMPO_SD};
use super::{real, single};

/// A known beat, in frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fixed {
    /// The nearest frame.
    pub frame: usize,
    /// Its beat of the bar; `None` for any.
    pub beat: Option<usize>,
    /// Its error as a standard deviation, in beats.
    pub off: f32,
}

/// The likeliest path.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Path {
    /// Its beats.
    pub steps: Vec<Step>,
    /// The margin at each beat over every path elsewhere in the bar, as a log-likelihood ratio.
    pub margins: Vec<f32>,
}

/// The largest distance of beat one from the count-in's, as a share of a beat. Origin: nobody counts in half a beat
/// off; common practice, no source.
const FARTHEST_ONE: f32 = 0.25;

/// Frames between rescalings of the sums.
const RESCALED_EVERY: usize = 256;

/// Finds the path. It starts at beat one, within `off` beats, at `period` frames per beat.
pub(super) fn best(
    space: &Space,
    evidence: &mut Evidence,
    frames: &[Frame],
    (period, off): (f32, f32),
    fixed: &[Fixed],
) -> Path {
    let mut known = space.cells.iter();
    let mut starts = Vec::with_capacity(space.cells.len());
    for count in &space.periods {
        let tempo = square((real(*count) / period - 1.0) / TEMPO_SD) + real(*count).ln();
        let bar = known.by_ref().take(count * space.beats);
        starts.extend(bar.map(|cell| match space.away(cell, Some(0)) {
            away if away > FARTHEST_ONE => f32::NEG_INFINITY,
            away => -tempo - square(away / off),
        }));
    }
    let mut sums = Sums::new(space, &starts);
    // Of each frame, beat and tempo: the tempo of the beat before.
    let mut from: Vec<u8> = Vec::with_capacity(frames.len() * space.beats * space.tempos());
    let mut margins = Margins::new(space, frames.len());
    let mut fixed = fixed.iter().peekable();
    for (number, frame) in frames.iter().enumerate() {
        sums.enter(space, if frame.is_quiet() { &space.quiet } else { &space.heard }, &mut from);
        let likeliest = sums.advance(space, evidence.of(frame));
        evidence.learn(frame, likeliest);
        while let Some(beat) = fixed.next_if(|beat| beat.frame <= number) {
            sums.change(space, |cell| -square(space.away(cell, beat.beat) / beat.off));
        }
        margins.add(space, number, &sums);
        if number % RESCALED_EVERY == 0 {
            sums.rescale();
        }
    }
    let steps = back(space, &sums.in_order(space), &from, frames.len());
    Path { margins: margins.of(&steps), steps }
}

/// The beats of the likeliest path, in order.
fn back(space: &Space, cells: &[f32], from: &[u8], frames: usize) -> Vec<Step> {
    let best = (0..cells.len()).max_by(|a, b| {
        let value = |at: &usize| cells.get(*at).copied().unwrap_or(f32::NEG_INFINITY);
        value(a).total_cmp(&value(b))
    });
    let mut cell = best.unwrap_or(0);
    let mut tempo = 0;
    for period in &space.periods {
        let length = period * space.beats;
        if cell < length {
            break;
        }
        (cell, tempo) = (cell - length, tempo + 1);
    }
    let period_of = |tempo: usize| space.periods.get(tempo).copied().unwrap_or(1);
    let (mut beat, mut ago) = (cell / period_of(tempo), cell % period_of(tempo));
    let mut steps = Vec::new();
    let mut now = frames.saturating_sub(1);
    loop {
        let period = period_of(tempo);
        let entered = now.checked_sub(ago);
        let frame = crate::stats::real(now) - crate::stats::real(ago);
        steps.push(Step { frame, period, beat });
        let Some(entered) = entered else { break };
        let row = entered * space.beats * space.tempos();
        let Some(before) = from.get(row + beat * space.tempos() + tempo) else { break };
        let Some(left) = entered.checked_sub(1) else { break };
        tempo = usize::from(*before);
        beat = (beat + space.beats - 1) % space.beats;
        (now, ago) = (left, period_of(tempo).saturating_sub(1));
    }
    steps.reverse();
    steps
}

/// The negative logarithm of the normal density, without its constant.
fn square(deviations: f32) -> f32 {
    let half = f64::from(deviations) * f64::from(deviations) / 2.0;
    single(half)
}
