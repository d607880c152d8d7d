//! External files: MIDI, chord lines, drills.

use crate::{practice, smf};
use overbar_core::input::midi_file::Choice;
use overbar_core::output::review::Review;
use overbar_core::practice::{self as drill, built_in};
use overbar_core::take::settings::Settings;
use overbar_core::theory::chart::Chart;
use overbar_core::theory::symbol::parse;

/// A short take as a file, and one with changes of tempo and metre.
pub fn midi_seeds() -> Vec<Vec<u8>> {
    let mut short = practice::takes()[0].song.clone();
    short.notes.truncate(20);
    let mut changing = short.clone();
    changing.tempo.extend([(3.0, 90.0), (7.5, 211.0)]);
    changing.metres.extend([(4.0, 3, 4), (10.0, 7, 8)]);
    [short, changing].iter().map(smf::write).collect()
}

pub fn midi(input: &[u8]) {
    let Ok(review) = Review::of("fuzz", input, Choice::default(), Settings::default()) else {
        return;
    };
    let json = serde_json::to_string(&review).expect("a review is JSON");
    assert!(!json.contains("NaN") && !review.to_string().is_empty());
}

pub fn chords(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    for beats in [3, 4, 12] {
        if let Ok(chart) = Chart::parse(&text, beats) {
            assert!(chart.bars() > 0);
            for bar in 0..chart.bars() {
                assert_eq!(chart.by_beat(bar, beats).len(), usize::from(beats));
            }
        }
    }
    for word in text.split_whitespace() {
        // Most are not chords, which must be reported without a panic.
        drop(parse(word));
    }
}

pub fn drill(input: &[u8]) {
    let text = String::from_utf8_lossy(input);
    if let Ok(known) = drill::read(&text) {
        let written = drill::write(&known).expect("what was read can be written");
        assert_eq!(drill::read(&written).as_ref(), Ok(&known), "and read again:\n{written}");
    }
    for line in text.lines() {
        drop(built_in(line));
    }
}
