//! The note tracker on tones of known pitch and date, and on what is no note at all.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]
#![expect(clippy::indexing_slicing, reason = "a test says what it expects by panicking")]
#![expect(clippy::cast_precision_loss, reason = "counts of samples")]
#![expect(clippy::panic, reason = "a test says what it expects by panicking")]
#![expect(clippy::cast_sign_loss, reason = "lengths and keys are positive")]
#![expect(clippy::cast_possible_truncation, reason = "samples are in single precision")]

mod beside;
mod live;

use overbar_core::transcription::{HeardNote, Instrument, NoteEvent, NoteTracker, TrackerSettings};
use overbar_testkit::tones::{Tone, Wave, hertz, sound, tone};
use proptest::prelude::*;

const RATE: u32 = 48_000;

const AT_440: TrackerSettings =
    TrackerSettings { instrument: Instrument::Any, tuning: Some(440.0) };

fn heard(samples: &[f32]) -> Vec<HeardNote> {
    heard_at(samples, RATE)
}

fn heard_at(samples: &[f32], rate: u32) -> Vec<HeardNote> {
    let mut tracker = NoteTracker::new(rate, AT_440).unwrap();
    let mut notes = Vec::new();
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            notes.push(note);
        }
    };
    tracker.push(samples, &mut keep);
    tracker.finish(&mut keep);
    notes
}

/// The pitch as a key with its fraction.
fn pitch(note: &HeardNote) -> f64 {
    f64::from(note.key) + f64::from(note.cents) / 100.0
}

fn onsets(notes: &[HeardNote]) -> Vec<f64> {
    notes.iter().map(|note| note.onset.0).collect()
}

fn assert_heard(notes: &[HeardNote], tones: &[Tone], within: f64) {
    assert_eq!(notes.len(), tones.len(), "{:?}", onsets(notes));
    for (note, tone) in notes.iter().zip(tones) {
        assert!((note.onset.0 - tone.on).abs() <= within, "{tone:?} at {:.3}", note.onset.0);
        assert!((pitch(note) - tone.key).abs() <= 0.5, "{tone:?}: {}", pitch(note));
    }
}

/// A line that never repeats a pitch at once.
const LINE: [f64; 8] = [69.0, 71.0, 72.0, 76.0, 74.0, 67.0, 64.0, 62.0];

fn line(step: f64, length: f64) -> Vec<Tone> {
    let at = |index: usize| 0.3 + index as f64 * step;
    LINE.iter().enumerate().map(|(index, key)| tone(at(index), at(index) + length, *key)).collect()
}

#[test]
fn steady_tones_from_e2_to_c7_are_within_5_cents() {
    for wave in [Wave::Sine, Wave::Saw] {
        for key in 40..=96 {
            for off in [-0.3, 0.0, 0.13] {
                let meant = f64::from(key) + off;
                let notes = heard(&sound(&[tone(0.3, 0.8, meant)], wave, 1.0, RATE));
                assert_eq!(notes.len(), 1, "{wave:?} {meant}: {:?}", onsets(&notes));
                let cents = (pitch(&notes[0]) - meant) * 100.0;
                assert!(cents.abs() <= 5.0, "{wave:?} {meant}: {cents:+.1} cents");
                assert!((notes[0].onset.0 - 0.3).abs() < 0.02, "{meant}: {:?}", notes[0].onset);
                let end = notes[0].end.unwrap().0;
                assert!((end - 0.8).abs() < 0.05, "{meant} ends at {end}");
            }
        }
    }
}

#[test]
fn a_repeated_note_is_heard_each_time() {
    for gap in [0.03, 0.06] {
        let repeated: Vec<Tone> = (0..8)
            .map(|n| 0.3 + 0.2 * f64::from(n))
            .map(|at| tone(at, at + 0.2 - gap, 67.0))
            .collect();
        assert_heard(&heard(&sound(&repeated, Wave::Saw, 2.2, RATE)), &repeated, 0.02);
    }
}

