//! Moves each beat of the Viterbi path to its strokes.
//!
//! The path has few tempos, so it is more even than a band. How far a beat moves depends on how loosely the band plays.

use super::beat::FIRST_PERIOD_SD;
use super::hearing::Hop;
use super::space::Step;
use super::strokes::{Looseness, Strokes};
use crate::grid::kalman::{BeatState, smooth};
use crate::stats::real;

/// Error of the first beat of the path, in seconds. Origin: a count-in.
const FIRST_SD: f64 = 0.02;

/// The looseness is averaged over all beats of a take.
const WHOLE_TAKE: f32 = 1e6;

/// Passes: strokes are found better once the beats are. Origin: fitted to rendered bands.
const PASSES: usize = 2;

/// The time of each beat, in seconds. Frames start at `first` and are `frame` seconds long; the first of the `hops`
/// is at `first_hop`.
pub(super) fn refined(
    steps: &[Step],
    (first, frame): (f64, f64),
    (first_hop, hops): (f64, &[Hop]),
) -> Vec<f64> {
    let on_path = |step: &Step| (first + step.frame * frame, real(step.period) * frame);
    let mut beats: Vec<(f64, f64)> = steps.iter().map(on_path).collect();
    for _ in 0..PASSES {
        let near = |(at, period): &(f64, f64)| Strokes::near(hops, first_hop, *at, *period);
        let strokes: Vec<Strokes> = beats.iter().map(near).collect();
        let mut looseness = Looseness::default();
        strokes.iter().for_each(|strokes| looseness.add(strokes, WHOLE_TAKE));
        let mut states: Vec<BeatState> = Vec::with_capacity(beats.len());
        for ((at, period), strokes) in beats.iter().zip(&strokes) {
            let expected = states.last().map_or_else(
                || BeatState::new(*at, *period, FIRST_SD, FIRST_PERIOD_SD * period),
                BeatState::next,
            );
            let beat = strokes.beat(*at, &looseness);
            states.push(expected.observed(beat.at, beat.sd));
        }
        smooth(&mut states);
        for ((at, _), state) in beats.iter_mut().zip(&states) {
            *at = state.time;
        }
    }
    beats.into_iter().map(|(at, _)| at).collect()
}
