//! Grace notes that open a phrase: a few short notes after a rest, a step apart, before a longer one.
//! Inside a phrase they don't affect its start, and stay onsets.

use super::onset_cluster::OnsetCluster;
use crate::input::note::Note;

/// Longest grace note, to the next onset, in seconds. Origin: sixteenths at 250 BPM; on the labelled
/// solos a longer limit mistakes pickups for grace notes, and positions get worse.
const SHORT: f64 = 0.06;

/// Longest grace note in quarters: at fast tempos a longer one may be a sixteenth. Origin: half a
/// sixteenth; with two thirds, positions of labelled and invented solos get worse.
const PART: f64 = 1.0 / 8.0;

/// The notes around them are longer by this factor, so that a fast passage has no grace notes. Origin: a
/// round figure; with 2, positions of labelled and invented solos get worse, and with 3 the settled grade
/// learns less from corrections.
const LONGER: f64 = 2.5;

/// The most before one main note: with more it is a passage or a trill.
const MAX_ORNAMENTS: usize = 3;

/// The widest step, in semitones.
const STEP: u8 = 2;

/// Shortest rest before them, in seconds: a shorter one does not separate phrases.
const REST: f64 = 0.08;

/// Whether cluster `index` is a grace note of the one after it, or of one soon after.
pub(super) fn is_ornament(clusters: &[OnsetCluster], notes: &[Note], index: usize) -> bool {
    let on = |index: usize| {
        let top = clusters.get(index).and_then(|cluster| notes.get(cluster.top));
        top.map(|note| note.on)
    };
    let at = |index: usize| on(index).map(|on| on.second.0);
    // The time from cluster `index` to the next. The newest has none: it may still become long.
    let step = |index: usize| Some(at(index + 1)? - at(index)?);
    let is_part = |index: usize| {
        on(index).zip(on(index + 1)).is_some_and(|(on, next)| (next.beat - on.beat).0 >= PART)
    };
    let is_short = |index: usize| step(index).is_some_and(|step| step < SHORT) && !is_part(index);
    if !is_short(index) {
        return false;
    }
    let back =
        (1..=MAX_ORNAMENTS).take_while(|back| index.checked_sub(*back).is_some_and(is_short));
    let first = index - back.count();
    let run = (first..).take(MAX_ORNAMENTS + 1).take_while(|index| is_short(*index)).count();
    if run > MAX_ORNAMENTS {
        return false;
    }
    let main = first + run;
    let longest = (first..main).filter_map(step).fold(0.0, f64::max);
    let stands_out = |step: Option<f64>| step.is_none_or(|step| step >= LONGER * longest);
    let key = |index: usize| {
        let top = clusters.get(index).and_then(|cluster| notes.get(cluster.top));
        top.map_or(0, |note| note.key)
    };
    let end = |index: usize| {
        let held = clusters.get(index).and_then(|cluster| notes.get(cluster.held));
        held.map(|note| note.off.map_or(f64::INFINITY, |off| off.second.0))
    };
    let before = first.checked_sub(1);
    let rested = before
        .is_none_or(|before| at(first).zip(end(before)).is_some_and(|(at, end)| at - end >= REST));
    rested
        && stands_out(step(main))
        && stands_out(before.and_then(step))
        && (first..main).all(|index| key(index).abs_diff(key(index + 1)) <= STEP)
}