#[test]
fn a_line_is_heard_detached_and_slurred() {
    for length in [0.1, 0.15, 0.2] {
        let tones = line(0.2, length);
        let notes = heard(&sound(&tones, Wave::Saw, 2.2, RATE));
        assert_heard(&notes, &tones, 0.025);
        for pair in notes.windows(2) {
            assert!(pair[0].end.unwrap() <= pair[1].onset, "{pair:?} overlap");
        }
    }
}

#[test]
fn vibrato_and_tremolo_are_one_note() {
    let seconds = 2.0;
    for (depth, tremor) in [(0.3, 0.0), (0.0, 0.2), (0.3, 0.2)] {
        let mut phase = 0.0;
        let samples: Vec<f32> = (0..(seconds * f64::from(RATE)) as usize)
            .map(|index| {
                let now = index as f64 / f64::from(RATE);
                let wave = (now * 5.5 * std::f64::consts::TAU).sin();
                phase += hertz(67.0 + depth * wave) / f64::from(RATE);
                let fade = ((now - 0.3) / 0.005).clamp(0.0, 1.0);
                let partials = (1..8).map(|n| (std::f64::consts::TAU * phase * f64::from(n)).sin());
                let sum: f64 = partials.zip(1..).map(|(s, n)| s / f64::from(n)).sum();
                (0.2 * fade * (1.0 + tremor * wave) * sum) as f32
            })
            .collect();
        let notes = heard(&samples);
        assert_eq!(notes.len(), 1, "{depth} {tremor}: {:?}", onsets(&notes));
    }
}

#[test]
fn what_the_player_tunes_to_is_found() {
    for hertz in [430.0, 434.0, 440.0, 446.0, 450.0] {
        let off = 12.0 * (hertz / 440.0_f64).log2();
        let tones: Vec<Tone> = (0..24)
            .map(|n| (0.3 + 0.25 * f64::from(n), LINE[n as usize % LINE.len()] + off))
            .map(|(at, key)| tone(at, at + 0.2, key))
            .collect();
        let mut tracker = NoteTracker::new(RATE, TrackerSettings::default()).unwrap();
        let mut last = Vec::new();
        tracker.push(&sound(&tones, Wave::Saw, 7.0, RATE), |event| {
            if let NoteEvent::Ended(note) = event {
                last.push(note.key);
            }
        });
        let cents = 1_200.0 * (tracker.tuning() / hertz).log2();
        assert!(cents.abs() < 12.0, "{hertz}: found {:.1}", tracker.tuning());
        let meant = LINE.map(|key| key as u8);
        assert_eq!(last[last.len() - 8..], meant[..], "{hertz}");
    }
}

#[test]
fn every_rate_gives_the_same_notes() {
    let tones = line(0.25, 0.2);
    let expected = heard(&sound(&tones, Wave::Saw, 2.5, RATE));
    assert_heard(&expected, &tones, 0.02);
    for rate in [8_000, 22_050, 44_100, 88_200, 96_000, 176_400, 192_000, 47_999] {
        let notes = heard_at(&sound(&tones, Wave::Saw, 2.5, rate), rate);
        assert_eq!(notes.len(), expected.len(), "{rate}: {:?}", onsets(&notes));
        for (note, other) in notes.iter().zip(&expected) {
            assert!((note.onset.0 - other.onset.0).abs() < 0.006, "{rate}: {note:?} {other:?}");
            assert!((pitch(note) - pitch(other)).abs() < 0.05, "{rate}: {note:?} {other:?}");
        }
    }
    for rate in [0, 1, 7_999, 384_001, u32::MAX] {
        assert!(NoteTracker::new(rate, AT_440).is_err(), "{rate}");
    }
}

