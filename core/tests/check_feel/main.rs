//! Time feel of performances made by hand, whose lag, swing and syncopation are known.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

mod distance;
mod held;
mod lag;
mod swing;
mod syncopation;

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::microtiming::{TakeFeel, TimeFeel, feel_of};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, Tempo};
use proptest::prelude::*;

/// A take in one metre and tempo.
struct Take {
    tempo: f64,
    metre: (i32, i32),
    /// Changes of metre, with the quarter each comes at.
    changes: Vec<(f64, (i32, i32))>,
    settings: Settings,
    /// Attack and end in quarters; no end where the note never ended.
    notes: Vec<(f64, Option<f64>)>,
}

impl Take {
    fn new(tempo: f64, metre: (i32, i32)) -> Self {
        Self { tempo, metre, changes: Vec::new(), settings: Settings::default(), notes: Vec::new() }
    }

    /// A line in which each note lasts to the next, and the last one to `end`.
    fn legato(mut self, attacks: &[f64], end: f64) -> Self {
        let ends = attacks.iter().skip(1).copied().chain([end]);
        self.notes.extend(attacks.iter().copied().zip(ends.map(Some)));
        self
    }

    fn note(mut self, from: f64, to: f64) -> Self {
        self.notes.push((from, Some(to)));
        self
    }

    fn performance(&self) -> Performance {
        let metre = Metre::new(self.metre.0, self.metre.1).unwrap();
        let mut performance = Performance::new(MetreMap::new(metre));
        for (at, (numerator, denominator)) in &self.changes {
            let metre = Metre::new(*numerator, *denominator).unwrap();
            performance.metres.change(Beat(*at), metre);
        }
        let tempo = Tempo::new(self.tempo).unwrap();
        performance.tempo.push(Knot { second: Second(0.0), beat: Beat(0.0), tempo });
        let moment =
            |beat: f64| Moment { beat: Beat(beat), second: Second(beat * 60.0 / self.tempo) };
        let notes = self.notes.iter().zip((60..=72).cycle()).map(|((on, off), key)| Note {
            on: moment(*on),
            off: off.map(moment),
            key,
            channel: 0,
            velocity: 0.8,
        });
        performance.soloist = NoteLine::of(notes.collect(), Oddities::default());
        performance
    }

    fn whole(&self) -> TakeFeel {
        let performance = self.performance();
        let analysis = TakeAnalysis::of(performance, self.settings);
        let whole = analysis.phrase_feel();
        assert_eq!(*analysis.feel(), whole.take, "kept and computed anew");
        whole
    }

    fn feel(&self) -> TimeFeel {
        self.whole().take
    }
}

/// Eighths from `from` up to before `to`, each off-beat `and` of a quarter after its beat.
fn eighths(from: u8, to: u8, and: f64) -> Vec<f64> {
    (from..to).map(f64::from).flat_map(|beat| [beat, beat + and]).collect()
}

fn assert_near(got: Option<f64>, expected: f64) {
    assert!(got.is_some_and(|got| (got - expected).abs() < 1e-6), "{got:?}, not {expected}");
}

#[test]
fn silence_has_no_feel() {
    assert_eq!(Take::new(120.0, (4, 4)).feel(), TimeFeel::default());
}

/// Without a beat grid there are no phrases, and were there any, no places.
#[test]
fn no_grid_has_no_feel() {
    let mut performance = Take::new(120.0, (4, 4)).legato(&eighths(0, 8, 0.5), 8.0).performance();
    let phrases = TakeAnalysis::of(performance.clone(), Settings::default()).phrases().to_vec();
    performance.tempo = overbar_core::time::tempo_map::TempoMap::default();
    let without = TakeAnalysis::of(performance, Settings::default());
    assert!(without.phrases().is_empty());
    let feel = feel_of(&phrases, without.context());
    assert_eq!((feel.take.lag.on_beat_ms.count(), feel.take.syncopation.count()), (0, 0));
}

proptest! {
    /// A take is no more and no less than its phrases.
    #[test]
    fn a_take_is_the_sum_of_its_phrases(
        notes in prop::collection::vec((0.0..200.0, 0.0..4.0), 0..120),
        tempo in 40.0..320.0,
        metre in prop::sample::select(vec![(4, 4), (3, 4), (6, 8), (7, 8), (5, 4), (2, 2), (64, 1)]),
        changes in prop::collection::vec(0.0..200.0, 0..4),
        beat_one_offset in -3..4,
    ) {
        let mut take = Take::new(tempo, metre);
        take.changes = changes.into_iter().zip([(7, 8), (4, 4), (6, 8), (3, 4)]).collect();
        take.settings.beat_one_offset = beat_one_offset;
        take.notes = notes.into_iter().map(|(on, length)| (on, Some(on + length))).collect();
        let whole = take.whole();
        let total = |count: fn(&TimeFeel) -> u32| whole.phrases.iter().map(count).sum::<u32>();
        let counts: [fn(&TimeFeel) -> u32; 7] = [
            |f| f.lag.on_beat_ms.count(),
            |f| f.lag.off_beat_ms.count(),
            |f| f.lag.eighths_off_beat_ms.count(),
            |f| f.swing.log2_ratio.count(),
            |f| f.syncopation.count(),
            |f| f.beat_distance.count(),
            |f| f.exits_held_over.count,
        ];
        for count in counts {
            prop_assert_eq!(count(&whole.take), total(count));
        }
        for feel in whole.phrases.iter().chain([&whole.take]) {
            for sample in [feel.lag.on_beat_ms, feel.swing.log2_ratio, feel.syncopation] {
                if let (Some(mean), Some((low, high))) = (sample.mean(), sample.interval()) {
                    prop_assert!(low <= mean && mean <= high);
                }
            }
        }
    }
}
