//! How well what is heard suits each place in the bar.

use super::count_in::BandCountIn;
use super::hearing::{HOP_SECONDS, Hop, PARTS};
use super::weights::WEIGHTS;
use super::{real, single, whole};

/// Places in a beat that are told apart.
pub(super) const PLACES: usize = 24;

/// Levels of what is new, and where the next one begins, against the mean.
pub(super) const LEVELS: usize = 6;
const LEVEL_FROM: [f32; LEVELS - 1] = [0.3, 0.8, 1.6, 3.0, 5.5];

/// Beats of the bar that the weights tell apart.
const FITTED_BEATS: usize = 4;

/// Steps of the weights to 1.
const STEPS: f32 = 32.0;

/// Hops are taken together so that a beat has no more frames. Origin: 30 to 60 frames keep a beat within
/// 10 ms up to 100 a minute, and an hour is worked out in a second.
const MOST_FRAMES: f64 = 60.0;

/// The likelihood of a hop counts to this power: hops are not independent of each other. Origin: fitted to
/// rendered bands.
const POWER: f32 = 0.1;

/// What is usual on a beat of the bar counts to this share, and what is usual on any beat for the rest: bands
/// differ more in what they play on which beat than in where beats are. Origin: as above.
const OWN: f32 = 0.25;

/// What is heard in a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Frame {
    /// The level in each part of the spectrum; `None` where it has been silent.
    pub levels: [Option<u8>; PARTS],
}

impl Frame {
    /// Whether it says nothing.
    pub(super) fn is_quiet(&self) -> bool {
        self.levels.iter().all(Option::is_none)
    }
}

/// Hops become frames.
#[derive(Debug, Clone)]
pub(super) struct Frames {
    /// Hops in a frame.
    pub step: u32,
    hops: u32,
    sums: [u32; PARTS],
    heard: [u32; PARTS],
}

impl Frames {
    pub(super) fn new(count_in: &BandCountIn) -> Self {
        let step = (count_in.period.0 / HOP_SECONDS / MOST_FRAMES).ceil().max(1.0);
        let step = u32::try_from(whole(step)).unwrap_or(1);
        Self { step, hops: 0, sums: [0; PARTS], heard: [0; PARTS] }
    }

    /// Seconds a frame.
    pub(super) fn seconds(&self) -> f64 {
        f64::from(self.step) * HOP_SECONDS
    }

    /// Takes in a hop; a frame, when it is whole.
    pub(super) fn next(&mut self, hop: Hop) -> Option<Frame> {
        for ((sum, heard), value) in self.sums.iter_mut().zip(&mut self.heard).zip(hop.0) {
            *sum += u32::from(value.saturating_sub(1));
            *heard += u32::from(value > 0);
        }
        self.hops += 1;
        if self.hops < self.step {
            return None;
        }
        let mut frame = Frame::default();
        for ((level, sum), heard) in frame.levels.iter_mut().zip(self.sums).zip(self.heard) {
            // Of 16ths.
            let mean = single(f64::from(sum) / f64::from(self.step) / 16.0);
            let passed = LEVEL_FROM.iter().filter(|from| mean >= **from).count();
            *level = (heard > 0).then(|| u8::try_from(passed).unwrap_or(0));
        }
        (self.hops, self.sums, self.heard) = (0, [0; PARTS], [0; PARTS]);
        Some(frame)
    }
}

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    /// Of each place in the bar, part of the spectrum and level: how much likelier than anywhere, as a
    /// logarithm.
    table: Vec<[[f32; LEVELS]; PARTS]>,
    /// The same of the newest frame.
    places: Vec<f32>,
}

impl Evidence {
    pub(super) fn new(beats: usize, step: u32) -> Self {
        let scale = POWER * single(f64::from(step)) / STEPS;
        let row = |beat: usize, place: usize| {
            let fitted =
                |beat: usize| WEIGHTS.get(beat * PLACES + place).copied().unwrap_or_default();
            let any: Vec<_> = (0..FITTED_BEATS).map(fitted).collect();
            let own = match beat {
                _ if beats == FITTED_BEATS => vec![fitted(beat)],
                0 => vec![fitted(0)],
                _ => (1..FITTED_BEATS).map(fitted).collect(),
            };
            let mut row = [[0.0; LEVELS]; PARTS];
            for (all, share) in [(&any, 1.0 - OWN), (&own, OWN)] {
                let share = scale * share / real(all.len());
                for weights in all {
                    for (part, of_part) in row.iter_mut().zip(weights) {
                        for (value, weight) in part.iter_mut().zip(of_part) {
                            *value += f32::from(*weight) * share;
                        }
                    }
                }
            }
            row
        };
        let places = (0..beats).flat_map(|beat| (0..PLACES).map(move |place| (beat, place)));
        let table: Vec<_> = places.map(|(beat, place)| row(beat, place)).collect();
        Self { places: vec![0.0; table.len()], table }
    }

    /// How much likelier each place in the bar is by a frame than it was, as logarithms.
    pub(super) fn of(&mut self, frame: &Frame) -> &[f32] {
        for (value, row) in self.places.iter_mut().zip(&self.table) {
            let parts = row.iter().zip(frame.levels);
            let told = parts.filter_map(|(part, level)| part.get(usize::from(level?)));
            *value = told.sum();
        }
        &self.places
    }

    /// How many places there are.
    pub(super) fn count(&self) -> usize {
        self.places.len()
    }

    /// The same of one place.
    pub(super) fn at(&self, frame: &Frame, place: usize) -> f32 {
        let row = self.table.get(place).copied().unwrap_or_default();
        let told = row.iter().zip(frame.levels);
        told.filter_map(|(part, level)| part.get(usize::from(level?))).sum()
    }

    /// The same of one place of the newest frame.
    pub(super) fn newest(&self, place: usize) -> f32 {
        self.places.get(place).copied().unwrap_or(0.0)
    }
}
