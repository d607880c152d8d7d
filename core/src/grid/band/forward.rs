//! The forward algorithm: the probability of each state, given the frames so far.

use super::real;
use super::space::{Space, TEMPO_SD};

/// The estimated position in the bar, and the beat period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Position {
    /// In beats, from 0 at beat one.
    pub beat: f32,
    /// Frames per beat.
    pub period: f32,
    /// The probability that the beat is within a quarter of a beat of this, at this place in the bar.
    pub probability: f32,
}

/// The forward algorithm.
#[derive(Debug, Clone)]
pub(super) struct Forward {
    /// The probability of each state.
    cells: Vec<f32>,
    /// The probability that leaves each beat at each tempo.
    leaving: Vec<f32>,
    heard: Vec<f32>,
    quiet: Vec<f32>,
    /// For each place in the bar: its likelihood; and its probability, alone and times position and period.
    factors: Vec<f32>,
    mass: Vec<[f32; 3]>,
}

impl Forward {
    /// Starts around beat one, with a standard deviation of `sd` beats and `period` frames per beat.
    pub(super) fn new(space: &Space, period: f32, sd: f32) -> Self {
        let places = space.beats * space.in_beat;
        let exponentials = |logs: &[f32]| logs.iter().map(|log| log.exp()).collect();
        let mut forward = Self {
            cells: vec![0.0; space.cells.len()],
            leaving: vec![0.0; space.beats * space.tempos()],
            heard: exponentials(&space.heard),
            quiet: exponentials(&space.quiet),
            factors: vec![1.0; places],
            mass: vec![[0.0; 3]; places],
        };
        let mut cells = forward.cells.iter_mut().zip(&space.cells);
        for count in &space.periods {
            let tempo = normal((real(*count) / period - 1.0) / TEMPO_SD) / real(*count);
            for (mass, cell) in cells.by_ref().take(count * space.beats) {
                *mass = tempo * normal(space.away(cell, Some(0)) / sd);
            }
        }
        forward.normalise();
        forward
    }

    /// Advances by a frame. `evidence` has the log-likelihood of each place in the bar.
    pub(super) fn advance(&mut self, space: &Space, evidence: &[f32], is_quiet: bool) {
        for (factor, log) in self.factors.iter_mut().zip(evidence) {
            *factor = log.exp();
        }
        let tempos = space.tempos();
        let mut rest = self.cells.as_mut_slice();
        for (tempo, period) in space.periods.iter().enumerate() {
            let Some((bar, others)) = rest.split_at_mut_checked(period * space.beats) else {
                break;
            };
            for (beat, cells) in bar.chunks_exact(*period).enumerate() {
                if let (Some(kept), Some(last)) =
                    (self.leaving.get_mut(beat * tempos + tempo), cells.last())
                {
                    *kept = *last;
                }
            }
            let end = bar.len().saturating_sub(1);
            bar.copy_within(..end, 1);
            rest = others;
        }
        self.enter(space, is_quiet);
        for (mass, place) in self.cells.iter_mut().zip(&space.places) {
            *mass *= self.factors.get(usize::from(*place)).copied().unwrap_or(1.0);
        }
        self.normalise();
    }

    /// Starts each beat with the probability that left the previous one.
    fn enter(&mut self, space: &Space, is_quiet: bool) {
        let changes = if is_quiet { &self.quiet } else { &self.heard };
        let tempos = space.tempos();
        let mut rest = self.cells.as_mut_slice();
        for (tempo, period) in space.periods.iter().enumerate() {
            let Some((bar, others)) = rest.split_at_mut_checked(period * space.beats) else {
                break;
            };
            for (beat, cells) in bar.chunks_exact_mut(*period).enumerate() {
                let before = (beat + space.beats - 1) % space.beats;
                let from = self.leaving.iter().skip(before * tempos).take(tempos);
                let change = changes.iter().skip(tempo).step_by(tempos);
                if let Some(first) = cells.first_mut() {
                    *first = from.zip(change).map(|(from, change)| from * change).sum();
                }
            }
            rest = others;
        }
    }

    /// Conditions on a known beat `ago` beats back, with a standard deviation of `sd` beats: this beat of the bar,
    /// or any if `None`. The probabilities of the tempos do not change.
    pub(super) fn condition(&mut self, space: &Space, beat: Option<usize>, ago: f32, sd: f32) {
        let mut rest = self.cells.as_mut_slice();
        let mut known = space.cells.as_slice();
        for period in &space.periods {
            let length = period * space.beats;
            let Some((bar, others)) = rest.split_at_mut_checked(length) else { break };
            let (places, later) = known.split_at_checked(length).unwrap_or_default();
            if beat.is_some() {
                let sum = bar.iter().sum::<f32>();
                bar.fill(sum / real(length));
            } else {
                // The probability of each beat of the bar does not change.
                for cells in bar.chunks_exact_mut(*period) {
                    let sum = cells.iter().sum::<f32>();
                    cells.fill(sum / real(*period));
                }
            }
            for (mass, cell) in bar.iter_mut().zip(places) {
                let shifted = super::space::Cell { beat: cell.beat - ago, ..*cell };
                *mass *= normal(space.away(&shifted, beat) / sd);
            }
            (rest, known) = (others, later);
        }
        self.normalise();
    }

    /// The mean position and period around the likeliest place.
    pub(super) fn position(&mut self, space: &Space) -> Position {
        self.mass.fill([0.0; 3]);
        let mut cells = self.cells.iter().zip(&space.cells);
        for period in &space.periods {
            let frames = real(*period);
            for (mass, cell) in cells.by_ref().take(period * space.beats) {
                if let Some([sum, beats, periods]) = self.mass.get_mut(cell.place) {
                    *sum += mass;
                    *beats += mass * cell.beat;
                    *periods += mass * frames;
                }
            }
        }
        let count = self.mass.len();
        let around = |centre: usize, reach: usize| {
            let places =
                (centre + count - reach..=centre + count + reach).map(move |at| at % count);
            places.filter_map(|at| Some((at, self.mass.get(at)?)))
        };
        let near = |centre: usize| around(centre, 2).map(|(_, [sum, ..])| sum).sum::<f32>();
        let best = (0..count).max_by(|a, b| near(*a).total_cmp(&near(*b))).unwrap_or(0);
        let bar = real(space.beats);
        let mut sums = [0.0; 3];
        for (at, [sum, beats, periods]) in around(best, space.in_beat / 4) {
            // Unwrapped across the bar line.
            let bars = if at + count / 2 < best {
                bar
            } else if at > best + count / 2 {
                -bar
            } else {
                0.0
            };
            sums = [sums[0] + sum, sums[1] + beats + sum * bars, sums[2] + periods];
        }
        let [sum, beats, periods] = sums;
        let weight = sum.max(f32::MIN_POSITIVE);
        Position {
            beat: (beats / weight).rem_euclid(bar),
            period: periods / weight,
            probability: sum,
        }
    }

    fn normalise(&mut self) {
        let sum: f32 = self.cells.iter().sum();
        let is_sound = sum.is_finite() && sum > 0.0;
        let even = 1.0 / real(self.cells.len().max(1));
        let share = 1.0 / sum;
        for mass in &mut self.cells {
            // No state is impossible, so that no mistake is permanent.
            *mass = if is_sound { (*mass * share).max(MIN_PROBABILITY) } else { even };
        }
    }
}

/// The least probability of a state.
const MIN_PROBABILITY: f32 = 1e-20;

/// The normal density without its constant factor.
fn normal(deviations: f32) -> f32 {
    (-0.5 * deviations * deviations).exp()
}