#[test]
fn softer_and_clipped_takes_give_the_same_line() {
    let tones = line(0.25, 0.2);
    let samples = sound(&tones, Wave::Saw, 2.5, RATE);
    for gain in [0.01, 0.1, 1.0, 3.0, 100.0] {
        let changed: Vec<f32> = samples.iter().map(|s| (s * gain).clamp(-1.0, 1.0)).collect();
        assert_heard(&heard(&changed), &tones, 0.025);
    }
}

/// A first chorus 20 dB under the second is heard as well: it may be a player who begins softly.
#[test]
fn a_player_who_begins_softly_is_heard() {
    let mut samples = sound(&line(0.25, 0.2), Wave::Saw, 2.5, RATE);
    let loud: Vec<f32> = samples.clone();
    samples.iter_mut().for_each(|sample| *sample *= 0.1);
    samples.extend(loud);
    let again = line(0.25, 0.2).into_iter().map(|t| tone(t.on + 2.5, t.off + 2.5, t.key));
    let tones: Vec<Tone> = line(0.25, 0.2).into_iter().chain(again).collect();
    assert_heard(&heard(&samples), &tones, 0.025);
}

fn noise(length: usize, loud: f32) -> Vec<f32> {
    let mut random = fastrand::Rng::with_seed(7);
    (0..length).map(|_| (random.f32() * 2.0 - 1.0) * loud).collect()
}

#[test]
fn silence_noise_and_a_constant_are_no_notes() {
    let seconds = 4 * RATE as usize;
    for (name, samples) in [
        ("silence", vec![0.0; seconds]),
        ("a constant", vec![0.5; seconds]),
        ("noise", noise(seconds, 0.3)),
        ("faint noise", noise(seconds, 1e-4)),
        ("NaN", vec![f32::NAN; seconds]),
        ("infinity", vec![f32::INFINITY; seconds]),
        ("the largest number", vec![f32::MAX; seconds]),
    ] {
        assert_eq!(onsets(&heard(&samples)), [0.0; 0], "{name}");
    }
    assert!(heard(&[]).is_empty());
}

#[test]
fn a_line_is_heard_through_a_constant_and_after_what_is_no_number() {
    let tones = line(0.25, 0.2);
    let clean = sound(&tones, Wave::Saw, 2.5, RATE);
    let shifted: Vec<f32> = clean.iter().map(|sample| sample + 0.4).collect();
    assert_heard(&heard(&shifted), &tones, 0.025);
    // A tenth of a second before the line, and single samples within it.
    let mut broken = clean;
    broken[..4_800].fill(f32::NAN);
    broken[4_800] = f32::NEG_INFINITY;
    for index in (20_000..100_000).step_by(9_973) {
        broken[index] = f32::NAN;
    }
    let found = heard(&broken);
    let near = |tone: &&Tone| found.iter().any(|note| (note.onset.0 - tone.on).abs() < 0.025);
    assert_eq!(tones.iter().filter(near).count(), tones.len(), "{:?}", onsets(&found));
}

fn events(samples: &[f32], sizes: &[usize]) -> Vec<NoteEvent> {
    let mut tracker = NoteTracker::new(RATE, TrackerSettings::default()).unwrap();
    let mut events = Vec::new();
    let mut rest = samples;
    for size in sizes.iter().cycle() {
        if rest.is_empty() {
            break;
        }
        let (block, after) = rest.split_at((*size).clamp(1, rest.len()));
        tracker.push(block, |event| events.push(event));
        rest = after;
    }
    tracker.finish(|event| events.push(event));
    events
}

#[test]
fn any_size_of_block_gives_the_same_notes() {
    let samples = sound(&line(0.25, 0.2), Wave::Saw, 2.5, RATE);
    let whole = events(&samples, &[samples.len()]);
    assert!(whole.len() > 16);
    for sizes in [&[1][..], &[7], &[64], &[480, 33], &[4_096], &[1, 2_000, 3]] {
        assert_eq!(events(&samples, sizes), whole, "{sizes:?}");
    }
}

