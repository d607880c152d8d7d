//! Single cases as a player would expect them, and a proof that the line depends on the notes alone.

use super::{MelodyOnset, MelodyOnsets, NoteRole, RoleCounts};
use crate::input::note::Note;
use crate::take::settings::Melody;
use crate::time::{Beat, Moment, Second};
use proptest::prelude::*;

/// Onset and length in seconds, key.
type Played = (f64, f64, u8);

fn note((at, length, key): Played) -> Note {
    let moment = |second| Moment { beat: Beat(second), second: Second(second) };
    let off = Some(moment(at + length)).filter(|_| length.is_finite());
    Note { on: moment(at), off, key, channel: 0, velocity: 0.7 }
}

fn notes(played: &[Played]) -> Vec<Note> {
    let mut notes: Vec<Note> = played.iter().copied().map(note).collect();
    notes.sort_by(|a, b| a.on.second.0.total_cmp(&b.on.second.0).then(a.key.cmp(&b.key)));
    notes
}

fn line(notes: &[Note]) -> Vec<MelodyOnset> {
    MelodyOnsets::of(notes, Melody::default()).all().to_vec()
}

fn keys(played: &[Played]) -> Vec<u8> {
    let notes = notes(played);
    line(&notes).iter().map(|onset| notes[onset.note].key).collect()
}

fn onset(note: usize) -> MelodyOnset {
    MelodyOnset { note, first: note, held: note, ornaments: 0 }
}

/// Eighths of 0.2 s on these keys, from `at` on.
fn eighths(at: f64, keys: &[u8]) -> Vec<Played> {
    keys.iter().zip(0..).map(|(key, n)| (at + 0.2 * f64::from(n), 0.17, *key)).collect()
}

#[test]
fn a_monophonic_line_is_left_alone_whatever_its_leaps_and_overlaps() {
    let up_and_down = [60, 84, 48, 72, 55, 79, 43, 88, 60, 62];
    for length in [0.03, 0.1, 0.199, 0.2, 0.25, 0.29] {
        let played: Vec<Played> = up_and_down
            .iter()
            .cycle()
            .zip(0..200)
            .map(|(key, n)| (0.2 * f64::from(n), length, *key))
            .collect();
        let expected: Vec<MelodyOnset> = (0..200).map(onset).collect();
        assert_eq!(line(&notes(&played)), expected, "{length}");
    }
}

#[test]
fn a_chord_is_one_onset_at_its_top_note() {
    // Spread upwards over 24 ms, strummed downwards over 45 ms, and at once.
    let spread = [(1.0, 0.5, 60), (1.012, 0.5, 64), (1.024, 0.5, 67)];
    let strum = [(2.0, 0.5, 72), (2.015, 0.5, 67), (2.03, 0.5, 64), (2.045, 0.5, 60)];
    let at_once = [(3.0, 0.5, 60), (3.0, 0.5, 64), (3.0, 0.5, 72)];
    let notes = notes(&[&spread[..], &strum, &at_once].concat());
    let expected = [(2, 0), (3, 3), (9, 7)].map(|(note, first)| MelodyOnset {
        note,
        first,
        held: note,
        ornaments: 0,
    });
    assert_eq!(line(&notes), expected);
}

#[test]
fn a_key_that_bounces_is_one_note_from_its_first_attack_to_its_last_end() {
    let mut played = eighths(0.0, &[60, 62, 64, 65]);
    played.extend([(0.8, 0.012, 67), (0.825, 0.17, 67)]);
    let notes = notes(&played);
    let mut onsets = MelodyOnsets::new(Melody::default());
    onsets.follow(&notes);
    assert_eq!(onsets.all()[4], MelodyOnset { note: 4, first: 4, held: 5, ornaments: 0 });
    assert_eq!((onsets.all().len(), onsets.counts().glitches), (5, 1));
    let bounced = onsets.all()[4];
    assert_eq!((bounced.on(&notes), bounced.off(&notes)), (Some(notes[4].on), notes[5].off));
}

#[test]
fn a_glitch_is_ignored_but_short_gates_of_a_pad_are_not() {
    let mut played = eighths(0.0, &[60, 62, 64, 65, 67, 65, 64, 62, 60]);
    let slips = [(0.385, 0.02, 65), (0.61, 0.025, 66), (2.4, 0.02, 40)];
    played.extend(slips);
    let mut notes = notes(&played);
    for note in &mut notes {
        let is_slip = slips.iter().any(|slip| slip.0 == note.on.second.0);
        note.velocity = if is_slip { 0.3 } else { 0.7 };
    }
    let mut onsets = MelodyOnsets::new(Melody::default());
    onsets.follow(&notes);
    assert_eq!((onsets.all().len(), onsets.counts().glitches), (9, 3));
    for gate in [0.02, 0.025, 0.04, 0.06] {
        let pads: Vec<Played> =
            (0..100_u8).map(|n| (0.11 * f64::from(n), gate, 60 + n % 7)).collect();
        assert_eq!(keys(&pads).len(), 100, "{gate}");
    }
}

