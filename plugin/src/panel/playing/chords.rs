//! Notes against the chords of the form, in words: counts without judgement.

use overbar_core::stats::Share;
use overbar_core::theory::counts::HarmonyCounts;

/// A phrase on one line.
pub fn of_phrase(counts: &HarmonyCounts) -> String {
    let beats = &counts.on_strong_beats;
    let mut text = format!("chord tones {}", plain(beats.chord_tones));
    if beats.guide_tones.of > 0 {
        text += &format!(", guide tones {}", plain(beats.guide_tones));
    }
    text += " on strong beats";
    if counts.arrivals.chord_tones.of > 0 {
        text += &format!(" · {} at changes", plain(counts.arrivals.chord_tones));
    }
    text
}

fn plain(share: Share) -> String {
    format!("{} of {}", share.count, share.of)
}
