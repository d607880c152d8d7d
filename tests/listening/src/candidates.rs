//! Judged candidates with their labels, for fitting the weights.

use crate::hear::Heard;
use crate::solos::Note;
use overbar_core::transcription::Candidate;

/// Maximum distance from an onset to its candidate, in seconds.
const SAME: f64 = 0.035;

/// The length of a hop of the tracker, in seconds.
const HOP: f64 = 128.0 / 24_000.0;

/// Lines of CSV: 1 for the candidate nearest to an onset, otherwise 0, and the features.
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
