//! Which of a file's notes are reviewed.

use crate::{Choice, Review, Settings, review};
use overbar_core::input::midi_file::MidiError;
use overbar_testkit::midi::{QUARTER, Track, midi_file};

const BARS: u64 = 32;
const BAR: u64 = 4 * QUARTER;

/// Eight phrases of nine eighths, one every four bars, with as much rest.
fn solo(channel: u8) -> Track {
    let mut track = Track::default();
    for phrase in 0..BARS / 4 {
        for note in 0..9 {
            let from = phrase * 4 * BAR + QUARTER / 2 + note * QUARTER / 2;
            let key = 65 + u8::try_from((phrase * 5 + note * 3) % 17).unwrap();
            track = track.note(channel, key, from, from + QUARTER / 2 - 20);
        }
    }
    track
}

/// Four-note chords off the beat, four a bar.
fn piano(channel: u8) -> Track {
    let mut track = Track::default();
    for stroke in 0..BARS * 4 {
        let from = stroke * QUARTER + QUARTER / 2;
        for key in [52, 57, 59, 64] {
            track = track.note(channel, key, from, from + 200);
        }
    }
    track
}

/// A walking bass: a quarter on every beat, never two at once.
fn bass(channel: u8) -> Track {
    let mut track = Track::default();
    for beat in 0..BARS * 4 {
        let key = 34 + u8::try_from(beat * 5 % 13).unwrap();
        track = track.note(channel, key, beat * QUARTER, (beat + 1) * QUARTER - 10);
    }
    track
}

/// Ride and hi-hat on channel 10.
fn drums() -> Track {
    let mut track = Track::default();
    for beat in 0..BARS * 4 {
        track = track.note(9, 51, beat * QUARTER, beat * QUARTER + 60);
        if beat % 2 == 1 {
            track = track.note(9, 44, beat * QUARTER, beat * QUARTER + 60);
        }
    }
    track
}

fn chosen(bytes: &[u8], track: Option<usize>, channel: Option<u8>) -> Result<Review, MidiError> {
    Review::of("band.mid", bytes, Choice { track, channel }, Settings::default())
}

#[test]
fn the_solo_is_found_among_piano_bass_and_drums() {
    let orders: [[Track; 4]; 3] = [
        [solo(0), piano(1), bass(2), drums()],
        [drums(), bass(0), piano(1), solo(2)],
        [piano(0), bass(1), solo(2), drums()],
    ];
    for (tracks, found) in orders.into_iter().zip([1, 4, 3]) {
        let got = review(&midi_file(1, &tracks));
        assert_eq!((got.track, got.notes), (Some(found), 72));
        assert_eq!(got.phrases.len(), 8);
    }
}

#[test]
fn the_solo_is_found_among_the_channels_of_one_track() {
    let band = solo(3).and(&piano(4)).and(&bass(5)).and(&drums());
    let got = review(&midi_file(0, &[band]));
    assert_eq!((got.track, got.channel, got.notes), (Some(1), Some(4), 72));
}

#[test]
fn a_bass_or_drums_alone_are_reviewed() {
    let got = review(&midi_file(1, &[Track::default().tempo(0, 500_000), bass(0)]));
    assert_eq!((got.track, got.notes), (Some(2), 128));
    let got = review(&midi_file(1, &[drums()]));
    assert_eq!((got.channel, got.notes), (Some(10), 192));
    // With the piano behind it, a bass line is the nearest there is to a solo.
    let got = review(&midi_file(1, &[piano(0), bass(1), drums()]));
    assert_eq!(got.track, Some(2));
}

#[test]
fn a_track_and_a_channel_may_be_asked_for() {
    let band = midi_file(1, &[solo(0), piano(1), bass(2), drums()]);
    let got = chosen(&band, Some(3), None).unwrap();
    assert_eq!((got.track, got.channel, got.notes), (Some(3), None, 128));
    let got = chosen(&band, None, Some(2)).unwrap();
    assert_eq!((got.track, got.channel, got.notes), (None, Some(2), 512));
    let got = chosen(&band, Some(1), Some(1)).unwrap();
    assert_eq!(got.notes, 72);
    for (track, channel) in [(Some(5), None), (None, Some(7)), (Some(1), Some(2))] {
        assert_eq!(chosen(&band, track, channel), Err(MidiError::NoSuchLine));
    }
}

/// At equal onsets notes are counted by pitch, whatever order they are written in.
#[test]
fn notes_struck_together_are_one_onset_in_order_of_pitch() {
    let solo = Track::default()
        .note(0, 72, 0, 400)
        .note(0, 60, 0, 400)
        .note(0, 67, 0, 400)
        .note(0, 62, 1920, 2400);
    let got = review(&midi_file(1, &[solo]));
    let spans: Vec<_> = got.phrases.iter().map(|p| (p.first_note, p.last_note, p.notes)).collect();
    assert_eq!(spans, [(0, 2, 1), (3, 3, 1)]);
    assert_eq!((got.roles.main, got.roles.under), (2, 2));
}
