//! Swing and delay of solos by tempo, for comparison with published figures.
//!
//! The bands are those of the published tables. The figure of a band is the mean over its solos, of median
//! ratios or of mean delays, each weighted by its number of pairs or notes.

use super::solo::Solo;
use overbar_core::microtiming;
use overbar_core::stats::sample::Sample;
use serde::Serialize;

/// Bands of mean tempo, each from its value up to the next, in BPM: for swing, and for delays.
const SWING: [f64; 5] = [100.0, 140.0, 180.0, 220.0, 260.0];
const DELAY: [f64; 5] = [100.0, 130.0, 170.0, 210.0, 260.0];

/// Figures by band of tempo.
#[derive(Debug, Default, Serialize)]
pub struct TimeFeel {
    /// Median beat-upbeat ratios.
    swing: Vec<Swing>,
    /// Delays.
    delay: Vec<Delay>,
}

#[derive(Debug, Serialize)]
struct Swing {
    /// The slowest tempo of the band.
    from_bpm: f64,
    /// For solos labelled as swing, and for all; null without any.
    swing_feel: Option<f64>,
    all: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Delay {
    from_bpm: f64,
    /// Delay behind the beat of the first of two eighths in ms, and of any note on a beat; null without any.
    of_eighths_ms: Option<f64>,
    of_notes_ms: Option<f64>,
}

impl TimeFeel {
    /// For solos whose labels have a tempo.
    pub fn of(solos: &[Solo]) -> Self {
        let swing = bands(&SWING).map(|(from_bpm, to)| {
            let ratio = |feel: &microtiming::TimeFeel| {
                let count = feel.swing.log2_ratio.count();
                Some((feel.swing.ratio()?, count))
            };
            let is_swing = |solo: &&Solo| solo.label.feel == "SWING";
            let all = || between(solos, from_bpm, to);
            Swing {
                from_bpm,
                swing_feel: mean(all().filter(is_swing).map(|s| &s.feel).filter_map(ratio)),
                all: mean(all().map(|s| &s.feel).filter_map(ratio)),
            }
        });
        let delay = bands(&DELAY).map(|(from_bpm, to)| {
            let weighed = |sample: &Sample| Some((sample.mean()?, sample.count()));
            let of = |sample: fn(&microtiming::TimeFeel) -> &Sample| {
                mean(between(solos, from_bpm, to).filter_map(|s| weighed(sample(&s.feel))))
            };
            Delay {
                from_bpm,
                of_eighths_ms: of(|feel| &feel.lag.eighths_on_beat_ms),
                of_notes_ms: of(|feel| &feel.lag.on_beat_ms),
            }
        });
        Self { swing: swing.collect(), delay: delay.collect() }
    }

    /// Four lines.
    pub fn lines(&self) -> String {
        let line = |what: &str, bands: Vec<(f64, Option<f64>)>, digits: usize| {
            let band = |(from, figure): (f64, Option<f64>)| {
                let figure = figure.map_or_else(|| "-".to_owned(), |f| format!("{f:.digits$}"));
                format!("  {from} {figure}")
            };
            format!("{what}, by tempo from:{}\n", bands.into_iter().map(band).collect::<String>())
        };
        let swing = |of: fn(&Swing) -> Option<f64>| {
            self.swing.iter().map(|band| (band.from_bpm, of(band))).collect()
        };
        let delay = |of: fn(&Delay) -> Option<f64>| {
            self.delay.iter().map(|band| (band.from_bpm, of(band))).collect()
        };
        line("median beat-upbeat ratio in swing", swing(|band| band.swing_feel), 2)
            + &line("median beat-upbeat ratio of all", swing(|band| band.all), 2)
            + &line("ms behind the beat, first of two eighths", delay(|band| band.of_eighths_ms), 0)
            + &line("ms behind the beat, all notes on it", delay(|band| band.of_notes_ms), 0)
    }
}

/// Each band's lowest tempo, and that of the next band.
fn bands(from: &[f64]) -> impl Iterator<Item = (f64, f64)> {
    let next = from.iter().skip(1).copied().chain([f64::INFINITY]);
    from.iter().copied().zip(next)
}

fn between(solos: &[Solo], from: f64, to: f64) -> impl Iterator<Item = &Solo> {
    solos.iter().filter(move |s| s.label.tempo_bpm.is_some_and(|bpm| (from..to).contains(&bpm)))
}

/// The weighted mean of figures.
fn mean(figures: impl Iterator<Item = (f64, u32)>) -> Option<f64> {
    let add = |(sum, of), (figure, weight)| (sum + figure * f64::from(weight), of + weight);
    let (sum, of) = figures.fold((0.0, 0), add);
    (of > 0).then(|| sum / f64::from(of))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_weighted() {
        assert_eq!(mean([(3.0, 1), (1.0, 3)].into_iter()), Some(1.5));
        assert_eq!(mean([(3.0, 0)].into_iter()), None);
    }

    #[test]
    fn bands_follow_each_other_and_the_last_has_no_end() {
        let bands: Vec<_> = bands(&[100.0, 140.0]).collect();
        assert_eq!(bands, [(100.0, 140.0), (140.0, f64::INFINITY)]);
    }
}
