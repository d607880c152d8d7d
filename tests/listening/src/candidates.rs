//! What was judged, with what it should have been, to fit the weights to.

use crate::hear::Heard;
use crate::solos::Note;
use overbar_core::transcription::Candidate;

/// The candidate nearest to an onset, this near at most, is that onset. In seconds.
const SAME: f64 = 0.035;

/// The length of a hop of the tracker, in seconds.
const HOP: f64 = 128.0 / 24_000.0;

/// Lines of CSV: 1 for the nearest candidate to an onset or else 0, features.
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
    let line = |(found, is_onset): (&Candidate, bool)| {
        let features: Vec<String> = found.features.iter().map(|f| format!("{f:.4}")).collect();
        format!("{},{}", u8::from(is_onset), features.join(","))
    };
    heard.judged.iter().zip(is_onset).map(line).collect()
}
