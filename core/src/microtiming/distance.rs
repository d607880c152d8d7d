//! The weighted note-to-beat distance (Gómez and others 2005).
//!
//! A note on a beat has distance 0. A note after a beat has 1/T, where T is its distance to the nearest
//! beat in beats; twice that if it ends after the next beat but not after the one that follows. A line's
//! distance is the mean of its notes. Unlike [`super::syncopation`] it distinguishes sixteenths from
//! eighths, and treats all beats alike.
//!
//! Conventions: notes are at their notated positions, swung off-beats in the middle, and last to the
//! next note, as in a pattern; the last note of a phrase lasts as long as it sounds. Notes without a
//! notated position do not count.

use super::onsets::Onset;
use crate::stats::sample::Sample;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// The distance of a note `after` its beat, from 0 to below 1, that ends at `end`, both in beats from
/// it.
pub fn weighted_distance(after: f64, end: f64) -> f64 {
    if after <= 0.0 {
        return 0.0;
    }
    let over_next_only = end > 1.0 + POSITION_TOLERANCE.0 && end <= 2.0 + POSITION_TOLERANCE.0;
    let weight = if over_next_only { 2.0 } else { 1.0 };
    weight / after.min(1.0 - after)
}

/// The distances of the onsets of a phrase whose last note is held to `end`.
pub fn distances(onsets: &[Onset], end: Beat) -> Sample {
    let mut sample = Sample::default();
    let ends = onsets.iter().skip(1).map(meant).chain([end]);
    for (onset, end) in onsets.iter().zip(ends) {
        if let Some(twelfths) = onset.twelfths() {
            let beats = (end - onset.position.pulse_start()).0 / onset.position.pulse_length.0;
            sample.push(weighted_distance(f64::from(twelfths) / 12.0, beats));
        }
    }
    sample
}

/// The notated position of an onset; where it was played if it has none.
fn meant(onset: &Onset) -> Beat {
    onset.twelfths().map_or(onset.position.beat, |twelfths| {
        let after = f64::from(twelfths) / 12.0 * onset.position.pulse_length.0;
        onset.position.pulse_start() + BeatSpan(after)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of Toussaint and of Gómez and others, as quoted by other authors and recomputed.
    #[test]
    fn published_patterns() {
        for (name, pattern, published) in [
            ("shiko", "x...x.x...x.x...", 6.0 / 5.0),
            ("son", "x..x..x...x.x...", 14.0 / 5.0),
            ("rumba", "x..x...x..x.x...", 18.0 / 5.0),
            ("gahu", "x..x..x...x...x.", 18.0 / 5.0),
            ("bossa", "x..x..x...x..x..", 4.0),
        ] {
            let attacks: Vec<f64> = (0..16)
                .map(f64::from)
                .zip(pattern.chars())
                .filter(|(_, step)| *step == 'x')
                .map(|(step, _)| step / 4.0)
                .collect();
            let ends = attacks.iter().skip(1).copied().chain([4.0]);
            let mut sample = Sample::default();
            for (attack, end) in attacks.iter().zip(ends) {
                let beat = attack.floor();
                sample.push(weighted_distance(attack - beat, end - beat));
            }
            let got = sample.mean().unwrap();
            assert!((got - published).abs() < 1e-9, "{name}: {got}, not {published}");
        }
    }
}
