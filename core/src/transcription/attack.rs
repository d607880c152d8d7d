//! Dates an attack more precisely than to a hop.

use super::history::History;
use super::level::STEPS;
use super::seconds;
use super::situation::Situation;

/// Steps over which the peak is taken: 9 ms, the period of low tones.
const AROUND: u64 = 6;

/// Hops before a candidate, and after it, that are searched for the quietest moment.
const BEFORE: u64 = 6;
const AFTER: u64 = 3;

/// If a sound falls no lower than this share of its peak, it continues, and the change of pitch dates the note.
const CONTINUES: f32 = 0.6;

/// The largest distance of a date from the candidate's hop, in seconds.
pub(super) const FARTHEST: f64 = 0.03;

/// The mean delay of dates, which is subtracted, in seconds. Origin: rendered solos.
const DELAY: f64 = 0.003;

/// The time at which the sound reaches a quarter of its peak (−12 dB), or rises out of the previous sound: the onset of a
/// candidate at hop `at`, as far as the next `known` hops show. It ignores the resampler's delay.
pub(super) fn second(history: &History, (at, situation): (u64, Situation), known: u64) -> f64 {
    let steps = STEPS as u64;
    let (from, to) = (at.saturating_sub(BEFORE) * steps, (at + known) * steps);
    let largest = (at * steps..to).map(|step| history.peak(step)).fold(0.0, f32::max);
    // The peak of the steps up to this one.
    let around = |step: u64| {
        (step.saturating_sub(AROUND)..=step).map(|near| history.peak(near)).fold(0.0, f32::max)
    };
    let latest = (at + AFTER) * steps;
    let mut quietest = (from, f32::MAX);
    for step in from..latest {
        let here = around(step);
        if here <= quietest.1 {
            quietest = (step, here);
        }
    }
    let (start, quiet) = quietest;
    let hop = seconds(at);
    if situation == Situation::Moved && quiet > largest * CONTINUES {
        return hop - DELAY;
    }
    let enough = (largest / 4.0).max((quiet * largest).sqrt());
    let reached = (start..to).find(|step| history.peak(*step) >= enough);
    let date = |step: u64| seconds(step) / crate::stats::real(STEPS);
    reached.map_or(hop, date).clamp(hop - FARTHEST, hop + FARTHEST) - DELAY
}
