//! The analysis of invented solos against their ground truth.

use super::test_files::{Files, perform};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use overbar_core::session::Session;
use overbar_core::stats::sample::Sample;
use overbar_core::take::settings::Settings;

fn take(file: &Files) -> TakeAnalysis {
    let midi = MidiFile::read(&file.midi).unwrap();
    let line = midi.line(Choice::default()).unwrap();
    let mut session = Session::new(Settings::default());
    midi.events(line).into_iter().for_each(|event| session.push(event));
    session.finish();
    let take = session.takes().last().unwrap();
    TakeAnalysis::of(take.performance.clone(), Settings::default())
}

/// How a solo was played, from the positions in its label: mean lag of the notes on a beat in milliseconds,
/// and the ratio from the mean position of upbeats between their beats.
fn played(file: &Files) -> (f64, f64) {
    let starts = file.indices("phrase_first_notes");
    let (mut lag, mut upbeat) = (Sample::default(), Sample::default());
    for note in 0..file.heard.len() {
        let [bar, beat, division, tatum] = file.place(note);
        if tatum != 1.0 {
            continue;
        }
        lag.push(file.late(note, 4.0, 1.0));
        let in_phrase = [1, 2].iter().all(|on| !starts.contains(&(note + on)));
        if division == 2.0 && in_phrase && note + 2 < file.heard.len() {
            let [_, beat_of_second, _, tatum_of_second] = file.place(note + 1);
            let [next_bar, next_beat, _, next_tatum] = file.place(note + 2);
            let beats_on = (next_bar - bar) * 4.0 + next_beat - beat;
            if (beat_of_second, tatum_of_second) == (beat, 2.0)
                && (beats_on, next_tatum) == (1.0, 1.0)
            {
                let [first, second, next] = [0, 1, 2].map(|on| f64::from(file.heard[note + on].on));
                upbeat.push((second - first) / (next - first));
            }
        }
    }
    let place = upbeat.mean().unwrap();
    (lag.mean().unwrap(), place / (1.0 - place))
}

/// Errors of the time feel: lag in milliseconds and the ratio, each against what was played, and lag against
/// the player's drawn lag.
struct Errors {
    lags: Vec<f64>,
    ratios: Vec<f64>,
    given: Vec<f64>,
}

impl Errors {
    fn of(line: &str) -> Self {
        let mut errors = Self { lags: Vec::new(), ratios: Vec::new(), given: Vec::new() };
        for file in &perform(line) {
            let feel = *take(file).feel();
            let (lag, ratio) = (feel.lag.on_beat_ms.mean().unwrap(), feel.swing.ratio().unwrap());
            let (played_lag, played_ratio) = played(file);
            errors.lags.push((lag - played_lag).abs());
            errors.ratios.push((ratio - played_ratio).abs());
            errors.given.push((lag - file.number("lag_ms")).abs());
        }
        errors
    }

    /// Mean errors of lag and ratio, and the shares of solos within 4 ms and .1.
    fn summary(&self) -> [f64; 4] {
        let within = |off: &[f64], max: f64| {
            off.iter().filter(|off| **off <= max).count() as f64 / off.len() as f64
        };
        [mean(&self.lags), mean(&self.ratios), within(&self.lags, 4.0), within(&self.ratios, 0.1)]
    }
}

fn mean(off: &[f64]) -> f64 {
    off.iter().sum::<f64>() / off.len() as f64
}

/// Lag to 4 ms and the beat-upbeat ratio to .1 in solos of 32 bars with a scatter of 20 ms: both on average,
/// and in most solos. The reference is what was played, because 75 notes with a scatter of 20 ms miss the
/// drawn lag by more than 4 ms in one solo of twelve; the mean lag is checked against that too.
#[test]
fn lag_and_swing_come_back_from_32_bars() {
    let errors = Errors::of("--solos 120 --bars 34 --tempo 60-300 --seed 404");
    let [lag, ratio, lags_near, ratios_near] = errors.summary();
    assert!(lag < 1.0 && ratio < 0.06 && mean(&errors.given) < 3.0, "{lag} ms, {ratio}");
    assert!(lags_near >= 0.95 && ratios_near >= 0.85, "{lags_near} {ratios_near}");
}

/// The same with timing that the analysis does not assume. The bounds are a little above the measured values:
/// 1.03 ms and .059, 93 % and 88 %.
#[test]
fn lag_and_swing_come_back_from_varied_timing() {
    let errors = Errors::of("--solos 300 --bars 34 --tempo 60-300 --seed 404 --timing varied");
    let [lag, ratio, lags_near, ratios_near] = errors.summary();
    assert!(lag < 1.5 && ratio < 0.075 && mean(&errors.given) < 3.5, "{lag} ms, {ratio}");
    assert!(lags_near >= 0.9 && ratios_near >= 0.85, "{lags_near} {ratios_near}");
}

/// The share of phrases starting on beat one, to two points on average.
#[test]
fn the_share_of_beat_one_comes_back() {
    let files = perform("--solos 40 --tempo 60-300 --seed 405");
    let mut off = 0.0;
    for file in &files {
        let take = take(file);
        let phrases = take.phrases();
        let starts = file.indices("phrase_first_notes");
        let truly = starts.iter().filter(|note| {
            let [_, beat, _, tatum] = file.place(**note);
            (beat, tatum) == (1.0, 1.0)
        });
        let share = |part: usize, whole: usize| part as f64 / whole as f64 * 100.0;
        let on_one = |phrase: &&Phrase| phrase.entry.class == PositionClass::One;
        let heard = phrases.iter().filter(on_one).count();
        off += (share(heard, phrases.len()) - share(truly.count(), starts.len())).abs();
    }
    let mean = off / files.len() as f64;
    assert!(mean < 2.0, "{mean} points");
}
