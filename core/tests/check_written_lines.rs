//! Lines that invented soloists play with a person's timing come back on paper as they were written.

#![expect(clippy::unwrap_used, reason = "a test says what it expects by panicking")]

use fastrand::Rng;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::note::{Note, Oddities};
use overbar_core::input::pairing::NoteLine;
use overbar_core::output::notation::{QUARTER, WritingOptions, written};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, Tempo};
use overbar_testkit::soloist::line::{Page, write};
use overbar_testkit::soloist::{
    Bar, Clock, Gate, Manner, RESOLUTION, Sound, Timing, chance, play, within,
};
use std::collections::BTreeMap;

const LINES: u32 = 200;
const BARS: u32 = 64;

/// A line at one tempo, as it was meant and as a person plays it. Two lines in three swing, at ratios up to
/// 2.5. On beats notes are from 10 ms ahead to 40 ms late, off them to 30 ms; both wander by up to 10 ms, and
/// each note scatters by 10 to 15 ms. Own values: a plausible spread, no source.
fn played(tempo: f64, random: &mut Rng) -> Vec<Sound> {
    let swing = if chance(1.0 / 3.0, random) { 1.0 } else { within(&(1.0..=2.5), random) };
    let page = Page { bar: Bar::COMMON, bars: BARS, tempo, swings: swing > 1.0 };
    let line = write(page, random);
    let beat = 60_000.0 / tempo;
    let max = 0.125 * beat;
    let lag = within(&(-10.0..=40.0), random);
    let off = within(&(-10.0..=30.0), random);
    let timing = Timing {
        off_beat_lag: off.clamp(lag - max, lag + max),
        wander: within(&(0.0..=10.0), random).min(0.05 * beat),
        wander_from: random.f64(),
        ..Timing::simple(lag, within(&(10.0..=15.0), random), swing)
    };
    let manner = Manner {
        tempos: vec![tempo; BARS as usize],
        timing,
        gate: Gate::Natural,
        missed_offs: 0.0,
    };
    let clock = Clock { bar: Bar::COMMON, tempos: &manner.tempos };
    play(&line, clock, &manner, random)
}

fn analysed(sounds: &[Sound], tempo: f64) -> TakeAnalysis {
    let quarters = |tick: u32| f64::from(tick) / f64::from(RESOLUTION);
    let moment = |tick: u32| {
        let beat = quarters(tick);
        Moment { beat: Beat(beat), second: Second(beat * 60.0 / tempo) }
    };
    let note = |sound: &Sound| Note {
        on: moment(sound.on),
        off: sound.off.map(moment),
        key: sound.key,
        channel: 0,
        velocity: f32::from(sound.velocity) / 127.0,
    };
    let mut take = Performance::new(MetreMap::new(Metre::COMMON));
    take.tempo.push(Knot {
        second: Second(0.0),
        beat: Beat(0.0),
        tempo: Tempo::new(tempo).unwrap(),
    });
    take.soloist = NoteLine::of(sounds.iter().map(note).collect(), Oddities::default());
    TakeAnalysis::of(take, Settings::default())
}

type Bars = BTreeMap<i64, Vec<(usize, u32)>>;

fn meant(sounds: &[Sound]) -> Bars {
    let mut bars = Bars::new();
    for (index, sound) in sounds.iter().enumerate() {
        let note = sound.meant.unwrap();
        let at =
            note.beat % 4 * QUARTER + u32::from(note.step) * QUARTER / u32::from(note.division);
        bars.entry(i64::from(note.beat / 4) + 1).or_default().push((index, at));
    }
    bars
}

fn on_paper(take: &TakeAnalysis) -> Bars {
    let paper = written(take, None, WritingOptions::default());
    let mut bars = Bars::new();
    for bar in &paper.bars {
        for sign in &bar.signs {
            let Some(note) = sign.note.filter(|note| !note.tied_from) else { continue };
            let note = take.context().line.get(note.onset).unwrap().note;
            bars.entry(bar.number).or_default().push((note, sign.at));
        }
    }
    bars
}

/// Shares of bars whose notes all start where they were written, and no others: of lines below 200 beats a
/// minute, and above.
fn shares(seed: u64) -> (f64, f64) {
    let (mut below, mut above) = ((0, 0), (0, 0));
    for index in 0..LINES {
        let tempo = 60.0 + 220.0 * f64::from(index) / f64::from(LINES - 1);
        let mut random = Rng::with_seed(100_000 * seed + u64::from(index));
        let sounds = played(tempo, &mut random);
        let (meant, paper) = (meant(&sounds), on_paper(&analysed(&sounds, tempo)));
        let (same, all) = if tempo < 200.0 { &mut below } else { &mut above };
        for (bar, notes) in &meant {
            *same += i32::from(paper.get(bar) == Some(notes));
            *all += 1;
        }
    }
    let share = |(same, all): (i32, i32)| f64::from(same) / f64::from(all);
    (share(below), share(above))
}

/// Seeds 1 and 2 served to fit how steady players are read; these did not.
#[test]
fn lines_in_human_timing_come_back() {
    let found: Vec<(f64, f64)> = (3..6).map(shares).collect();
    let count = f64::from(u32::try_from(found.len()).unwrap());
    let (slow, fast) = found.iter().fold((0.0, 0.0), |sum, now| (sum.0 + now.0, sum.1 + now.1));
    assert!(slow / count >= 0.97, "below 200: {found:?}");
    assert!(fast / count >= 0.90, "above 200: {found:?}");
}
