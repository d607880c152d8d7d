//! Detects a host's playback of a recorded take: the same notes at the same beats, closer than anyone
//! plays twice.

use crate::input::note::Note;
use crate::take::performance::Performance;

/// How far a host's latency may move the whole region, in beats: 50 ms at 120 BPM. Common practice, no
/// source.
const MAX_MOVED: f64 = 0.1;

/// How far a note may deviate besides, in beats. Half a tick of a coarse sequencer (96 per quarter) is
/// 0.0052.
const TOLERANCE: f64 = 0.01;

/// Sound that is played back is not transcribed quite alike. At least this share of notes is within
/// [`TOLERANCE`]; between two takes of one line, with onsets that scatter by 10 ms, it is less than a quarter.
const EXACT: f64 = 0.7;

/// The other notes are this close, in beats: 50 ms at 120 BPM, an onset that was placed differently.
const LOOSE_TOLERANCE: f64 = 0.1;

/// Besides, this share of notes may be missing or extra.
const MISSING: f64 = 0.1;

/// The first matching note among this many aligns the two passes.
const ANCHORS: usize = 4;

/// How exactly two passes have to match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Likeness {
    /// The notes came as MIDI.
    Midi,
    /// They were heard in sound.
    Sound,
}

/// Fewer notes than this may match by chance: with onsets that scatter by 20 ms at 120 BPM, one note
/// matches with probability 0.3, six with less than 0.001.
const MIN_NOTES: usize = 6;

/// Whether `pass` is a playback of `known` or a part of it: the same notes, with none missing in between,
/// or few in sound. Velocities and channels are ignored because hosts change them.
pub fn is_playback(pass: &Performance, known: &Performance, likeness: Likeness) -> bool {
    let (pass, known) = (all(pass), all(known));
    if pass.len() < MIN_NOTES {
        return false;
    }
    let anchors = if likeness == Likeness::Midi { 1 } else { ANCHORS };
    pass.iter().take(anchors).any(|anchor| {
        let near = |note: &Note| (note.on.beat.0 - anchor.on.beat.0).abs() <= MAX_MOVED;
        let from = known.partition_point(|note| note.on.beat.0 < anchor.on.beat.0 - MAX_MOVED);
        let candidates = known.get(from..).unwrap_or_default().iter().take_while(|note| near(note));
        candidates
            .filter(|note| note.key == anchor.key)
            .any(|note| fits(&pass, &known, anchor.on.beat.0 - note.on.beat.0, likeness))
    })
}

/// Whether `pass` matches a part of `known` that is moved by `moved` beats.
fn fits(pass: &[Note], known: &[Note], moved: f64, likeness: Likeness) -> bool {
    let (tolerance, missing, loose) = match likeness {
        Likeness::Midi => (TOLERANCE, 0, 0),
        Likeness::Sound => {
            let of = |share| part_of(pass.len(), share);
            (LOOSE_TOLERANCE, of(MISSING), of(1.0 - EXACT))
        }
    };
    let (Some(first), Some(last)) = (pass.first(), pass.last()) else { return false };
    let begins = first.on.beat.0 - moved - tolerance;
    let ends = last.on.beat.0 - moved + tolerance;
    let from = known.partition_point(|note| note.on.beat.0 < begins);
    let to = known.partition_point(|note| note.on.beat.0 <= ends);
    let stretch = known.get(from..to).unwrap_or_default();
    // A note at the edge may fall outside the region.
    if stretch.len() + missing < pass.len() || stretch.len() > pass.len() + missing + 1 {
        return false;
    }
    let mut left: Vec<&Note> = stretch.iter().collect();
    let (mut missed, mut far) = (0, 0);
    pass.iter().all(|note| {
        let off = |other: &Note| (note.on.beat.0 - moved - other.on.beat.0).abs();
        let found = left.iter().take(NEAR).position(|o| o.key == note.key && off(o) <= tolerance);
        match found {
            Some(index) => far += usize::from(off(left.remove(index)) > TOLERANCE),
            None => missed += 1,
        }
        missed <= missing && far <= loose
    })
}

/// A share of a count, rounded down.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a small share of a count"
)]
fn part_of(count: usize, share: f64) -> usize {
    (count as f64 * share) as usize
}

