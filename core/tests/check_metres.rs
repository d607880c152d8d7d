//! Metrical grids against values from outside.
//!
//! Sources: the weights of Longuet-Higgins and Lee, as cited by other authors and computed with a
//! reference library, equal; `beatStrength` and `beatCount` of music21 10.5.1, run over these
//! metres.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

use overbar_core::quantization::PhraseRole;
use overbar_core::quantization::{BarLines, MetricalPosition, PositionClass};
use overbar_core::take::settings::{Feel, Pulse};
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::{Beat, Tempo};

/// A note in the second bar of this metre, `after` quarters after its bar line, at a tempo at
/// which sixteenths are still distinguishable.
fn place((numerator, denominator): (i32, i32), after: f64) -> MetricalPosition {
    let metre = Metre::new(numerator, denominator).unwrap();
    let metres = MetreMap::new(metre);
    let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
    let beat = Beat(metre.bar().0 + after);
    lines.quantize_single(beat, Tempo::new(100.0).unwrap(), PhraseRole::Start, Feel::Auto)
}

fn assert_strengths(metre: (i32, i32), step: f64, strengths: &[f64], weakest_beat: f64) {
    let mut after = 0.0;
    for (index, strength) in strengths.iter().enumerate() {
        let read = place(metre, after);
        assert_eq!(read.bar, 2, "{metre:?} step {index}: {read:?}");
        assert_eq!(
            read.class == PositionClass::One,
            index == 0,
            "{metre:?} step {index}: {read:?}"
        );
        let off = *strength < weakest_beat;
        assert_eq!(read.class.is_off_beat(), off, "{metre:?} step {index}: {read:?}");
        after += step;
    }
    let next = place(metre, after);
    assert_eq!((next.bar, next.class), (3, PositionClass::One), "{metre:?}: {next:?}");
}

/// Weights of Longuet-Higgins and Lee in eighths: 0 on beat one, the least of all off the beat.
#[test]
fn weights_of_longuet_higgins_and_lee() {
    let weights: [((i32, i32), &[f64]); 5] = [
        ((4, 4), &[0.0, -3.0, -2.0, -3.0, -1.0, -3.0, -2.0, -3.0]),
        ((3, 4), &[0.0, -2.0, -1.0, -2.0, -1.0, -2.0]),
        ((6, 8), &[0.0, -2.0, -2.0, -1.0, -2.0, -2.0]),
        ((9, 8), &[0.0, -2.0, -2.0, -1.0, -2.0, -2.0, -1.0, -2.0, -2.0]),
        ((12, 8), &[0.0, -3.0, -3.0, -2.0, -3.0, -3.0, -1.0, -3.0, -3.0, -2.0, -3.0, -3.0]),
    ];
    for (metre, weights) in weights {
        let least = weights.iter().copied().fold(0.0, f64::min);
        assert_strengths(metre, 0.5, weights, least + 1.0);
    }
}

/// music21 10.5.1 `beatStrength`. Its beat of 2/2 is the half note: there .5 is the weakest
/// strength on a beat, in 4/4, 3/4, 6/8 and 12/8 it is .25, .5, .5 and .25.
#[test]
fn beat_strengths_of_music21() {
    let eighths = [1.0, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125];
    assert_strengths((4, 4), 0.5, &eighths, 0.25);
    assert_strengths((2, 2), 0.5, &eighths, 0.5);
    assert_strengths((3, 4), 0.5, &[1.0, 0.25, 0.5, 0.25, 0.5, 0.25], 0.5);
    assert_strengths((6, 8), 0.5, &[1.0, 0.25, 0.25, 0.5, 0.25, 0.25], 0.5);
    assert_strengths((5, 4), 0.5, &[1.0, 0.25, 0.5, 0.25, 0.5, 0.25, 0.5, 0.25, 0.5, 0.25], 0.5);
    let twelve = [1.0, 0.125, 0.125, 0.25, 0.125, 0.125, 0.5, 0.125, 0.125, 0.25, 0.125, 0.125];
    assert_strengths((12, 8), 0.5, &twelve, 0.25);
    let triplets =
        [1.0, 0.0625, 0.0625, 0.25, 0.0625, 0.0625, 0.5, 0.0625, 0.0625, 0.25, 0.0625, 0.0625];
    assert_strengths((4, 4), 1.0 / 3.0, &triplets, 0.25);
}

/// music21 10.5.1 `beatCount`: beats in 7/8 are 7, in 6/8 2, in 12/8 4, in 9/8 3.
#[test]
fn beats_in_a_bar() {
    for (numerator, beats) in [(7, 7), (6, 2), (12, 4), (9, 3)] {
        assert_eq!(Metre::new(numerator, 8).unwrap().pulses(), beats, "{numerator}/8");
    }
}

/// Where the eighths of a bar stand in felt beats: by definition of the metres, and what
/// `getBeatProportion` of music21 10.5.1 gives.
#[test]
fn eighths_in_felt_beats() {
    const THIRD: f64 = 1.0 / 3.0;
    let compound = |pulses: i32| -> Vec<f64> {
        (1..=pulses)
            .map(f64::from)
            .flat_map(|beat| [beat, beat + THIRD, beat + 2.0 * THIRD])
            .collect()
    };
    let simple = |pulses: i32| -> Vec<f64> {
        (1..=pulses).map(f64::from).flat_map(|beat| [beat, beat + 0.5]).collect()
    };
    let eighths = |pulses: i32| -> Vec<f64> { (1..=pulses).map(f64::from).collect() };
    for (metre, places) in [
        ((4, 4), simple(4)),
        ((3, 4), simple(3)),
        ((2, 4), simple(2)),
        ((2, 2), vec![1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75]),
        ((6, 8), compound(2)),
        ((9, 8), compound(3)),
        ((12, 8), compound(4)),
        ((5, 4), simple(5)),
        ((7, 4), simple(7)),
        ((5, 8), eighths(5)),
        ((7, 8), eighths(7)),
    ] {
        let mut after = 0.0;
        for beat in &places {
            let read = place(metre, after);
            assert_eq!(read.bar, 2, "{metre:?} {beat}");
            assert!((read.beat_in_bar() - beat).abs() < 1e-9, "{metre:?} {beat}: {read:?}");
            after += 0.5;
        }
        assert_eq!(Metre::new(metre.0, metre.1).unwrap().bar().0, after, "{metre:?}");
    }
}
