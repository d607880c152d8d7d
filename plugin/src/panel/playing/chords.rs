//! Notes against the chords of the form, in words: counts, and no judgement.

use overbar_core::stats::Share;
use overbar_core::theory::counts::{HarmonyCounts, ToneCounts};

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

/// A take, a sentence each; shares with their 95 % intervals.
pub fn of_take(counts: &HarmonyCounts) -> Vec<String> {
    let tones = |what: &str, tones: &ToneCounts| {
        let chord = (tones.chord_tones.of > 0)
            .then(|| format!("Chord tones {what}: {}.", with_interval(tones.chord_tones)));
        let guide = (tones.guide_tones.of > 0)
            .then(|| format!("Guide tones {what}: {}.", with_interval(tones.guide_tones)));
        [chord, guide].into_iter().flatten()
    };
    let before = counts.entries_before_change;
    let before = (before.of > 0).then(|| {
        format!("Anticipated changes (chord tone of the next chord): {}.", with_interval(before))
    });
    let without = (counts.notes_without_chord > 0)
        .then(|| format!("Notes without a chord symbol: {}.", counts.notes_without_chord));
    tones("of all notes", &counts.notes)
        .chain(tones("on strong beats", &counts.on_strong_beats))
        .chain(tones("landing on a chord change", &counts.arrivals))
        .chain(before)
        .chain(without)
        .collect()
}

fn plain(share: Share) -> String {
    format!("{} of {}", share.count, share.of)
}

fn with_interval(share: Share) -> String {
    let (low, high) = share.interval().unwrap_or((0.0, 1.0));
    format!("{} of {} ({:.0} to {:.0} %)", share.count, share.of, low * 100.0, high * 100.0)
}
