//! What was judged, with what it should have been, to fit the weights to.

use crate::hear::Heard;
use crate::solos::Note;
use overbar_core::transcription::Candidate;

/// A candidate this near to an onset is that onset; up to so far from one it is left out. In seconds.
const SAME: f64 = 0.035;
const NEAR: f64 = 0.045;

/// The length of a hop of the tracker, in seconds.
const HOP: f64 = 128.0 / 24_000.0;

/// Lines of CSV: situation, 1 for the nearest candidate to an onset or else 0, likelihood, features.
pub fn lines(played: &[Note], heard: &Heard) -> Vec<String> {
    let far = |found: &Candidate, note: &Note| (found.at as f64 * HOP - note.on).abs();
    let mut is_onset = vec![false; heard.judged.len()];
    for note in played {
        let near = heard.judged.iter().enumerate().filter(|(_, found)| far(found, note) <= SAME);
        let nearest = near.min_by(|a, b| far(a.1, note).total_cmp(&far(b.1, note)));
        if let Some((index, _)) = nearest {
            is_onset[index] = true;
        }
    }
    let mut lines = Vec::new();
    for (found, is_onset) in heard.judged.iter().zip(is_onset) {
        if !is_onset && played.iter().any(|note| far(found, note) <= NEAR) {
            continue;
        }
        let features: Vec<String> = found.features.iter().map(|f| format!("{f:.4}")).collect();
        let (label, features) = (u8::from(is_onset), features.join(","));
        lines.push(format!("{:?},{label},{:.3},{features}", found.situation, found.likely));
    }
    lines
}
