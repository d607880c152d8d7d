//! Input latency, estimated from a short tap-along, so that it is not mistaken for laid-back playing.
//!
//! The player taps the beat with the click. Taps arrive late by the delay of keyboard, interface and sound,
//! and early because people tap a little ahead of a click (Repp 2005, from memory). The sum of both is
//! subtracted, so lag is measured from where this player taps when trying to be on the beat.

use crate::phrase::played;
use crate::quantization::BarLines;
use crate::stats::median;
use crate::stats::sample::Sample;
use crate::time::tempo_map::TempoMap;
use crate::time::{Moment, SecondSpan};
use core::f64::consts::TAU;

/// Taps ignored at the start, until the player has settled in. Origin: common practice, no source.
pub const SETTLING_IN: usize = 2;

/// Taps needed after those. Origin: with a scatter of 10 ms, 8 taps give the mean within 8 ms; two bars
/// of 4/4.
pub const NEEDED: usize = 8;

/// A tap this many scaled median deviations from the median is an outlier. Origin: Iglewicz and Hoaglin
/// 1993, from memory.
const OUTLIER: f64 = 3.5;
/// Scales a median absolute deviation to a standard deviation, by definition.
const MAD_TO_SD: f64 = 1.4826;
/// A smaller deviation, in seconds, is never an outlier, however steady the other taps are.
const NO_OUTLIER: f64 = 0.015;
/// With more than one outlier per this many taps, they are not taps on the beat: a line of eighths has as
/// many notes between the beats. Origin: common practice, no source.
const TAPS_PER_OUTLIER: u32 = 4;

/// Largest half-width of the 95 % interval, in seconds. Origin: the just noticeable difference of an
/// onset in a quick sequence, 6 ms (Friberg and Sundberg 1995), doubled.
const LOOSEST: f64 = 0.012;

/// Largest standard deviation of taps on a beat, in seconds. Origin: untrained people have 20 to 40 ms
/// (Repp 2005, from memory).
const MAX_SCATTER: f64 = 0.05;

/// An estimated latency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// How long after being played a note arrives; negative if the player taps ahead by more than the
    /// equipment delays.
    pub latency: SecondSpan,
    /// Its 95 % interval.
    pub interval: (SecondSpan, SecondSpan),
    /// Taps used.
    pub taps: u32,
    /// Outliers ignored.
    pub slips: u32,
}

/// Why taps give no latency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Uncertain {
    /// This many more are needed.
    TooFew(usize),
    /// They are not all on beats: their scatter.
    NoTaps(SecondSpan),
    /// They scatter too much: the 95 % interval.
    TooLoose(SecondSpan, SecondSpan),
}

/// How far a tap is from its nearest pulse, late positive, and how long that pulse lasts; `None` without
/// a beat grid.
pub fn offset(
    tap: Moment,
    tempo: &TempoMap,
    lines: BarLines<'_>,
) -> Option<(SecondSpan, SecondSpan)> {
    let beat = played(tempo, tap, SecondSpan(0.0))?;
    let tapped = lines.pulse_position(beat, tempo.tempo_at(beat)?);
    let position = tapped.position();
    let after = if position < 0.5 { position } else { position - 1.0 };
    Some((SecondSpan(after * tapped.seconds.0), tapped.seconds))
}

/// Estimates the latency from the [`offset`]s of all taps, in order.
///
/// # Errors
/// [`Uncertain`] if the taps are too few or too scattered.
pub fn latency(taps: &[(SecondSpan, SecondSpan)]) -> Result<Calibration, Uncertain> {
    let used = taps.get(SETTLING_IN..).unwrap_or_default();
    if used.len() < NEEDED {
        return Err(Uncertain::TooFew(SETTLING_IN + NEEDED - taps.len()));
    }
    let offsets = unwrapped(used);
    let mut sorted = offsets.clone();
    let middle = median(&mut sorted).unwrap_or_default();
    let mut deviations: Vec<f64> = offsets.iter().map(|offset| (offset - middle).abs()).collect();
    let scatter = MAD_TO_SD * median(&mut deviations).unwrap_or_default();
    if scatter > MAX_SCATTER {
        return Err(Uncertain::NoTaps(SecondSpan(scatter)));
    }
    let reach = (OUTLIER * scatter).max(NO_OUTLIER);
    let mut sample = Sample::default();
    offsets.iter().filter(|offset| (*offset - middle).abs() <= reach).for_each(|o| sample.push(*o));
    let slips = u32::try_from(offsets.len()).unwrap_or(u32::MAX) - sample.count();
    if slips > sample.count() / TAPS_PER_OUTLIER {
        let mut all = Sample::default();
        offsets.iter().for_each(|offset| all.push(*offset));
        return Err(Uncertain::NoTaps(SecondSpan(all.sd().unwrap_or(scatter))));
    }
    let (Some(mean), Some((low, high))) = (sample.mean(), sample.interval()) else {
        return Err(Uncertain::TooFew(NEEDED));
    };
    let interval = (SecondSpan(low), SecondSpan(high));
    if high - low > 2.0 * LOOSEST {
        return Err(Uncertain::TooLoose(interval.0, interval.1));
    }
    Ok(Calibration { latency: SecondSpan(mean), interval, taps: sample.count(), slips })
}

