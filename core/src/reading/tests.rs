//! The reader against itself, and against lines that are made up here.

use super::{PlaceReader, Reading, Spot};
use crate::metre::Division;
use crate::settings::Feel;
use crate::slot::Slot;
use crate::time::{Beat, BeatSpan, SecondSpan};
use proptest::prelude::*;

fn spot(beat: f64, tempo: f64) -> Spot {
    Spot {
        beat: Beat(beat),
        pulse: Beat(beat.floor()),
        length: BeatSpan(1.0),
        seconds: SecondSpan(60.0 / tempo),
        division: Division::Two,
        swings: true,
    }
}

fn read(beats: &[f64], tempo: f64) -> PlaceReader {
    let mut reader = PlaceReader::new(Feel::Auto);
    for (index, beat) in beats.iter().enumerate() {
        reader.push(spot(*beat, tempo), index == 0);
    }
    reader
}

fn slots(readings: &[Reading]) -> Vec<Slot> {
    readings.iter().map(|reading| reading.slot).collect()
}

/// Pairs of eighths over these beats, with the "and" here.
fn eighths(beats: u32, and: f64) -> Vec<f64> {
    (0..beats).map(f64::from).flat_map(|beat| [beat, beat + and]).collect()
}

#[test]
fn beats_divided_in_two_three_and_four_are_told_from_their_neighbours() {
    use Slot::{Half, On, Quarter, Third, ThreeQuarters, TwoThirds};
    for tempo in [60.0, 120.0, 180.0] {
        let mut beats = eighths(8, 0.5);
        beats.extend([8.0, 8.0 + 1.0 / 3.0, 8.0 + 2.0 / 3.0]);
        beats.extend([9.0, 9.25, 9.5, 9.75, 10.0, 10.5, 11.0]);
        let reader = read(&beats, tempo);
        let expected = [On, Third, TwoThirds, On, Quarter, Half, ThreeQuarters, On, Half, On];
        assert_eq!(slots(&reader.readings()[16..]), expected, "{tempo}");
        assert_eq!(slots(&reader.whole().readings[16..]), expected, "{tempo}");
    }
}

#[test]
fn a_late_and_is_an_and_and_a_true_triplet_a_triplet() {
    use Slot::{Half, On, Third, TwoThirds};
    let mut beats = eighths(12, 2.0 / 3.0);
    beats.extend([12.0, 12.0 + 1.0 / 3.0, 12.0 + 2.0 / 3.0, 13.0, 13.0 + 2.0 / 3.0, 14.0]);
    let reader = read(&beats, 140.0);
    assert!(slots(&reader.readings()[..24]).chunks(2).all(|pair| pair == [On, Half]));
    assert_eq!(slots(&reader.readings()[24..]), [On, Third, TwoThirds, On, Half, On]);
}

#[test]
fn a_line_that_is_laid_back_throughout_is_read_by_its_lag() {
    // 55 ms late at 250: nearly a quarter of a beat, where by themselves notes are sixteenths.
    let late = 0.055 * 250.0 / 60.0;
    let beats: Vec<f64> =
        (0..64).map(f64::from).flat_map(|beat| [beat + late, beat + 0.55 + 0.5 * late]).collect();
    let reader = read(&beats, 250.0);
    let later = &reader.readings()[32..];
    assert!(slots(later).chunks(2).all(|pair| pair == [Slot::On, Slot::Half]), "{later:?}");
    let lag = reader.whole().timing.lag.0;
    assert!((lag - 0.055).abs() < 0.004, "{lag}");
}

#[test]
fn a_beat_settles_when_a_note_in_a_later_one_has_come() {
    let mut reader = PlaceReader::new(Feel::Auto);
    reader.push(spot(0.0, 120.0), true);
    reader.push(spot(0.5, 120.0), false);
    assert!(reader.readings().iter().all(|reading| !reading.settled));
    reader.push(spot(1.0, 120.0), false);
    let settled: Vec<bool> = reader.readings().iter().map(|reading| reading.settled).collect();
    assert_eq!(settled, [true, true, false]);
    assert!(reader.whole().readings.iter().all(|reading| reading.settled));
    // A note ahead of a beat belongs to that beat, which is not over with its first note.
    let mut reader = read(&[0.0, 0.97], 120.0);
    reader.push(spot(1.5, 120.0), false);
    assert_eq!((reader.readings()[1].shift, reader.readings()[1].settled), (1, false));
}

#[test]
fn feel_may_be_given() {
    let beats = eighths(16, 0.56);
    for (feel, slot) in [(Feel::Straight, Slot::TwoThirds), (Feel::Swing, Slot::Half)] {
        let mut reader = PlaceReader::new(feel);
        for beat in beats.iter().copied().chain([16.0 + 2.0 / 3.0, 17.0]) {
            reader.push(spot(beat, 100.0), beat > 16.0 && beat < 17.0);
        }
        assert_eq!(reader.readings()[32].slot, slot, "{feel:?}");
    }
}

#[test]
fn nothing_has_no_readings() {
    let mut reader = PlaceReader::new(Feel::Auto);
    assert!(reader.is_empty() && reader.whole().readings.is_empty());
    reader.rewind(0);
    assert_eq!((reader.len(), reader.reading(0)), (0, None));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Whatever was fed wrongly leaves no trace, wherever it began.
    #[test]
    fn a_rewound_reader_is_as_if_never_fed(
        steps in prop::collection::vec((0.01..0.9, prop::bool::weighted(0.1)), 1..400),
        wrong in prop::collection::vec((0.01..0.9, prop::bool::weighted(0.3)), 1..40),
        tempo in 45.0..320.0,
        at in 0..400_usize,
    ) {
        let onsets = |steps: &[(f64, bool)], mut beat: f64| -> Vec<(f64, bool)> {
            let next = |(step, begins): &(f64, bool)| {
                beat += step;
                (beat, *begins)
            };
            steps.iter().map(next).collect()
        };
        let right = onsets(&steps, 0.0);
        let at = at % (right.len() + 1);
        let mut plain = PlaceReader::new(Feel::Auto);
        right.iter().for_each(|(beat, begins)| { plain.push(spot(*beat, tempo), *begins); });
        let mut rewound = PlaceReader::new(Feel::Auto);
        right[..at].iter().for_each(|(beat, begins)| { rewound.push(spot(*beat, tempo), *begins); });
        let from = right[..at].last().map_or(0.0, |(beat, _)| *beat);
        for (beat, begins) in onsets(&wrong, from) {
            rewound.push(spot(beat, tempo), begins);
        }
        rewound.rewind(at);
        prop_assert_eq!(rewound.len(), at);
        right[at..].iter().for_each(|(beat, begins)| { rewound.push(spot(*beat, tempo), *begins); });
        prop_assert_eq!(plain.readings(), rewound.readings());
        prop_assert_eq!(plain.whole(), rewound.whole());
    }
}
