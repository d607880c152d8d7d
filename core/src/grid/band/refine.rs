//! Each beat of the best way, moved to where the band strikes it.
//!
//! The way has few tempos and so keeps a straighter time than a band does. How far a beat is moved depends on how
//! loosely the band plays.

use super::hearing::Hop;
use super::path::Step;
use super::strokes::{Looseness, Strokes};
use crate::grid::kalman::{BeatState, smooth};
use crate::stats::real;

/// How far the first beat of the way is off, in seconds, and its length, as a share. Origin: a count-in.
const FIRST_OFF: f64 = 0.02;
const FIRST_TEMPO_OFF: f64 = 0.05;

/// All strokes of a take tell how loosely the band plays.
const WHOLE_TAKE: f32 = 1e6;

/// So many times: where the beats are, strokes are found better. Origin: fitted to rendered bands.
const TIMES: usize = 2;

/// When each beat is, in seconds. Frames of the way begin at `first` and are `frame` seconds long; the first of the
/// `hops` is at `first_hop`.
pub(super) fn refined(
    steps: &[Step],
    (first, frame): (f64, f64),
    (first_hop, hops): (f64, &[Hop]),
) -> Vec<f64> {
    let on_way = |step: &Step| (first + step.frame * frame, real(step.period) * frame);
    let mut beats: Vec<(f64, f64)> = steps.iter().map(on_way).collect();
    for _ in 0..TIMES {
        let near = |(at, period): &(f64, f64)| Strokes::near(hops, first_hop, *at, *period);
        let strokes: Vec<Strokes> = beats.iter().map(near).collect();
        let mut looseness = Looseness::default();
        strokes.iter().for_each(|strokes| looseness.add(strokes, WHOLE_TAKE));
        let mut states: Vec<BeatState> = Vec::with_capacity(beats.len());
        for ((at, period), strokes) in beats.iter().zip(&strokes) {
            let expected = states.last().map_or_else(
                || BeatState::new(*at, *period, FIRST_OFF, FIRST_TEMPO_OFF * period),
                BeatState::next,
            );
            let struck = strokes.beat(*at, &looseness);
            states.push(expected.observed(struck.at, struck.off));
        }
        smooth(&mut states);
        for ((at, _), state) in beats.iter_mut().zip(&states) {
            *at = state.time;
        }
    }
    beats.into_iter().map(|(at, _)| at).collect()
}