/// How many of the next notes are compared: more than are struck together.
const NEAR: usize = 16;

/// All notes in order of the host's beat and key.
fn all(performance: &Performance) -> Vec<Note> {
    let lines = [performance.soloist.notes(), performance.ignored.notes()];
    let mut notes: Vec<Note> = lines.concat();
    // A host plays back by its own grid, whatever grid the take is on.
    if let Some(own) = performance.own_grid.as_deref() {
        for note in &mut notes {
            note.on.beat = own.host_tempo.beat_at(note.on.second).unwrap_or(note.on.beat);
        }
    }
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
        let notes = played.soloist.notes().get(from..to).unwrap_or_default().iter().zip(0_u32..);
        let notes = notes.map(|(note, number)| {
            let mut note = *note;
            note.on.beat.0 += moved + scatter * f64::from(number % 3) - scatter;
            note
        });
        played.soloist = NoteLine::of(notes.collect(), *played.soloist.oddities());
        played
    }

    #[test]
    fn a_region_is_recognised_whole_in_part_and_moved_by_the_hosts_latency() {
        let known = line(0, 24, 0.0, 0.0);
        assert!(is_playback(&known, &known, Likeness::Midi));
        assert!(is_playback(&line(5, 20, 0.0, 0.004), &known, Likeness::Midi));
        assert!(is_playback(&line(0, 24, 0.06, 0.004), &known, Likeness::Midi));
    }

    #[test]
    fn a_take_on_its_own_grid_is_recognised_by_the_hosts() {
        let known = take(120.0, &[(3, 1.5, &[0.5; 24])]);
        let mut own = known.clone();
        let double = own.anchors().unwrap().at_double_tempo().unwrap();
        own.set_grid(Some(&double));
        assert_ne!(own.soloist.notes()[5].on.beat, known.soloist.notes()[5].on.beat);
        assert!(is_playback(&known, &own, Likeness::Midi));
    }

    #[test]
    fn playing_the_same_line_again_is_no_playback() {
        let known = line(0, 24, 0.0, 0.0);
        // 15 ms early, on time, and 15 ms late.
        assert!(!is_playback(&line(0, 24, 0.0, 0.03), &known, Likeness::Midi));
        assert!(
            !is_playback(&line(0, 24, 0.5, 0.0), &known, Likeness::Midi),
            "elsewhere in the song"
        );
        assert!(!is_playback(&line(0, 5, 0.0, 0.0), &known, Likeness::Midi), "too few to tell");
        // One note more or fewer makes another take.
        let mut other = known.clone();
        let mut notes = known.soloist.notes().to_vec();
        notes.remove(15);
        notes.remove(9);
        other.soloist = NoteLine::of(notes, *known.soloist.oddities());
        assert!(!is_playback(&other, &known, Likeness::Midi));
        assert!(!is_playback(&known, &other, Likeness::Midi));
    }

    /// Transcribing the same recording again: onsets a few ms off, some more than that, a note missing.
    /// Another take of the same line differs more.
    #[test]
    fn playback_of_a_recording_is_recognised_by_its_sound() {
        let known = line(0, 24, 0.0, 0.0);
        let heard_as = |change: &dyn Fn(&mut Vec<Note>)| {
            let mut heard = known.clone();
            let mut notes = known.soloist.notes().to_vec();
            change(&mut notes);
            heard.soloist = NoteLine::of(notes, *known.soloist.oddities());
            heard
        };
        let heard = heard_as(&|notes| {
            for (index, note) in notes.iter_mut().enumerate() {
                note.on.beat.0 += if index % 5 == 4 { 0.08 } else { 0.004 };
            }
            notes.remove(7);
        });
        assert!(is_playback(&heard, &known, Likeness::Sound));
        assert!(is_playback(&known, &heard, Likeness::Sound));
        assert!(!is_playback(&heard, &known, Likeness::Midi));
        let again = line(0, 24, 0.0, 0.02);
        assert!(!is_playback(&again, &known, Likeness::Sound), "10 ms either way");
        let edited = heard_as(&|notes| drop(notes.drain(8..12)));
        assert!(!is_playback(&edited, &known, Likeness::Sound), "four notes fewer");
    }
}
