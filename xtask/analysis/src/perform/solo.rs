//! One solo: first its timing is drawn, then its line is written, then played.
//!
//! Each step has its own random numbers: with the same seed, metre and tempo the line is the same whatever
//! the timing, except for rhythms that are not written where eighths swing.

use super::options::Options;
use fastrand::Rng;
use overbar_core::time::metre::{Division, Metre};
use overbar_testkit::midi::{Track, with_division};
use overbar_testkit::soloist::line::{self, Page};
use overbar_testkit::soloist::{self, Bar, Clock, Manner, Sound, Timing, chance, within};
use std::ops::RangeInclusive;

/// A solo: ground truth and notes.
#[derive(Debug, Clone, PartialEq)]
pub struct Solo {
    /// From 1.
    pub number: u32,
    /// Its metre.
    pub metre: Metre,
    /// Its bar.
    pub bar: Bar,
    /// The requested drift, in percent.
    pub drift: f64,
    /// Its timing.
    pub manner: Manner,
    /// In order of onset; no two share a tick.
    pub sounds: Vec<Sound>,
}

/// By default one solo in three is straight. Origin: none; enough of both.
const STRAIGHT_SHARE: f64 = 1.0 / 3.0;

/// By default the largest swing ratio falls between these tempos, from the first value to the second. Origin:
/// it falls roughly linearly with the tempo (Friberg and Sundström 2002); the figures are rounded.
const WIDE_SWING: (f64, f64) = (100.0, 3.0);
const NARROW_SWING: (f64, f64) = (300.0, 1.2);

/// Maximum lag as a fraction of a beat: beyond it, a note is heard at another position. Origin: half of a
/// binary eighth.
const LARGEST_LAG: f64 = 0.25;

/// Maximum difference between off-beat lag and lag, and maximum wander and accent delay, as fractions of a
/// beat: beyond these, notes of fast solos would swap places.
const OFF_BEAT_APART: f64 = 0.125;
const LARGEST_SHIFT: f64 = 0.05;

/// The largest swing ratio of a chorus.
const WIDEST_SWING: f64 = 4.0;

/// Bars over which a drifting tempo goes up, down and back. Origin: two choruses of a 16-bar tune.
const DRIFT_BARS: f64 = 32.0;

impl Solo {
    /// Draws, writes and plays solo `number`.
    pub fn invent(number: u32, options: &Options, mut random: Rng) -> Self {
        let (mut drawing, mut writing) = (random.fork(), random.fork());
        let (mut playing, mut slipping, mut varying) =
            (random.fork(), random.fork(), random.fork());
        let turn = (number as usize - 1) % options.metres.len();
        let metre = options.metres[turn];
        let bar = Bar {
            beats: metre.pulses().into(),
            quarters: metre.pulse().0,
            in_three: metre.division() == Division::Three,
        };
        let tempo = draw(&options.tempo, 0.1, &mut drawing);
        let tempos = drift(tempo, options, &mut drawing);
        let swing = swing(metre, tempo, options, &mut drawing);
        let page = Page { bar, bars: options.bars, tempo, swings: swing > 1.0 };
        let notes = line::write(page, &mut writing);
        let lag = lag(tempo, options, &mut drawing);
        let timing = timing(lag, swing, tempo, options, &mut varying);
        let (gate, missed_offs) = (options.gate, options.missed_offs);
        let manner = Manner { tempos, timing, gate, missed_offs };
        let clock = Clock { bar, tempos: &manner.tempos };
        let mut sounds = soloist::play(&notes, clock, &manner, &mut playing);
        soloist::add_glitches(&mut sounds, clock, options.glitches, &mut slipping);
        Self { number, metre, bar, drift: options.drift, manner, sounds }
    }

