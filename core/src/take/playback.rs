//! Detects a host's playback of a recorded take: the same notes at the same beats, closer than anyone
//! plays twice.

use crate::input::note::Note;
use crate::take::performance::Performance;

/// How far a host's latency may move the whole region, in beats: 50 ms at 120 BPM. Common practice, no
/// source.
const MOST_MOVED: f64 = 0.1;

/// How far a note may deviate besides, in beats. Half a tick of a coarse sequencer (96 per quarter) is
/// 0.0052.
const TOLERANCE: f64 = 0.01;

/// Fewer notes than this may match by chance: with onsets that scatter by 20 ms at 120 BPM, one note
/// matches with probability 0.3, six with less than 0.001.
const FEWEST: usize = 6;

/// Whether `pass` is a playback of `known` or a part of it: the same notes, none missing in between.
/// Velocities and channels are ignored because hosts change them.
pub fn is_playback(pass: &Performance, known: &Performance) -> bool {
    let (pass, known) = (all(pass), all(known));
    let Some(first) = pass.first().filter(|_| pass.len() >= FEWEST) else { return false };
    let near = |note: &Note| (note.on.beat.0 - first.on.beat.0).abs() <= MOST_MOVED;
    let from = known.partition_point(|note| note.on.beat.0 < first.on.beat.0 - MOST_MOVED);
    let candidates = known.get(from..).unwrap_or_default().iter().take_while(|note| near(note));
    candidates
        .filter(|note| note.key == first.key)
        .any(|note| fits(&pass, &known, first.on.beat.0 - note.on.beat.0))
}

/// Whether `pass` is a part of `known`, moved by `moved` beats.
fn fits(pass: &[Note], known: &[Note], moved: f64) -> bool {
    let (Some(first), Some(last)) = (pass.first(), pass.last()) else { return false };
    let begins = first.on.beat.0 - moved - TOLERANCE;
    let ends = last.on.beat.0 - moved + TOLERANCE;
    let from = known.partition_point(|note| note.on.beat.0 < begins);
    let to = known.partition_point(|note| note.on.beat.0 <= ends);
    let stretch = known.get(from..to).unwrap_or_default();
    // A note at the edge may fall outside the region.
    if stretch.len() < pass.len() || stretch.len() > pass.len() + 1 {
        return false;
    }
    let mut left: Vec<&Note> = stretch.iter().collect();
    pass.iter().all(|note| {
        let found = left.iter().take(NEAR).position(|other| {
            other.key == note.key && (note.on.beat.0 - moved - other.on.beat.0).abs() <= TOLERANCE
        });
        found.map(|index| left.remove(index)).is_some()
    })
}

/// How many of the next notes are compared: more than are struck together.
const NEAR: usize = 16;

/// All notes in order of beat and key.
fn all(performance: &Performance) -> Vec<Note> {
    let lines = [performance.heard.notes(), performance.outside.notes()];
    let mut notes: Vec<Note> = lines.concat();
    notes.sort_by(|a, b| a.on.beat.0.total_cmp(&b.on.beat.0).then(a.key.cmp(&b.key)));
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::pairing::NoteLine;
    use crate::take::invented::take;

    /// Notes `from` to `to` of a line of 24 eighths, moved and scattered by these numbers of beats.
    fn line(from: usize, to: usize, moved: f64, scatter: f64) -> Performance {
        let mut played = take(120.0, &[(3, 1.5, &[0.5; 24])]);
        let notes = played.heard.notes().get(from..to).unwrap_or_default().iter().zip(0_u32..);
        let notes = notes.map(|(note, number)| {
            let mut note = *note;
            note.on.beat.0 += moved + scatter * f64::from(number % 3) - scatter;
            note
        });
        played.heard = NoteLine::of(notes.collect(), *played.heard.oddities());
        played
    }

    #[test]
    fn a_region_is_known_again_whole_in_part_and_moved_by_the_hosts_latency() {
        let known = line(0, 24, 0.0, 0.0);
        assert!(is_playback(&known, &known));
        assert!(is_playback(&line(5, 20, 0.0, 0.004), &known));
        assert!(is_playback(&line(0, 24, 0.06, 0.004), &known));
    }

    #[test]
    fn playing_the_same_once_more_is_no_playback() {
        let known = line(0, 24, 0.0, 0.0);
        // 15 ms early, on time, and 15 ms late.
        assert!(!is_playback(&line(0, 24, 0.0, 0.03), &known));
        assert!(!is_playback(&line(0, 24, 0.5, 0.0), &known), "in another place");
        assert!(!is_playback(&line(0, 5, 0.0, 0.0), &known), "too few to tell");
        // One note more or less is another take.
        let mut other = known.clone();
        let mut notes = known.heard.notes().to_vec();
        notes.remove(15);
        notes.remove(9);
        other.heard = NoteLine::of(notes, *known.heard.oddities());
        assert!(!is_playback(&other, &known));
        assert!(!is_playback(&known, &other));
    }
}