#[test]
fn grace_notes_after_a_rest_belong_to_their_main_note() {
    let mut played = eighths(0.0, &[60, 62, 64]);
    played.extend([(1.95, 0.05, 66), (2.0, 0.3, 67), (2.4, 0.3, 69)]);
    played.extend([(3.9, 0.05, 71), (3.95, 0.05, 73), (4.0, 0.3, 72)]);
    let notes = notes(&played);
    let mut onsets = MelodyOnsets::new(Melody::default());
    onsets.follow(&notes);
    let line = onsets.all();
    assert_eq!(line[3], MelodyOnset { note: 4, first: 3, held: 4, ornaments: 1 });
    assert_eq!(line[5], MelodyOnset { note: 8, first: 6, held: 8, ornaments: 2 });
    assert_eq!((line.len(), onsets.roles()[3]), (6, NoteRole::Ornament));
    // Sixteenths of 55 ms after a rest are a run.
    let run: Vec<Played> = (0..16_u8).map(|n| (f64::from(n) * 0.055, 0.05, 60 + n)).collect();
    assert_eq!(keys(&run).len(), 16);
}

/// Four bars of a line over a left hand, then the left hand alone.
fn two_hands() -> (Vec<Played>, Vec<u8>) {
    let phrase = [72, 74, 76, 77, 79, 77, 76, 74, 72, 71, 69, 67];
    let mut played = eighths(0.4, &phrase);
    played.extend(eighths(4.4, &phrase));
    for chord in 0..12 {
        let at = 0.1 + 0.8 * f64::from(chord);
        played.extend([48, 52, 57].map(|key| (at, 0.6, key)));
    }
    (played, [phrase, phrase].concat())
}

#[test]
fn a_left_hand_neither_starts_nor_extends_phrases() {
    let (played, expected) = two_hands();
    assert_eq!(keys(&played), expected);
    // The line dips below the left hand's highest note for a moment.
    let mut dips = played;
    dips.extend(eighths(10.4, &[67, 64, 62, 59, 56, 59, 62, 64]));
    dips.extend([48, 52, 57].map(|key| (11.0, 0.6, key)));
    assert_eq!(keys(&dips)[24..], [67, 64, 62, 59, 56, 59, 62, 64]);
}

#[test]
fn all_notes_or_the_top_ones_can_be_chosen() {
    let (played, melody) = two_hands();
    let notes = notes(&played);
    let count = |melody| MelodyOnsets::of(&notes, melody).len();
    // Each chord of the left hand is struck at one moment.
    assert_eq!((count(Melody::Top), count(Melody::All)), (melody.len(), melody.len() + 12));
}

#[test]
fn a_note_that_never_ends_does_not_swallow_the_line() {
    let mut played = eighths(0.0, &[72, 60, 62, 64, 65, 64, 62, 60, 62, 64]);
    played[0].1 = f64::INFINITY;
    assert_eq!(keys(&played).len(), 10);
}

#[test]
fn no_notes_make_no_line() {
    let mut onsets = MelodyOnsets::new(Melody::default());
    assert_eq!((onsets.follow(&[]), onsets.all(), onsets.roles()), (0, &[][..], &[][..]));
}

/// Notes as hands may play them: together, overlapping, bouncing, slipping; some never end.
fn hands() -> impl Strategy<Value = Vec<Note>> {
    let step = prop_oneof![Just(0.0), 0.0..0.03_f64, 0.03..0.1_f64, 0.1..0.5_f64, Just(1.5)];
    let length = prop_oneof![0.0..0.04_f64, 0.04..0.3_f64, 0.3..3.0_f64, Just(f64::INFINITY)];
    prop::collection::vec((step, length, 40..85_u8, 0..3_u8), 1..80).prop_map(|played| {
        let mut at = 0.0;
        let mut notes: Vec<Note> = Vec::new();
        for (step, length, key, channel) in played {
            at += step;
            notes.push(Note { channel, ..note((at, length, key)) });
        }
        notes.sort_by(|a, b| {
            a.on.second
                .0
                .total_cmp(&b.on.second.0)
                .then((a.key, a.channel).cmp(&(b.key, b.channel)))
        });
        notes
    })
}

/// The notes as known at `second`.
fn known(notes: &[Note], second: f64) -> Vec<Note> {
    let begun = notes.iter().filter(|n| n.on.second.0 <= second);
    begun.map(|n| Note { off: n.off.filter(|off| off.second.0 <= second), ..*n }).collect()
}

proptest! {
    /// Whenever it is asked for, the line depends only on the notes and ends known by then, and onsets
    /// reported as unchanged are unchanged.
    #[test]
    fn the_line_depends_on_the_notes_alone(
        notes in hands(),
        mut calls in prop::collection::vec(0.0..1.0_f64, 0..40),
        melody in prop::sample::select(vec![Melody::Auto, Melody::Top, Melody::All]),
    ) {
        let end = notes.last().map_or(0.0, |n| n.on.second.0) + 4.0;
        calls.sort_by(f64::total_cmp);
        let mut onsets = MelodyOnsets::new(melody);
        for call in calls.into_iter().chain([1.0]) {
            let so_far = known(&notes, call * end);
            let before = onsets.all().to_vec();
            let changed = onsets.follow(&so_far);
            prop_assert!(changed <= onsets.all().len());
            prop_assert_eq!(before.get(..changed), onsets.all().get(..changed));
            let mut anew = MelodyOnsets::new(melody);
            anew.follow(&so_far);
            prop_assert_eq!(onsets.all(), anew.all());
            prop_assert_eq!(onsets.roles(), anew.roles());
            prop_assert_eq!(onsets.roles().len(), so_far.len());
            prop_assert_eq!(onsets.counts(), anew.counts());
            let RoleCounts { main, ornaments, glitches, under } = onsets.counts();
            prop_assert_eq!(main + ornaments + glitches + under, so_far.len());
            prop_assert!(onsets.firm() <= onsets.all().len());
            prop_assert!(onsets.all().is_sorted_by_key(|o| o.note));
        }
    }
}
