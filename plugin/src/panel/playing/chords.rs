//! Notes against the chords of the form, in words: counts, and no judgement.

use overbar_core::stats::Share;
use overbar_core::theory::counts::HarmonyCounts;

/// A phrase in a line.
pub fn of_phrase(counts: &HarmonyCounts) -> String {
    let beats = &counts.on_strong_beats;
    let mut told = format!("chord tones {}", plain(beats.chord_tones));
    if beats.guide_tones.of > 0 {
        told += &format!(", guide tones {}", plain(beats.guide_tones));
    }
    told += " on strong beats";
    if counts.arrivals.chord_tones.of > 0 {
        told += &format!(" · {} at changes", plain(counts.arrivals.chord_tones));
    }
    told
}

fn plain(share: Share) -> String {
    format!("{} of {}", share.count, share.of)
}
