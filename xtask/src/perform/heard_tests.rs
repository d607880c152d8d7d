//! What the program hears in invented solos against their truth.

use super::test_files::{Files, perform};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use overbar_core::session::Session;
use overbar_core::settings::Settings;

fn take(file: &Files) -> TakeAnalysis {
    let midi = MidiFile::read(&file.midi).unwrap();
    let line = midi.line(Choice::default()).unwrap();
    let mut session = Session::new(Settings::default());
    midi.events(line).into_iter().for_each(|event| session.push(event));
    session.finish();
    let take = session.takes().last().unwrap();
    TakeAnalysis::of(take.performance.clone(), Settings::default())
}

/// Lag to 4 ms and the swing ratio to .1 in solos of 32 bars with a scatter of 20 ms: each in
/// the mean, and both in most solos. Some fifty notes on a beat and as many off it tell a lag to
/// 2 ms, and a ratio of 3 at 300 beats a minute to .1.
#[test]
fn lag_and_swing_come_back_from_32_bars() {
    let files = perform("--solos 60 --bars 34 --tempo 60-300 --seed 404");
    let mut off = Vec::new();
    for file in &files {
        let feel = take(file).feel().take;
        let lag = (feel.lag.on_beat_ms.mean().unwrap() - file.number("lag_ms")).abs();
        let swing = (feel.swing.median_ratio().unwrap() - file.number("swing_ratio")).abs();
        off.push((lag, swing));
    }
    let of = off.len() as f64;
    let mean = |part: fn(&(f64, f64)) -> f64| off.iter().map(part).sum::<f64>() / of;
    let (lag, swing) = (mean(|off| off.0), mean(|off| off.1));
    assert!(lag < 4.0 && swing < 0.1, "{lag} ms, {swing}");
    let within = |near: fn(&&(f64, f64)) -> bool| off.iter().filter(near).count() as f64;
    assert!(within(|off| off.0 <= 4.0) >= 0.9 * of, "{off:?}");
    assert!(within(|off| off.1 <= 0.1) >= 0.85 * of, "{off:?}");
}

/// The share of a solo's phrases that come in on beat one, to two points in the mean.
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
