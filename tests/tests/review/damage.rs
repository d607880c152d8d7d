//! Damaged files are refused or read, and never a panic.

use crate::{Choice, Review, Settings};
use overbar_core::input::midi_file::MidiError;
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn read(bytes: &[u8]) -> Result<Review, MidiError> {
    Review::of("damaged.mid", bytes, Choice::default(), Settings::default())
}

/// Two tracks with changes of tempo and metre and a few phrases.
fn sound() -> Vec<u8> {
    let changes = Track::default()
        .tempo(0, 500_000)
        .metre(0, (4, 4))
        .tempo(4000, 400_000)
        .metre(7680, (7, 8));
    let mut solo = Track::default();
    for note in 0..24 {
        let from = note * QUARTER / 2 + note / 6 * 2 * QUARTER;
        solo = solo.note(0, 60 + u8::try_from(note).unwrap(), from, from + 200);
    }
    midi_file(1, &[changes, solo])
}

#[test]
fn every_truncation_is_refused() {
    let whole = sound();
    assert_eq!(read(&whole).unwrap().phrases.len(), 4);
    for length in 0..whole.len() {
        let error = read(&whole[..length]).unwrap_err();
        let message = error.to_string();
        let expected = if length < 4 { "not a Standard MIDI File" } else { "file is truncated" };
        assert!(message.starts_with(expected), "{length} bytes: {message}");
    }
}

/// A review of whatever a damaged file still says holds together.
fn assert_sound(review: &Review) {
    assert!(review.notes > 0, "{review:?}");
    // Only what is no line's may come before the first phrase; the others leave no note out.
    let mut next = review.phrases.first().map_or(0, |phrase| phrase.first_note);
    let roles = review.roles;
    assert!(next <= roles.under + roles.glitches, "{review:?}");
    for phrase in &review.phrases {
        assert_eq!(phrase.first_note, next);
        assert!(phrase.notes > 0 && phrase.notes <= phrase.last_note + 1 - phrase.first_note);
        assert!(phrase.beats >= 0.0 && phrase.seconds >= 0.0 && phrase.bars >= 0.0, "{phrase:?}");
        for place in [phrase.entry, phrase.exit] {
            assert!(place.bar >= 1 && place.beat >= 1.0, "{phrase:?}");
            assert!((0.0..=1.0).contains(&place.confidence), "{phrase:?}");
        }
        next = phrase.last_note + 1;
    }
    assert_eq!(next, review.notes, "{review:?}");
    serde_json::to_string(review).unwrap();
    assert!(review.to_string().contains("damaged.mid"));
}

/// Every byte of the file in turn: each of its bits, and the values that mean something in a
/// file of this kind.
#[test]
fn every_byte_changed() {
    const TELLING: [u8; 12] = [0, 1, 0x2F, 0x51, 0x58, 0x7F, 0x80, 0x81, 0x90, 0xC0, 0xF0, 0xFF];
    let whole = sound();
    let mut read_on = 0;
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        for value in (0..8).map(|bit| whole[at] ^ 1 << bit).chain(TELLING) {
            bytes[at] = value;
            if let Ok(review) = read(&bytes) {
                assert_sound(&review);
                read_on += 1;
            }
        }
    }
    // Velocities, keys and deltas may be changed without breaking anything.
    assert!(read_on > 5 * whole.len(), "{read_on}");
}

/// The same bytes are changed on every run.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 2_000,
        rng_seed: RngSeed::Fixed(2_000),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn flipped_bytes(flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = sound();
        for (at, value) in flips {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if let Ok(review) = read(&bytes) {
            assert_sound(&review);
        }
    }

    #[test]
    fn noise_after_a_header(noise in prop::collection::vec(any::<u8>(), 0..300)) {
        let mut bytes = b"MThd\0\0\0\x06\0\x01\0\x01\x01\xE0MTrk".to_vec();
        bytes.extend(u32::try_from(noise.len()).unwrap().to_be_bytes());
        bytes.extend(noise);
        if let Ok(review) = read(&bytes) {
            assert_sound(&review);
        }
    }
}
