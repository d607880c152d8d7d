//! Checks the input: too quiet, too loud, on one side only, or more than one voice.

use crate::time::SecondSpan;

/// Peaks below this are silence, in dBFS. Origin: the noise of a microphone in a quiet room, common practice, no
/// source.
const SILENT: f32 = -60.0;

/// A player whose peaks stay below this is too quiet, in dBFS. Origin: common practice, no source.
const QUIET: f32 = -45.0;

/// Peaks from this on are too loud, in dBFS: a clipping converter gives them.
const LOUD: f32 = -0.1;

/// How long a peak counts as the player's loudest, and how long one that is too loud is reported.
const LOUDEST_FOR: SecondSpan = SecondSpan(30.0);
const REPORTED_FOR: SecondSpan = SecondSpan(2.0);

/// The fall of the meter, in dB per second. Origin: the return time of a peak programme meter, IEC 60268-10 type I,
/// 20 dB in 1.7 s; from memory.
const FALL: f32 = 20.0 / 1.7;

/// A side this far below the other is dead, in dB. Origin: below the noise of a cable.
const DEAD: f32 = 60.0;

/// A mean clarity below this means more than one voice. Origin: single lines of rendered instruments stay above .8,
/// triads below .7.
const ONE_VOICE: f32 = 0.72;

/// The state of the input.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum InputState {
    /// Silence.
    #[default]
    Silent,
    /// Nothing is wrong.
    Listening,
    /// The player's peaks are too low.
    TooQuiet,
    /// It clips.
    TooLoud,
    /// More than one voice.
    SeveralVoices,
}

/// A level meter that also checks the input.
#[derive(Debug, Clone)]
pub struct InputMeter {
    /// The displayed level of each side, in dB.
    sides: [f32; 2],
    /// The loudest recent peak, and the seconds for which it still counts.
    loudest: (f32, f64),
    /// The seconds for which a too loud peak is still reported.
    too_loud: f64,
    /// Whether there is only one channel.
    mono: bool,
}

impl Default for InputMeter {
    fn default() -> Self {
        Self { sides: [FLOOR; 2], loudest: (FLOOR, 0.0), too_loud: 0.0, mono: true }
    }
}

/// The lowest displayed level, in dB.
const FLOOR: f32 = -120.0;

impl InputMeter {
    /// Adds the samples of one or two channels, of this length.
    pub fn push(&mut self, left: &[f32], right: Option<&[f32]>, length: SecondSpan) {
        self.mono = right.is_none();
        let seconds = length.0.max(0.0);
        for (side, samples) in self.sides.iter_mut().zip([left, right.unwrap_or(left)]) {
            let fallen = *side - FALL * super::single(seconds);
            *side = peak(samples).max(fallen).max(FLOOR);
        }
        let newest = peak(left).max(right.map_or(FLOOR, peak));
        let (loudest, left) = self.loudest;
        self.loudest = match newest >= loudest || left <= 0.0 {
            true => (newest, LOUDEST_FOR.0),
            false => (loudest, left - seconds),
        };
        self.too_loud = if newest >= LOUD { REPORTED_FOR.0 } else { self.too_loud - seconds };
    }

    /// The displayed level, in dBFS.
    #[must_use]
    pub fn level(&self) -> f32 {
        let [left, right] = self.sides;
        left.max(right)
    }

    /// The only channel of two that has sound: 0 is the left one.
    #[must_use]
    pub fn only_side(&self) -> Option<usize> {
        let [left, right] = self.sides;
        let is_one = !self.mono && self.level() > SILENT && (left - right).abs() >= DEAD;
        is_one.then_some(usize::from(right > left))
    }

    /// The state of the input. `clarity` is that of the pitches, see
    /// [`NoteTracker::clarity`](super::NoteTracker::clarity).
    #[must_use]
    pub fn state(&self, clarity: Option<f32>) -> InputState {
        if self.too_loud > 0.0 {
            InputState::TooLoud
        } else if self.level() < SILENT {
            InputState::Silent
        } else if self.loudest.0 < QUIET {
            InputState::TooQuiet
        } else if clarity.is_some_and(|clarity| clarity < ONE_VOICE) {
            InputState::SeveralVoices
        } else {
            InputState::Listening
        }
    }
}

/// The largest sample, in dB; samples that are not finite count as silence.
fn peak(samples: &[f32]) -> f32 {
    let finite = samples.iter().filter(|sample| sample.is_finite());
    let largest = finite.fold(0.0_f32, |most, sample| most.max(sample.abs()));
    super::decibels(largest * largest).max(FLOOR)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TENTH: SecondSpan = SecondSpan(0.1);

    fn after(levels: &[f32], clarity: f32) -> InputState {
        let mut meter = InputMeter::default();
        levels.iter().for_each(|level| meter.push(&[0.0, *level, -*level], None, TENTH));
        meter.state(Some(clarity))
    }

    #[test]
    fn each_fault_is_detected() {
        assert_eq!(after(&[], 0.9), InputState::Silent);
        assert_eq!(after(&[0.000_9], 0.9), InputState::Silent);
        assert_eq!(after(&[0.003], 0.9), InputState::TooQuiet);
        assert_eq!(after(&[0.2], 0.9), InputState::Listening);
        assert_eq!(after(&[0.2], 0.5), InputState::SeveralVoices);
        assert_eq!(after(&[1.0, 0.2], 0.9), InputState::TooLoud);
        assert_eq!(after(&[f32::NAN, 0.2], 0.9), InputState::Listening);
    }

    #[test]
    fn a_rest_is_silent_and_not_too_quiet() {
        let rest = |seconds: usize| [vec![0.2], vec![0.000_5; 10 * seconds]].concat();
        assert_eq!(after(&rest(10), 0.9), InputState::Silent);
        assert_eq!(after(&[rest(10), vec![0.003]].concat(), 0.9), InputState::Listening);
        assert_eq!(after(&[rest(31), vec![0.003; 2]].concat(), 0.9), InputState::TooQuiet);
        let mut clipped = vec![1.0];
        clipped.extend([0.2; 21]);
        assert_eq!(after(&clipped, 0.9), InputState::Listening);
    }

    /// 20 dB in 1.7 s.
    #[test]
    fn the_meter_falls_as_in_the_standard() {
        let mut meter = InputMeter::default();
        meter.push(&[1.0], None, TENTH);
        assert!(meter.level().abs() < 1e-3);
        for _ in 0..17 {
            meter.push(&[0.0], None, TENTH);
        }
        assert!((meter.level() + 20.0).abs() < 1e-3, "{}", meter.level());
    }

    #[test]
    fn a_dead_side_is_detected() {
        let mut meter = InputMeter::default();
        meter.push(&[0.0], Some(&[0.4]), TENTH);
        assert_eq!(meter.only_side(), Some(1));
        meter.push(&[0.1], Some(&[0.4]), TENTH);
        assert_eq!(meter.only_side(), None);
        meter.push(&[0.4], None, TENTH);
        assert_eq!(meter.only_side(), None, "mono has no sides");
    }
}
