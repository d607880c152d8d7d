//! The quantizer on invented lines, and checked against itself.

use super::BeatQuantizer;
use crate::quantization::pulse_position::PulsePosition;
use crate::quantization::quantized_onset::QuantizedOnset;
use crate::quantization::subdivision::PulseSubdivision;
use crate::take::settings::Feel;
use crate::time::metre::Division;
use crate::time::{Beat, BeatSpan, SecondSpan};
use proptest::prelude::*;

fn position(beat: f64, tempo: f64) -> PulsePosition {
    PulsePosition {
        beat: Beat(beat),
        pulse: Beat(beat.floor()),
        length: BeatSpan(1.0),
        seconds: SecondSpan(60.0 / tempo),
        division: Division::Two,
        swings: true,
    }
}

fn feed(quantizer: &mut BeatQuantizer, beats: &[f64], tempo: f64, whole: bool) {
    let fell = |index: usize| beats.get(index).map(|beat| position(*beat, tempo));
    quantizer.quantize(beats.len(), whole, fell, |index| index == 0);
}

fn quantized(beats: &[f64], tempo: f64, feel: Feel, whole: bool) -> Vec<QuantizedOnset> {
    let mut quantizer = BeatQuantizer::new(feel);
    feed(&mut quantizer, beats, tempo, whole);
    quantizer.quantized().to_vec()
}

fn subdivisions(quantized: &[QuantizedOnset]) -> Vec<PulseSubdivision> {
    quantized.iter().map(|onset| onset.subdivision).collect()
}

#[test]
fn beats_in_two_three_and_four_parts_are_distinguished() {
    use PulseSubdivision::{Half, On, Quarter, Third, ThreeQuarters, TwoThirds};
    let (third, last) = (1.0 / 3.0, 2.0 / 3.0);
    for off in [0.0, 0.02] {
        let beats = [0.0, 0.5, 1.0, 1.0 + third, 1.0 + last, 2.0, 2.25, 2.5, 2.75, 3.25, 3.5, 3.75];
        let beats = beats.map(|beat| beat + off);
        let expected = [
            On,
            Half,
            On,
            Third,
            TwoThirds,
            On,
            Quarter,
            Half,
            ThreeQuarters,
            Quarter,
            Half,
            ThreeQuarters,
        ];
        for tempo in [60.0, 120.0, 180.0] {
            assert_eq!(
                subdivisions(&quantized(&beats, tempo, Feel::Auto, true)),
                expected,
                "{off} {tempo}"
            );
        }
    }
}

/// Eighths 40 ms late throughout, with a ratio of 2.6, are on the beat and on the "and" as soon as the
/// player's timing is known.
#[test]
fn a_steady_player_is_quantized_by_lag_and_swing() {
    let late = 0.04 * 140.0 / 60.0;
    let beat = |n: u32| [f64::from(n) + late, f64::from(n) + 2.6 / 3.6 + 0.5 * late];
    let beats: Vec<f64> = (0..80).flat_map(beat).collect();
    let quantized = quantized(&beats, 140.0, Feel::Auto, true);
    let later = subdivisions(&quantized[80..]);
    assert!(
        later.chunks(2).all(|pair| pair == [PulseSubdivision::On, PulseSubdivision::Half]),
        "{later:?}"
    );
}

/// Eighths 70 ms late at 200 BPM, with a ratio of 2: sixteenths while the player is unknown, and eighths
/// from the first one on when the take is over.
#[test]
fn a_whole_line_uses_the_players_timing_from_the_first_note_on() {
    let late = 0.07 * 200.0 / 60.0;
    let beat = |n: u32| [f64::from(n) + late, f64::from(n) + 2.0 / 3.0 + 0.5 * late];
    let beats: Vec<f64> = (0..80).flat_map(beat).collect();
    let settled = quantized(&beats, 200.0, Feel::Auto, true);
    assert_eq!(
        subdivisions(&settled[..2]),
        [PulseSubdivision::Quarter, PulseSubdivision::ThreeQuarters]
    );
    let spot = |index: usize| beats.get(index).map(|beat| position(*beat, 200.0));
    let mut whole = BeatQuantizer::new(Feel::Auto);
    feed(&mut whole, &beats[..50], 200.0, false);
    whole.quantize_whole(beats.len(), spot, |index| index == 0);
    let subdivisions = subdivisions(whole.quantized());
    assert!(
        subdivisions.chunks(2).all(|pair| pair == [PulseSubdivision::On, PulseSubdivision::Half]),
        "{subdivisions:?}"
    );
    assert_eq!(whole.quantize_whole(beats.len(), spot, |index| index == 0), None);
}

#[test]
fn a_beat_settles_when_a_note_of_another_arrives() {
    let settled = |beats: &[f64], whole| -> Vec<bool> {
        quantized(beats, 120.0, Feel::Auto, whole).iter().map(|onset| onset.settled).collect()
    };
    assert_eq!(settled(&[0.0, 0.5], false), [false, false]);
    assert_eq!(settled(&[0.0, 0.5, 1.0], false), [true, true, false]);
    assert_eq!(settled(&[0.0, 0.5, 1.0], true), [true; 3]);
    // A note a little ahead of a beat belongs to it, and the beat is not over with its first note.
    let ahead = quantized(&[0.02, 0.96, 1.5], 120.0, Feel::Auto, false);
    assert_eq!(
        (ahead[1].shift, ahead[1].subdivision, ahead[1].settled),
        (1, PulseSubdivision::On, false)
    );
}

#[test]
fn the_feel_can_be_set() {
    let beats = [0.013, 0.52, 1.013, 1.013 + 2.0 / 3.0, 2.0];
    let third = |feel| quantized(&beats, 120.0, feel, true)[3].subdivision;
    assert_eq!(
        (third(Feel::Straight), third(Feel::Swing)),
        (PulseSubdivision::TwoThirds, PulseSubdivision::Half)
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// A line that grows, is rewound and grows differently gives the same result as if given at once.
    #[test]
    fn a_growing_line_gives_the_same_result_as_a_whole_one(
        steps in prop::collection::vec(prop_oneof![0.01..0.9, Just(0.5)], 1..200),
        wrong in prop::collection::vec(0.01..0.9, 1..20),
        tempo in 45.0..320.0,
        at in any::<prop::sample::Index>(),
        stride in 1_usize..9,
    ) {
        let places = |steps: &[f64], mut beat: f64| -> Vec<f64> {
            let next = |step: &f64| { beat += step; beat };
            steps.iter().map(next).collect()
        };
        let right = places(&steps, 0.0);
        let at = at.index(right.len());
        let mut grown = BeatQuantizer::new(Feel::Auto);
        for end in (0..at).step_by(stride) {
            feed(&mut grown, &right[..end], tempo, false);
        }
        let mut other = right[..at].to_vec();
        other.extend(places(&wrong, other.last().copied().unwrap_or_default()));
        feed(&mut grown, &other, tempo, false);
        grown.rewind(at);
        for end in (at..=right.len()).step_by(stride).chain([right.len()]) {
            feed(&mut grown, &right[..end], tempo, false);
        }
        let at_once = quantized(&right, tempo, Feel::Auto, false);
        prop_assert_eq!(grown.quantized(), &at_once[..]);
        feed(&mut grown, &right, tempo, true);
        let whole = quantized(&right, tempo, Feel::Auto, true);
        prop_assert_eq!(grown.quantized(), &whole[..]);
    }
}
