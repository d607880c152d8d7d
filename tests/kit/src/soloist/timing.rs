//! How a player's onsets lie against the beat.
//!
//! The analysis assumes that lag halves off the beat, that onsets scatter independently and that
//! lag and swing stay as they are through a take. A player made here need not keep to any of that.

use super::Bar;
use super::random::{FARTHEST, bell};
use fastrand::Rng;

/// Swing may change every so many bars.
pub const CHORUS_BARS: u32 = 16;

/// Bars in which a wandering lag grows, shrinks and returns. No multiple of a chorus, so that lag and
/// swing change apart from each other.
const WANDER_BARS: f64 = 22.0;

/// How much of one note's correlated deviation the next note keeps. Origin: between the .5 and .9 that
/// keep a deviation through two to six notes; no source.
const KEPT: f64 = 0.8;

/// No onset comes sooner than this after the one before, in seconds: about the shortest that a
/// hand can do. Every step of a line is longer before jitter, as lags are limited.
const MIN_STEP: f64 = 0.015;

/// How often jitter is drawn anew before a note is put right after the one before.
const DRAWS: u32 = 20;

/// How a player's onsets lie against the beat, in milliseconds but for `swings`.
#[derive(Debug, Clone, PartialEq)]
pub struct Timing {
    /// How late notes on a beat are.
    pub lag: f64,
    /// How late notes off the beat are.
    pub off_beat_lag: f64,
    /// How far both lags wander either way, up and down in straight lines.
    pub wander: f64,
    /// Where in its way up and down the wandering begins, from 0 to 1.
    pub wander_from: f64,
    /// How much later an accented note comes.
    pub accent_delay: f64,
    /// Beat-upbeat ratio of binary eighths in each chorus, in turn: 1 is straight.
    pub swings: Vec<f64>,
    /// Spread of deviations that are independent from note to note.
    pub jitter: f64,
    /// Spread of deviations of which the next note keeps most.
    pub correlated_jitter: f64,
}

impl Timing {
    /// What the analysis assumes: half the lag off the beat, one swing ratio, independent jitter.
    #[must_use]
    pub fn simple(lag: f64, jitter: f64, swing: f64) -> Self {
        Self {
            lag,
            off_beat_lag: lag / 2.0,
            wander: 0.0,
            wander_from: 0.0,
            accent_delay: 0.0,
            swings: vec![swing],
            jitter,
            correlated_jitter: 0.0,
        }
    }

    /// Whether every note falls on its place.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        let Self { lag, off_beat_lag, wander, accent_delay, jitter, correlated_jitter, .. } = self;
        let late = [lag, off_beat_lag, wander, accent_delay, jitter, correlated_jitter];
        late.iter().all(|ms| **ms == 0.0) && self.swings.iter().all(|ratio| *ratio == 1.0)
    }

    /// The swing ratio at a beat.
    #[must_use]
    pub fn swing_at(&self, beat: f64, bar: Bar) -> f64 {
        let chorus = beat.max(0.0) as u32 / (bar.beats * CHORUS_BARS);
        self.swings.get(chorus as usize % self.swings.len().max(1)).copied().unwrap_or(1.0)
    }

    /// How late a note is meant to be, swing and jitter aside.
    #[must_use]
    pub fn late(&self, intent: Intent, bar: Bar) -> f64 {
        let lag = if intent.is_on_beat() { self.lag } else { self.off_beat_lag };
        let accent = if intent.accent { self.accent_delay } else { 0.0 };
        if self.wander == 0.0 {
            return lag + accent;
        }
        let bars = intent.place / f64::from(bar.beats);
        let turn = (self.wander_from + bars / WANDER_BARS).fract();
        lag + accent + self.wander * (4.0 * (turn - 0.5).abs() - 1.0)
    }

    /// Where a note is meant to fall at a tempo of felt beats a minute, in beats.
    #[must_use]
    pub fn aim(&self, intent: Intent, bar: Bar, tempo: f64) -> f64 {
        let swing = self.swing_at(intent.place, bar);
        let swung = if intent.swings { swing / (1.0 + swing) - 0.5 } else { 0.0 };
        intent.place + swung + self.late(intent, bar) * tempo / 60_000.0
    }
}

/// What a player means to do with a note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Intent {
    /// Its notated place.
    pub place: f64,
    /// It is a binary eighth off the beat, which swing delays.
    pub swings: bool,
    /// It is accented.
    pub accent: bool,
}

impl Intent {
    fn is_on_beat(self) -> bool {
        self.place.rem_euclid(1.0) < 1e-9
    }
}

/// Plays notes one after the other.
#[derive(Debug, Clone)]
pub struct Hand {
    timing: Timing,
    bar: Bar,
    /// The correlated deviation of the last note, in spreads.
    deviation: f64,
    before: Option<f64>,
}

impl Hand {
    /// A hand that has played nothing yet.
    #[must_use]
    pub fn new(timing: Timing, bar: Bar) -> Self {
        Self { timing, bar, deviation: 0.0, before: None }
    }

