//! Standard MIDI Files, byte for byte, against the values of the standard (RP-001).
//!
//! Source of the bytes: Standard MIDI Files 1.0. Every file here is put together by hand from
//! those bytes; no writer is involved.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

use overbar_core::input::event::Event;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::output::review::Review;
use overbar_core::take::settings::Settings;

const END: [u8; 4] = [0x00, 0xFF, 0x2F, 0x00];

/// A type 0 file of 96 ticks a quarter with this track.
fn file(track: &[u8]) -> Vec<u8> {
    let mut bytes = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk".to_vec();
    bytes.extend(u32::try_from(track.len() + END.len()).unwrap().to_be_bytes());
    bytes.extend(track);
    bytes.extend(END);
    bytes
}

/// Second and beat of each attack.
fn attacks(bytes: &[u8]) -> Vec<(f64, f64)> {
    times(bytes, |event| match event {
        Event::On(on) => Some((on.at.0, on.beat.unwrap().0)),
        _ => None,
    })
}

/// Second and beat of each release.
fn releases(bytes: &[u8]) -> Vec<(f64, f64)> {
    times(bytes, |event| match event {
        Event::Off(off) => Some((off.at.0, off.beat.unwrap().0)),
        _ => None,
    })
}

fn times(bytes: &[u8], of: impl Fn(Event) -> Option<(f64, f64)>) -> Vec<(f64, f64)> {
    let midi = MidiFile::read(bytes).unwrap();
    let line = midi.line(Choice::default()).unwrap();
    midi.events(line).into_iter().filter_map(of).collect()
}

fn review(bytes: &[u8]) -> Review {
    Review::of("by hand", bytes, Choice::default(), Settings::default()).unwrap()
}

fn assert_near(got: &[(f64, f64)], expected: &[(f64, f64)]) {
    assert_eq!(got.len(), expected.len(), "{got:?}");
    for (got, expected) in got.iter().zip(expected) {
        let near = (got.0 - expected.0).abs() < 1e-9 && (got.1 - expected.1).abs() < 1e-9;
        assert!(near, "{got:?}, not {expected:?}");
    }
}

/// Tempo 120 is FF 51 03 07 A1 20; it is also what holds where a file gives none.
#[test]
fn tempo_120() {
    let notes = [0x60, 0x90, 0x3C, 0x40, 0x60, 0x80, 0x3C, 0x40];
    let mut with_tempo = vec![0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20];
    with_tempo.extend(notes);
    for track in [&with_tempo[..], &notes[..]] {
        assert_near(&attacks(&file(track)), &[(0.5, 1.0)]);
        assert_near(&releases(&file(track)), &[(1.0, 2.0)]);
    }
}

/// Microseconds a quarter: 60 → 1000000, 90 → 666667, 140 → 428571, 160 → 375000,
/// 240 → 250000. A whole note on the second bar line of 4/4 begins after four quarters.
#[test]
fn the_table_of_tempi() {
    for (tempo, microseconds, bytes) in [
        (60.0, 1_000_000, [0x0F, 0x42, 0x40]),
        (90.0, 666_667, [0x0A, 0x2C, 0x2B]),
        (140.0, 428_571, [0x06, 0x8A, 0x1B]),
        (160.0, 375_000, [0x05, 0xB8, 0xD8]),
        (240.0, 250_000, [0x03, 0xD0, 0x90]),
    ] {
        let [high, middle, low] = bytes;
        assert_eq!(u32::from_be_bytes([0, high, middle, low]), microseconds, "{tempo}");
        let mut track = vec![0x00, 0xFF, 0x51, 0x03, high, middle, low];
        // Deltas of 384 ticks are 83 00.
        track.extend([0x83, 0x00, 0x90, 0x3C, 0x40, 0x83, 0x00, 0x80, 0x3C, 0x40]);
        let file = file(&track);
        let exact = f64::from(microseconds) * 4.0 / 1e6;
        assert_near(&attacks(&file), &[(exact, 4.0)]);
        // Half a microsecond of rounding a quarter.
        assert!((exact - 4.0 * 60.0 / tempo).abs() < 4.0 * 0.5e-6, "{tempo}");
        let review = review(&file);
        assert_eq!(review.phrases.len(), 1);
        let phrase = review.phrases[0];
        assert_eq!((phrase.beats, phrase.bars), (4.0, 1.0), "{tempo}");
        assert!((phrase.seconds - 4.0 * 60.0 / tempo).abs() < 0.000_6, "{tempo}: {phrase:?}");
        assert_eq!((phrase.entry.bar, phrase.entry.beat), (2, 1.0), "{tempo}");
    }
}

