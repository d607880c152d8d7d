//! Places in words.

use overbar::panel::words;
use overbar_core::quantization::BarLines;
use overbar_core::quantization::PhraseRole;
use overbar_core::take::settings::{Feel, Pulse};
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::{Beat, Tempo};

fn at(metre: (i32, i32), beat: f64) -> String {
    let metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
    let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
    words::place(&lines.quantize_single(
        Beat(beat),
        Tempo::new(110.0).unwrap(),
        PhraseRole::Start,
        Feel::Auto,
    ))
}

/// As a player would call them; where they lie is a matter of definition.
#[test]
fn places_have_the_names_players_use() {
    for (metre, beat, words) in [
        ((4, 4), 4.0, "1"),
        ((4, 4), 6.0, "3"),
        ((4, 4), 7.5, "& of 4"),
        ((4, 4), 5.25, "e of 2"),
        ((4, 4), 7.79, "a of 4"),
        ((4, 4), 5.0 + 1.0 / 3.0, "2nd triplet of 2"),
        ((2, 2), 0.5, "e of 1"),
        ((6, 8), 3.0, "1"),
        ((6, 8), 3.5, "2nd 8th of 1"),
        ((6, 8), 5.5, "3rd 8th of 2"),
        ((6, 8), 3.25, "2nd 16th of 1"),
        ((6, 8), 5.75, "6th 16th of 2"),
        ((6, 8), 3.75, "duplet of 1"),
        ((12, 8), 4.0, "3rd 8th of 3"),
        ((6, 4), 1.0, "2nd quarter of 1"),
        ((7, 8), 3.25, "& of 7"),
        ((7, 8), 3.0, "7"),
    ] {
        assert_eq!(at(metre, beat), words, "{metre:?} at {beat}");
    }
}

#[test]
fn counts_have_their_plural() {
    assert_eq!(words::count(1, "phrase", "phrases"), "1 phrase");
    assert_eq!(words::count(2, "phrase", "phrases"), "2 phrases");
}
