//! When an attack was, finer than by hops.

use super::candidates::{Candidate, LOOK_AHEAD};
use super::history::History;
use super::level::STEPS;
use super::seconds;
use super::situation::Situation;

/// Steps over which the largest sample is taken: 9 ms, the period of low tones.
const AROUND: u64 = 6;

/// Hops that are looked at before a candidate, and after it for the quietest moment.
const BEFORE: u64 = 6;
const AFTER: u64 = 3;

/// A sound that falls no lower than this part of its largest sample goes on: the pitch tells the date.
const GOES_ON: f32 = 0.6;

/// A date is at most so many seconds from the candidate's hop.
pub(super) const FARTHEST: f64 = 0.03;

/// How late dates would be otherwise, in seconds. Origin: the mean over rendered solos.
const LATE: f64 = 0.003;

/// The second in which the sound comes to a quarter of its largest sample (−12 dB), or rises out of
/// what sounded before, without the resampler's delay.
pub(super) fn second(history: &History, found: &Candidate) -> f64 {
    let steps = STEPS as u64;
    let (from, to) = (found.at.saturating_sub(BEFORE) * steps, (found.at + LOOK_AHEAD) * steps);
    let largest = (found.at * steps..to).map(|step| history.peak(step)).fold(0.0, f32::max);
    // The largest sample of the steps just before.
    let around = |step: u64| {
        (step.saturating_sub(AROUND)..=step).map(|near| history.peak(near)).fold(0.0, f32::max)
    };
    let latest = (found.at + AFTER) * steps;
    let mut quietest = (from, f32::MAX);
    for step in from..latest {
        let here = around(step);
        if here <= quietest.1 {
            quietest = (step, here);
        }
    }
    let (start, quiet) = quietest;
    let hop = seconds(found.at);
    if found.situation == Situation::Moved && quiet > largest * GOES_ON {
        return hop - LATE;
    }
    let enough = (largest / 4.0).max((quiet * largest).sqrt());
    let reached = (start..to).find(|step| history.peak(*step) >= enough);
    let date = |step: u64| seconds(step) / crate::stats::real(STEPS);
    reached.map_or(hop, date).clamp(hop - FARTHEST, hop + FARTHEST) - LATE
}