/// 4/4 is FF 58 04 04 02 18 08, 6/8 FF 58 04 06 03 18 08, 7/8 FF 58 04 07 03 18 08. A note six
/// quarters in is at beat 3 of bar 2 in 4/4, on bar 3 in 6/8, and at beat 6 of bar 2 in 7/8.
#[test]
fn signatures() {
    for (figures, bar, beat) in
        [([0x04, 0x02], 2, 3.0), ([0x06, 0x03], 3, 1.0), ([0x07, 0x03], 2, 6.0)]
    {
        let [upper, lower] = figures;
        let mut track = vec![0x00, 0xFF, 0x58, 0x04, upper, lower, 0x18, 0x08];
        // A delta of 576 ticks is 84 40.
        track.extend([0x84, 0x40, 0x90, 0x3C, 0x40, 0x30, 0x80, 0x3C, 0x40]);
        let entry = review(&file(&track)).phrases[0].entry;
        assert_eq!((entry.bar, entry.beat), (bar, beat), "{figures:?}");
    }
}

/// Variable lengths: 80 → 81 00, 2000 → C0 00, 3FFF → FF 7F, 1FFFFF → FF FF 7F (hexadecimal).
#[test]
fn variable_lengths() {
    let lengths: [(u32, &[u8]); 5] = [
        (0x7F, &[0x7F]),
        (0x80, &[0x81, 0x00]),
        (0x2000, &[0xC0, 0x00]),
        (0x3FFF, &[0xFF, 0x7F]),
        (0x1F_FFFF, &[0xFF, 0xFF, 0x7F]),
    ];
    for (ticks, bytes) in lengths {
        let mut track = bytes.to_vec();
        track.extend([0x90, 0x3C, 0x40, 0x60, 0x80, 0x3C, 0x40]);
        let beat = f64::from(ticks) / 96.0;
        assert_near(&attacks(&file(&track)), &[(beat / 2.0, beat)]);
    }
}

/// A note-on of velocity 0 is a note-off, and under running status the status byte is left out.
#[test]
fn running_status_and_velocity_zero() {
    let running = [0x00, 0x90, 0x3C, 0x40, 0x60, 0x3C, 0x00, 0x00, 0x3E, 0x40, 0x60, 0x3E, 0x00];
    let plain = [
        0x00, 0x90, 0x3C, 0x40, 0x60, 0x80, 0x3C, 0x40, 0x00, 0x90, 0x3E, 0x40, 0x60, 0x80, 0x3E,
        0x40,
    ];
    let (running, plain) = (file(&running), file(&plain));
    for bytes in [&running, &plain] {
        assert_near(&attacks(bytes), &[(0.0, 0.0), (0.5, 1.0)]);
        assert_near(&releases(bytes), &[(0.5, 1.0), (1.0, 2.0)]);
    }
    assert_eq!(review(&running), review(&plain));
    assert_eq!(review(&running).notes, 2);
    assert_eq!(review(&running).oddities.total(), 0);
}

/// Track name 03, lyric 05, marker 06, cue 07: words, which move no note.
#[test]
fn words_are_passed_over() {
    let mut track = Vec::new();
    for kind in [0x03, 0x05, 0x06, 0x07] {
        track.extend([0x00, 0xFF, kind, 0x04, b'L', b'e', b'a', b'd']);
    }
    track.extend([0x60, 0x90, 0x3C, 0x40, 0x60, 0x80, 0x3C, 0x40]);
    let bytes = file(&track);
    assert_near(&attacks(&bytes), &[(0.5, 1.0)]);
}

/// Tempo and signature in mid-song: 4/4 at 120, and from bar 2 on 7/8 at 60. Bar 3 begins
/// 4 + 3.5 quarters in: after 2 s at 120 and 3.5 s at 60.
#[test]
fn changes_in_mid_song() {
    let mut track = vec![0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20];
    track.extend([0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08]);
    track.extend([0x83, 0x00, 0xFF, 0x51, 0x03, 0x0F, 0x42, 0x40]);
    track.extend([0x00, 0xFF, 0x58, 0x04, 0x07, 0x03, 0x18, 0x08]);
    // A delta of 336 ticks is 82 50.
    track.extend([0x82, 0x50, 0x90, 0x3C, 0x40, 0x30, 0x80, 0x3C, 0x40]);
    let bytes = file(&track);
    assert_near(&attacks(&bytes), &[(5.5, 7.5)]);
    let phrase = review(&bytes).phrases[0];
    assert_eq!((phrase.entry.bar, phrase.entry.beat), (3, 1.0));
    assert_eq!((phrase.beats, phrase.seconds), (0.5, 0.5));
    assert_eq!(phrase.bars, 0.143);
}
