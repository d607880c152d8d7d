//! Invented takes for tests: legato phrases at given positions, in 4/4.

use crate::input::note::{Note, Oddities};
use crate::input::pairing::NoteLine;
use crate::take::performance::Performance;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use crate::time::tempo_map::Knot;
use crate::time::{Beat, Moment, Second, Tempo};

/// A phrase to be played: its bar and beat, both from 1, and its notes' lengths in beats.
pub type Line<'a> = (i32, f64, &'a [f64]);

/// A take from bar 1 on at this tempo.
pub fn take(tempo: f64, lines: &[Line<'_>]) -> Performance {
    let mut notes = Vec::new();
    for (bar, beat, lengths) in lines {
        let mut at = 4.0 * f64::from(bar - 1) + beat - 1.0;
        for (key, length) in (60..72).cycle().zip(*lengths) {
            notes.push((at, *length, key));
            at += length;
        }
    }
    played(MetreMap::new(Metre::COMMON), tempo, &notes)
}

/// A take in these metres: starts and lengths in quarters, and keys.
pub fn played(metres: MetreMap, tempo: f64, notes: &[(f64, f64, u8)]) -> Performance {
    let tempo = Tempo::new(tempo).unwrap();
    let moment = |beat: f64| Moment {
        beat: Beat(beat),
        second: Second(beat * 60.0 / tempo.quarters_a_minute()),
    };
    let notes = notes.iter().map(|(at, length, key)| Note {
        on: moment(*at),
        off: Some(moment(at + length)),
        key: *key,
        channel: 0,
        velocity: 0.7,
    });
    let mut take = Performance {
        soloist: NoteLine::of(notes.collect(), Oddities::default()),
        ..Performance::new(metres)
    };
    take.tempo.push(Knot { second: Second(0.0), beat: Beat(0.0), tempo });
    take
}