    /// Where the next note falls, in beats, at a tempo of felt beats a minute: after the note before.
    pub fn strike(&mut self, intent: Intent, tempo: f64, random: &mut Rng) -> f64 {
        let mut aim = self.timing.aim(intent, self.bar, tempo);
        if self.timing.correlated_jitter > 0.0 {
            let fresh = (1.0 - KEPT * KEPT).sqrt() * bell(random);
            self.deviation = (KEPT * self.deviation + fresh).clamp(-FARTHEST, FARTHEST);
            aim += self.deviation * self.timing.correlated_jitter * tempo / 60_000.0;
        }
        let spread = self.timing.jitter * tempo / 60_000.0;
        let free = self.before.map_or(f64::MIN, |before| before + MIN_STEP * tempo / 60.0);
        let mut drawn = (0..DRAWS).map(|_| aim + spread * bell(random));
        let onset = drawn.find(|onset| *onset >= free);
        let onset = onset.unwrap_or(free.min(aim + FARTHEST * spread));
        // Correlated deviations may bring two notes closer than jitter alone can part them.
        let onset = if self.timing.correlated_jitter > 0.0 { onset.max(free) } else { onset };
        self.before = Some(onset);
        onset
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn intent(place: f64) -> Intent {
        Intent { place, swings: place.fract() == 0.5, accent: false }
    }

    /// Deviations of quarters from their places, in milliseconds at 60 a minute.
    fn deviations(timing: Timing) -> Vec<f64> {
        let (mut hand, mut random) = (Hand::new(timing, Bar::COMMON), Rng::with_seed(1));
        let beats = (0..20_000).map(f64::from);
        beats.map(|beat| (hand.strike(intent(beat), 60.0, &mut random) - beat) * 1000.0).collect()
    }

    fn spread_and_correlation(of: &[f64]) -> (f64, f64) {
        let count = of.len() as f64;
        let mean = of.iter().sum::<f64>() / count;
        let square = of.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
        let pairs = of.windows(2).map(|pair| (pair[0] - mean) * (pair[1] - mean));
        (square.sqrt(), pairs.sum::<f64>() / count / square)
    }

    #[test]
    fn jitter_is_independent_and_correlated_jitter_is_not() {
        let (spread, correlation) =
            spread_and_correlation(&deviations(Timing::simple(0.0, 20.0, 1.0)));
        assert!((spread - 20.0).abs() < 0.5 && correlation.abs() < 0.03, "{spread} {correlation}");
        let timing = Timing { correlated_jitter: 15.0, ..Timing::simple(0.0, 0.0, 1.0) };
        let (spread, correlation) = spread_and_correlation(&deviations(timing));
        assert!(
            (spread - 15.0).abs() < 0.5 && (correlation - KEPT).abs() < 0.03,
            "{spread} {correlation}"
        );
    }

    #[test]
    fn lag_wanders_around_its_mean_and_comes_back() {
        let timing = Timing { wander: 12.0, ..Timing::simple(30.0, 0.0, 1.0) };
        let period = (WANDER_BARS * 4.0) as usize;
        let late = deviations(timing);
        let latest = late.iter().copied().fold(f64::MIN, f64::max);
        let earliest = late.iter().copied().fold(f64::MAX, f64::min);
        assert!(
            (latest - 42.0).abs() < 0.01 && (earliest - 18.0).abs() < 0.01,
            "{earliest} to {latest}"
        );
        let mean = late[..period].iter().sum::<f64>() / period as f64;
        assert!((mean - 30.0).abs() < 0.01, "{mean}");
        assert!((late[5] - late[5 + period]).abs() < 1e-6);
    }

    #[test]
    fn swing_changes_between_choruses_and_accents_delay() {
        let timing = Timing {
            swings: vec![1.0, 2.0],
            off_beat_lag: -6.0,
            accent_delay: 9.0,
            ..Timing::simple(12.0, 0.0, 1.0)
        };
        let aim = |place: f64, accent| {
            timing.aim(Intent { accent, ..intent(place) }, Bar::COMMON, 60.0) - place
        };
        let near = |got: f64, expected: f64| {
            assert!((got - expected).abs() < 1e-9, "{got}, not {expected}")
        };
        near(aim(3.0, false), 0.012);
        near(aim(3.0, true), 0.021);
        near(aim(3.5, false), -0.006);
        near(aim(64.5, false), 2.0 / 3.0 - 0.5 - 0.006);
        near(aim(128.5, false), -0.006);
    }

    #[test]
    fn notes_keep_their_order() {
        let timing = Timing { correlated_jitter: 50.0, ..Timing::simple(0.0, 50.0, 3.0) };
        let (mut hand, mut random) = (Hand::new(timing, Bar::COMMON), Rng::with_seed(2));
        let places = (0..2_000).map(|eighth| f64::from(eighth) / 2.0);
        let onsets: Vec<f64> =
            places.map(|place| hand.strike(intent(place), 300.0, &mut random)).collect();
        assert!(onsets.windows(2).all(|pair| pair[1] - pair[0] >= MIN_STEP * 300.0 / 60.0 - 1e-9));
    }
}
