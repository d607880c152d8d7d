//! Places of swing and of a soloist's delay against values from outside.
//!
//! Sources: the beat-upbeat ratio of Benadon 2006, as cited by other authors: first interval to
//! second inside a beat, so that a ratio r puts the offbeat at r / (1 + r) of the beat, exactly;
//! fits computed over the Jazz Trio Database (34 hand-annotated trio tracks) and the Weimar
//! Jazz Database; Corcoran and Frieler 2021.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

use overbar_core::quantization::PhraseRole;
use overbar_core::quantization::PulseSubdivision;
use overbar_core::quantization::{BarLines, MetricalPosition, PositionClass};
use overbar_core::take::settings::{Feel, Pulse};
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::{Beat, Tempo};

fn place(beat: f64, tempo: f64) -> MetricalPosition {
    let metres = MetreMap::new(Metre::COMMON);
    let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
    lines.quantize_single(Beat(beat), Tempo::new(tempo).unwrap(), PhraseRole::Start, Feel::Auto)
}

/// The beat-upbeat ratio of a note after the beat, by the definition of Benadon 2006.
fn ratio(place: &MetricalPosition) -> f64 {
    let after = place.played - place.played.floor();
    after / (1.0 - after)
}

/// Ratio and place of the offbeat in the beat, to four places: exact by definition.
const PLACES: [(f64, f64); 9] = [
    (1.0, 0.5),
    (1.2, 0.5455),
    (1.3, 0.5652),
    (1.5, 0.6),
    (5.0 / 3.0, 0.625),
    (2.0, 0.6667),
    (2.5, 0.7143),
    (3.0, 0.75),
    (3.5, 0.7778),
];

#[test]
fn an_offbeat_lies_where_its_ratio_puts_it() {
    for (bur, offbeat) in PLACES {
        let played = place(5.0 + bur / (1.0 + bur), 160.0);
        assert!((played.played - (2.0 + offbeat)).abs() < 0.000_05, "{bur}: {played:?}");
        assert!((ratio(&played) - bur).abs() < 1e-9, "{bur}: {played:?}");
    }
}

#[test]
fn offbeats_from_even_to_a_ratio_of_two_are_the_and() {
    for (bur, _) in PLACES.into_iter().filter(|(bur, _)| *bur <= 2.0) {
        for tempo in 60..=300 {
            for beat in 0..8 {
                let read = place(f64::from(beat) + bur / (1.0 + bur), tempo.into());
                assert_eq!(read.class, PositionClass::And, "{bur} at {tempo}: {read:?}");
                assert_eq!(i32::from(read.pulse), beat % 4 + 1, "{bur} at {tempo}: {read:?}");
            }
        }
    }
}

/// Corcoran and Frieler 2021, 14,895 triples of soloists: median log2 of the ratio .275, mean
/// .30; swung is above a ratio of 1.41.
#[test]
fn the_usual_soloists_offbeat_is_the_and() {
    for log2 in [0.0, 0.275, 0.30, 0.5] {
        let bur = f64::exp2(log2);
        for tempo in 60..=300 {
            let read = place(2.0 + bur / (1.0 + bur), tempo.into());
            assert_eq!((read.pulse, read.class), (3, PositionClass::And), "{bur} at {tempo}");
        }
    }
}

/// Worked example of a published library's test, read at second hand: beats 0, 1, 2, 3, 4 with
/// upbeats at .5, 1.2, 2.6, 3.5 have ratios 1, .25, 1.5, 1.
#[test]
fn the_worked_example() {
    for (upbeat, bur) in [(0.5, 1.0), (1.2, 0.25), (2.6, 1.5), (3.5, 1.0)] {
        let got = ratio(&place(upbeat, 120.0));
        assert!((got - bur).abs() < 1e-9, "{upbeat}: {got}");
    }
}

/// Fit over the drummers of the Jazz Trio Database: ratio = 3.423 − .00692 × tempo, 2.59 at 120,
/// 2.04 at 200, 1.35 at 300. From about 206 it is at most 2.
#[test]
fn a_drummers_swing_at_medium_and_fast_tempo_is_the_and() {
    let drummer = |tempo: f64| 3.423 - 0.006_92 * tempo;
    for (tempo, bur) in [(120.0, 2.59), (200.0, 2.04), (300.0, 1.35)] {
        assert!((drummer(tempo) - bur).abs() < 0.005, "{tempo}");
    }
    for tempo in (206..=300).map(f64::from) {
        let bur = drummer(tempo);
        let read = place(1.0 + bur / (1.0 + bur), tempo);
        assert_eq!((read.pulse, read.class), (2, PositionClass::And), "{bur} at {tempo}");
    }
}

/// Fit over the soloists of the Weimar Jazz Database: they are behind the beat by
/// 73.37 − .2392 × tempo milliseconds, 37.5 at 150; Nelias and others 2022 give about 30 ms.
#[test]
fn a_soloist_behind_the_beat_is_still_on_it() {
    let behind = |tempo: f64| 73.37 - 0.2392 * tempo;
    assert!((behind(150.0) - 37.5).abs() < 0.05);
    for tempo in (60..=300).map(f64::from) {
        for milliseconds in [0.0, behind(tempo)] {
            let late = milliseconds / 1e3;
            let read = place(4.0 + late * tempo / 60.0, tempo);
            assert_eq!(
                (read.bar, read.pulse, read.subdivision),
                (2, 1, PulseSubdivision::On),
                "{late} at {tempo}"
            );
            let lag = read.lag(Tempo::new(tempo).unwrap()).unwrap();
            assert!((lag.0 - late).abs() < 1e-9, "{lag:?} at {tempo}");
        }
    }
    let nelias = place(4.0 + 0.030 * 150.0 / 60.0, 150.0);
    assert_eq!((nelias.class, nelias.subdivision), (PositionClass::One, PulseSubdivision::On));
}