    /// As a Standard MIDI File of type 0, with a tempo event at each change.
    pub fn midi(&self) -> Vec<u8> {
        let clock = Clock { bar: self.bar, tempos: &self.manner.tempos };
        let bar_line = |bar: usize| clock.tick(bar as f64 * f64::from(self.bar.beats)).into();
        let signature = (self.metre.numerator(), self.metre.denominator().into());
        let mut track =
            Track::default().metre(0, signature).lasting(bar_line(self.manner.tempos.len()));
        let mut last = None;
        for (bar, tempo) in self.manner.tempos.iter().enumerate() {
            let quarter = (6e7 / (tempo * self.bar.quarters)).round() as u32;
            if last.replace(quarter) != Some(quarter) {
                track = track.tempo(bar_line(bar), quarter);
            }
        }
        for Sound { on, off, key, velocity, .. } in &self.sounds {
            track = track.on((*on).into(), 0, *key, *velocity);
            if let Some(off) = off {
                track = track.off((*off).into(), 0, *key);
            }
        }
        with_division(0, soloist::RESOLUTION, &[track])
    }

    /// Felt beats per minute, averaged over bars.
    pub fn tempo(&self) -> f64 {
        let tempos = &self.manner.tempos;
        tempos.iter().sum::<f64>() / tempos.len() as f64
    }
}

/// A uniform draw, rounded to a multiple of `grain` so that a label states it exactly.
fn draw(range: &RangeInclusive<f64>, grain: f64, random: &mut Rng) -> f64 {
    let steps = (within(range, random) / grain).round();
    // Division, because 3 / 10 is the number nearest 0.3 and 3 × 0.1 is not.
    (steps / (1.0 / grain).round()).clamp(*range.start(), *range.end())
}

/// The tempo of each bar: up and down in straight lines, from a random phase.
fn drift(tempo: f64, options: &Options, random: &mut Rng) -> Vec<f64> {
    let begin = random.f64();
    let bar_tempo = |bar: u32| {
        let turn = (begin + f64::from(bar) / DRIFT_BARS).fract();
        let off = 4.0 * (turn - 0.5).abs() - 1.0;
        tempo * (1.0 + options.drift / 100.0 * off)
    };
    (0..options.bars).map(bar_tempo).collect()
}

/// Only eighths of a quarter swing: in other metres the ratio is 1.
fn swing(metre: Metre, tempo: f64, options: &Options, random: &mut Rng) -> f64 {
    let straight = chance(STRAIGHT_SHARE, random);
    let (slow, wide) = WIDE_SWING;
    let (fast, narrow) = NARROW_SWING;
    let way = ((tempo - slow) / (fast - slow)).clamp(0.0, 1.0);
    let usual = 1.0..=wide + (narrow - wide) * way;
    let ratio = draw(options.swing.as_ref().unwrap_or(&usual), 0.01, random);
    let eighths = metre.denominator() == 4 && metre.division() == Division::Two;
    if !eighths || (straight && options.swing.is_none()) { 1.0 } else { ratio }
}

fn lag(tempo: f64, options: &Options, random: &mut Rng) -> f64 {
    let most = LARGEST_LAG * 60_000.0 / tempo;
    draw(&options.lag, 0.1, random).clamp(-most, most)
}

fn timing(lag: f64, swing: f64, tempo: f64, options: &Options, random: &mut Rng) -> Timing {
    let beat = 60_000.0 / tempo;
    let choruses = options.bars.div_ceil(soloist::CHORUS_BARS);
    let change = draw(&options.swing_change, 0.01, random);
    let chorus = |random: &mut Rng| {
        let turn = 1.0 + change * within(&(-1.0..=1.0), random);
        let ratio = (swing * turn * 100.0).round() / 100.0;
        if swing == 1.0 || change == 0.0 { swing } else { ratio.clamp(1.0, WIDEST_SWING) }
    };
    let most = LARGEST_SHIFT * beat;
    let off_beat_lag = options.off_beat_lag.as_ref().map_or(lag / 2.0, |range| {
        let apart = OFF_BEAT_APART * beat;
        draw(range, 0.1, random).clamp(lag - apart, lag + apart)
    });
    Timing {
        lag,
        off_beat_lag,
        wander: draw(&options.lag_wander, 0.1, random).min(most),
        wander_from: random.f64(),
        accent_delay: draw(&options.accent_delay, 0.1, random).min(most),
        swings: (0..choruses).map(|_| chorus(random)).collect(),
        jitter: draw(&options.jitter, 0.1, random),
        correlated_jitter: draw(&options.correlated_jitter, 0.1, random),
    }
}
