//! One solo: how it is played is drawn first, then its line is written, then played.
//!
//! Each of these has random numbers of its own: with the same seed, metre and tempo the line is
//! the same however it is played, but for what is not written where eighths swing.

use super::glitches;
use super::line::{self, Notated, Page};
use super::options::{Gate, Options};
use super::player;
use super::random::{chance, within};
use fastrand::Rng;
use overbar_core::time::metre::{Division, Metre};
use std::ops::RangeInclusive;

/// Ticks in a quarter of the files.
pub const RESOLUTION: u16 = 960;

/// A note as sounded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sound {
    /// Tick of its note-on.
    pub on: u32,
    /// Tick of its note-off; `None` where it is never sent.
    pub off: Option<u32>,
    /// From 0 to 127.
    pub key: u8,
    /// From 1 to 127.
    pub velocity: u8,
    /// What it was meant to be; `None` for a glitch.
    pub meant: Option<Notated>,
}

/// How a solo is played.
#[derive(Debug, Clone, PartialEq)]
pub struct Manner {
    /// Felt beats a minute, of each bar.
    pub tempos: Vec<f64>,
    /// Beat-upbeat ratio of binary eighths: 1 is straight.
    pub swing: f64,
    /// How late notes on a beat are, in milliseconds. Others are late by half of it.
    pub lag: f64,
    /// Spread of onsets around that, in milliseconds.
    pub jitter: f64,
    /// How long notes are held.
    pub gate: Gate,
    /// Share of notes whose note-off is never sent.
    pub missed_offs: f64,
}

/// A solo, its truth and its sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Solo {
    /// From 1.
    pub number: u32,
    /// Its metre.
    pub metre: Metre,
    /// As asked for, in percent.
    pub drift: f64,
    /// How it is played.
    pub manner: Manner,
    /// In order of onset; no two share a tick.
    pub sounds: Vec<Sound>,
}

/// A solo in three is straight where nothing else is asked for. Origin: none; enough of both.
const STRAIGHT_SHARE: f64 = 1.0 / 3.0;

/// The largest swing ratio falls from the first to the second between these tempos where nothing
/// else is asked for. Origin: it falls about evenly with the tempo (Friberg and Sundström 2002);
/// the figures are rounded.
const WIDE_SWING: (f64, f64) = (100.0, 3.0);
const NARROW_SWING: (f64, f64) = (300.0, 1.2);

/// A lag is never more than this part of a beat: beyond it, a note is heard in another place.
/// Origin: half of a binary eighth.
const LARGEST_LAG: f64 = 0.25;

/// Bars in which a drifting tempo goes up, down and back. Origin: two choruses of a 16-bar tune.
const DRIFT_BARS: f64 = 32.0;

impl Solo {
    /// Draws, writes and plays solo `number`.
    pub fn invent(number: u32, options: &Options, mut random: Rng) -> Self {
        let (mut drawing, mut writing) = (random.fork(), random.fork());
        let (mut playing, mut slipping) = (random.fork(), random.fork());
        let turn = (number as usize - 1) % options.metres.len();
        let metre = options.metres[turn];
        let tempo = draw(&options.tempo, 0.1, &mut drawing);
        let tempos = drift(tempo, options, &mut drawing);
        let swing = swing(metre, tempo, options, &mut drawing);
        let page = Page { metre, bars: options.bars, tempo, swings: swing > 1.0 };
        let notes = line::write(page, &mut writing);
        let manner = Manner {
            tempos,
            swing,
            lag: lag(tempo, options, &mut drawing),
            jitter: options.jitter,
            gate: options.gate,
            missed_offs: options.missed_offs,
        };
        let time = player::Time { metre, tempos: &manner.tempos };
        let mut sounds = player::play(&notes, time, &manner, &mut playing);
        glitches::add(&mut sounds, time, options.glitches, &mut slipping);
        Self { number, metre, drift: options.drift, manner, sounds }
    }

    /// Felt beats a minute, the mean over bars.
    pub fn tempo(&self) -> f64 {
        let tempos = &self.manner.tempos;
        tempos.iter().sum::<f64>() / tempos.len() as f64
    }
}

/// An even draw, rounded to a multiple of `grain` so that a label tells it in full.
fn draw(range: &RangeInclusive<f64>, grain: f64, random: &mut Rng) -> f64 {
    let steps = (within(range, random) / grain).round();
    // Divided, as 3 / 10 is the number nearest 0.3 and 3 × 0.1 is not.
    (steps / (1.0 / grain).round()).clamp(*range.start(), *range.end())
}

/// The tempo of each bar: up and down in straight lines, from a random point on.
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