/// The offsets in seconds, each within half a pulse of their circular mean.
fn unwrapped(taps: &[(SecondSpan, SecondSpan)]) -> Vec<f64> {
    let angles = taps.iter().map(|(offset, pulse)| offset.0 / pulse.0 * TAU);
    let (sine, cosine) = angles.fold((0.0, 0.0), |(s, c), a| (s + a.sin(), c + a.cos()));
    let middle = f64::atan2(sine, cosine) / TAU;
    let near = |(offset, pulse): &(SecondSpan, SecondSpan)| {
        let pulses = offset.0 / pulse.0;
        (pulses - (pulses - middle).round()) * pulse.0
    };
    taps.iter().map(near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take::settings::Pulse;
    use crate::time::metre::Metre;
    use crate::time::metre_map::MetreMap;
    use crate::time::tempo_map::Knot;
    use crate::time::{Beat, Second, Tempo};

    const BEAT: SecondSpan = SecondSpan(0.5);

    fn taps(milliseconds: &[f64]) -> Vec<(SecondSpan, SecondSpan)> {
        milliseconds.iter().map(|ms| (SecondSpan(ms / 1e3), BEAT)).collect()
    }

    #[test]
    fn steady_taps_give_the_latency() {
        // Without the first two: mean 24, sd √(72/7) and t(7) 2.3646, by hand.
        let got = latency(&taps(&[80.0, -40.0, 20.0, 28.0, 22.0, 26.0, 24.0, 24.0, 28.0, 20.0]));
        let got = got.unwrap();
        assert_eq!((got.taps, got.slips), (8, 0));
        assert!((got.latency.0 - 0.024).abs() < 1e-9);
        assert!((got.interval.0.0 - 0.021_319).abs() < 1e-6, "{got:?}");
        assert!((got.interval.1.0 - 0.026_681).abs() < 1e-6, "{got:?}");
    }

    #[test]
    fn a_line_is_not_mistaken_for_taps() {
        // Four off-beats to every three beats: the beats look like outliers of steady off-beats.
        let line: Vec<f64> = (0..70).map(|note| if note % 7 < 4 { -250.0 } else { 0.0 }).collect();
        assert!(
            matches!(latency(&taps(&line)), Err(Uncertain::NoTaps(_))),
            "{:?}",
            latency(&taps(&line))
        );
    }

    #[test]
    fn an_outlier_is_ignored() {
        let mut all = vec![30.0; 12];
        all[6] = 140.0;
        let got = latency(&taps(&all)).unwrap();
        assert_eq!((got.taps, got.slips), (9, 1));
        assert!((got.latency.0 - 0.030).abs() < 1e-9);
    }

    #[test]
    fn too_few_and_too_loose_taps_are_errors() {
        assert_eq!(latency(&[]), Err(Uncertain::TooFew(10)));
        assert_eq!(latency(&taps(&[20.0; 9])), Err(Uncertain::TooFew(1)));
        let loose: Vec<f64> = (0..12).map(|n| f64::from(n % 4) * 30.0).collect();
        assert!(matches!(latency(&taps(&loose)), Err(Uncertain::TooLoose(..))));
        // A line of eighths and triplets, however long.
        let line: Vec<f64> = (0..600).map(|n| f64::from(n * 5 % 12) * 41.7 - 230.0).collect();
        assert!(matches!(latency(&taps(&line)), Err(Uncertain::NoTaps(_))));
    }

    #[test]
    fn taps_about_half_a_beat_late_stay_together() {
        let got =
            latency(&taps(&[0.0, 0.0, 248.0, -248.0, 250.0, -250.0, 246.0, -246.0, 249.0, -249.0]));
        assert!((got.unwrap().latency.0.abs() - 0.250).abs() < 0.001, "{got:?}");
    }

    #[test]
    fn an_offset_is_from_the_nearest_felt_pulse() {
        let mut tempo = TempoMap::default();
        tempo.push(Knot {
            second: Second(0.0),
            beat: Beat(0.0),
            tempo: Tempo::new(120.0).unwrap(),
        });
        for (metre, second, ms) in [
            ((4, 4), 2.03, 30.0),
            ((4, 4), 1.98, -20.0),
            ((6, 8), 0.80, 50.0),
            ((2, 2), 1.6, -400.0),
        ] {
            let metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
            let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
            let beat = tempo.beat_at(Second(second)).unwrap();
            let tap = Moment { beat, second: Second(second) };
            let (offset, _) = offset(tap, &tempo, lines).unwrap();
            assert!((offset.0 * 1e3 - ms).abs() < 1e-6, "{metre:?} {second}: {offset:?}");
        }
        assert_eq!(
            offset(
                Moment::default(),
                &TempoMap::default(),
                BarLines {
                    metres: &MetreMap::new(Metre::COMMON),
                    beat_one_offset: 0,
                    pulse: Pulse::Host,
                }
            ),
            None
        );
    }
}