/// Each note begins, is perhaps revised, stands and ends, before the next; notes do not overlap.
fn assert_in_order(events: &[NoteEvent]) {
    let mut free = 0.0;
    let mut sounding: Option<(HeardNote, bool)> = None;
    for event in events {
        match (*event, &mut sounding) {
            (NoteEvent::Began(note), None) => {
                assert!(note.onset.0 >= free && note.end.is_none(), "{note:?} after {free}");
                sounding = Some((note, false));
            }
            (NoteEvent::Revised(note), Some((now, false))) if note.number == now.number => {
                *now = note
            }
            (NoteEvent::Stands(note), Some((now, stands))) if !*stands => {
                assert_eq!(note.number, now.number);
                // 30 ms to either side of its hop is as far as a date can be.
                let later = note.onset.0 - now.onset.0;
                assert!((0.0..0.061).contains(&later), "{note:?} is dated {later} s later");
                (*now, *stands) = (note, true);
            }
            (NoteEvent::Ended(note), Some((now, true))) => {
                assert_eq!((note.number, note.onset), (now.number, now.onset));
                free = note.end.unwrap().0;
                assert!(free > note.onset.0, "{note:?} ends before it begins");
                sounding = None;
            }
            other => panic!("out of order: {other:?}"),
        }
    }
    assert!(sounding.is_none(), "{sounding:?} has no end");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn whatever_comes_in_notes_begin_stand_and_end_in_order(
        parts in prop::collection::vec((0..9_u8, 30.0..110.0_f64, 0.02..0.4_f64, 0.0..4.0_f32), 1..12),
        sizes in prop::collection::vec(1..3_000_usize, 1..6),
    ) {
        let mut samples = Vec::new();
        for (kind, key, seconds, loud) in parts {
            let length = (seconds * f64::from(RATE)) as usize;
            match kind {
                0 => samples.extend(noise(length, loud)),
                1 => samples.extend(vec![f32::NAN; length]),
                2 => samples.extend(vec![f32::MAX * loud; length]),
                3 => samples.extend(vec![0.0; length]),
                _ => {
                    let tone = sound(&[tone(0.0, seconds, key)], Wave::Saw, seconds, RATE);
                    samples.extend(tone.iter().map(|sample| sample * loud));
                }
            }
        }
        let events = events(&samples, &sizes);
        assert_in_order(&events);
        for event in events {
            if let NoteEvent::Ended(note) = event {
                prop_assert!((0.0..=1.0).contains(&note.confidence) && note.key < 128);
                prop_assert!((0.0..=1.0).contains(&note.velocity) && note.cents.abs() <= 50.0);
                prop_assert!(note.level.is_finite() && note.onset.0 >= 0.0);
            }
        }
    }
}

/// Single lines are clear, chords are not: what the light of the input says rests on it.
#[test]
fn chords_are_told_from_a_line() {
    let clarity = |samples: &[f32]| {
        let mut tracker = NoteTracker::new(RATE, AT_440).unwrap();
        tracker.push(samples, |_| {});
        tracker.clarity().unwrap()
    };
    let single = clarity(&sound(&line(0.25, 0.22), Wave::Saw, 2.5, RATE));
    assert!(single > 0.9, "{single}");
    for chord in [[60.0, 64.0, 67.0], [60.0, 63.0, 67.0], [57.0, 62.0, 66.0], [64.0, 70.0, 74.0]] {
        let voices = chord.map(|key| sound(&[tone(0.2, 2.3, key)], Wave::Saw, 2.5, RATE));
        let mixed: Vec<f32> =
            (0..voices[0].len()).map(|i| voices.iter().map(|v| v[i]).sum()).collect();
        let chord_clarity = clarity(&mixed);
        assert!(chord_clarity < 0.7, "{chord:?}: {chord_clarity}");
    }
}
