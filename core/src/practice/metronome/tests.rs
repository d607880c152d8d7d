//! Clicks, to the sample.

use super::{Block, ClickPattern, Clicks, LOUDEST, Metronome};
use crate::take::settings::Pulse;
use crate::time::metre::Metre;
use crate::time::{Beat, Tempo};
use proptest::prelude::*;

const RATE: f64 = 48_000.0;

/// A stretch of a song: a number of samples at a tempo, in a metre.
#[derive(Debug, Clone, Copy)]
struct Piece {
    samples: usize,
    tempo: f64,
    metre: (i32, i32),
}

fn clicks(pattern: ClickPattern) -> Clicks {
    Clicks { pattern, count_in: 0, level: 0.5, beat_one_offset: 0, pulse: Pulse::Host }
}

/// Plays a song from a beat on. `block` gives the length of each block, which ends where a piece ends;
/// `wander` gives the error of the host's position there.
fn play(
    clicks: &Clicks,
    song: &[Piece],
    from: f64,
    mut block: impl FnMut() -> usize,
    mut wander: impl FnMut() -> f64,
) -> Vec<f32> {
    let mut metronome = Metronome::default();
    let mut out = Vec::new();
    let mut beat = from;
    for piece in song {
        let tempo = Tempo::new(piece.tempo).unwrap();
        let metre = Metre::new(piece.metre.0, piece.metre.1).unwrap();
        let mut done = 0;
        while done < piece.samples {
            let frames = block().clamp(1, piece.samples - done);
            let at = beat + done as f64 / RATE * piece.tempo / 60.0 + wander();
            let transport = Block { beat: Beat(at), tempo, metre, sample_rate: RATE };
            let mut samples = vec![f32::NAN; frames];
            metronome.render(Some(clicks), Some(&transport), &mut samples);
            out.extend(samples);
            done += frames;
        }
        beat += piece.samples as f64 / RATE * piece.tempo / 60.0;
    }
    out
}

/// Where clicks start. A click's first sample is 0, so it is the one before the first sound after silence.
fn starts(out: &[f32]) -> Vec<usize> {
    let mut silent = 200;
    let mut starts = Vec::new();
    for (at, sample) in out.iter().enumerate() {
        if *sample == 0.0 {
            silent += 1;
        } else {
            starts.extend((silent > 200).then_some(at - 1));
            silent = 0;
        }
    }
    starts
}

fn steady(samples: usize, tempo: f64, metre: (i32, i32)) -> [Piece; 1] {
    [Piece { samples, tempo, metre }]
}

#[test]
fn each_pattern_clicks_at_its_samples() {
    // At 120 a beat lasts 24,000 samples.
    let beats = |pattern: ClickPattern, metre: (i32, i32)| -> Vec<f64> {
        let song = steady(8 * 24_000, 120.0, metre);
        let out = play(&clicks(pattern), &song, 0.0, || 512, || 0.0);
        starts(&out).iter().map(|at| *at as f64 / 24_000.0).collect()
    };
    let target = |name: &str| ClickPattern::Target(name.parse().unwrap());
    let all: Vec<f64> = (0..8).map(f64::from).collect();
    assert_eq!(beats(ClickPattern::AllBeats, (4, 4)), all);
    assert_eq!(beats(ClickPattern::TwoAndFour, (4, 4)), [1.0, 3.0, 5.0, 7.0]);
    assert_eq!(beats(ClickPattern::TwoAndFour, (3, 4)), [1.0, 4.0, 7.0]);
    assert_eq!(beats(ClickPattern::OneBarInTwo, (4, 4)), [0.0, 1.0, 2.0, 3.0]);
    assert_eq!(beats(ClickPattern::OneBarInTwo, (3, 4)), [0.0, 1.0, 2.0, 6.0, 7.0]);
    assert_eq!(beats(target("4&"), (4, 4)), [3.5, 7.5]);
    assert_eq!(beats(target("1"), (4, 4)), [0.0, 4.0]);
    assert_eq!(beats(target("4&"), (3, 4)), [0.0; 0]);
    assert_eq!(beats(ClickPattern::AllBeats, (6, 8)), [0.0, 1.5, 3.0, 4.5, 6.0, 7.5]);
}

#[test]
fn clicks_are_on_the_felt_beat() {
    let beats = |pulse: Pulse, pattern: ClickPattern, metre: (i32, i32)| -> Vec<f64> {
        let clicks = Clicks { pulse, ..clicks(pattern) };
        let out = play(&clicks, &steady(6 * 24_000, 120.0, metre), 0.0, || 512, || 0.0);
        starts(&out).iter().map(|at| *at as f64 / 24_000.0).collect()
    };
    let target = |name: &str| ClickPattern::Target(name.parse().unwrap());
    assert_eq!(beats(Pulse::Half, ClickPattern::AllBeats, (4, 4)), [0.0, 2.0, 4.0]);
    assert_eq!(beats(Pulse::Half, ClickPattern::TwoAndFour, (4, 4)), [2.0]);
    assert_eq!(beats(Pulse::Half, target("2&"), (4, 4)), [3.0]);
    assert_eq!(beats(Pulse::Half, target("2"), (12, 8)), [3.0]);
    assert_eq!(
        beats(Pulse::Double, ClickPattern::TwoAndFour, (4, 4)),
        [0.5, 1.5, 2.5, 3.5, 4.5, 5.5]
    );
    assert_eq!(beats(Pulse::Double, target("4&"), (4, 4)), [1.75, 5.75]);
    assert_eq!(beats(Pulse::Double, target("4&"), (12, 8)), [1.75]);
}

#[test]
fn beat_one_is_higher_and_the_level_is_kept() {
    let out =
        play(&clicks(ClickPattern::AllBeats), &steady(48_000, 120.0, (4, 4)), 0.0, || 64, || 0.0);
    // Changes of sign in the first 20 ms: two a period.
    let signs = |from: usize| {
        let click = &out[from..from + 960];
        click.windows(2).filter(|pair| pair[0] * pair[1] < 0.0).count()
    };
    assert!((68..=71).contains(&signs(0)), "{}", signs(0));
    assert!((50..=53).contains(&signs(24_000)), "{}", signs(24_000));
    let loudest = out.iter().fold(0.0_f32, |max, sample| max.max(sample.abs()));
    assert!(loudest <= 0.5 * LOUDEST && loudest > 0.4 * LOUDEST, "{loudest}");
    for (level, max) in [(0.0, 0.0), (f32::NAN, 0.0), (-1.0, 0.0), (9.0, LOUDEST)] {
        let clicks = Clicks { level, ..clicks(ClickPattern::AllBeats) };
        let out = play(&clicks, &steady(9_000, 120.0, (4, 4)), 0.0, || 64, || 0.0);
        assert!(out.iter().all(|sample| sample.abs() <= max), "{level}");
    }
}

#[test]
fn the_count_in_clicks_every_beat_of_its_bars() {
    let clicks = Clicks { count_in: 1, ..clicks(ClickPattern::TwoAndFour) };
    let song = steady(9 * 24_000, 120.0, (4, 4));
    let beats = |from: f64| -> Vec<f64> {
        let out = play(&clicks, &song, from, || 333, || 0.0);
        starts(&out).iter().map(|at| from + *at as f64 / 24_000.0).collect()
    };
    assert_eq!(beats(0.0), [0.0, 1.0, 2.0, 3.0, 5.0, 7.0]);
    // From the middle of a bar: the rest of it, and a whole one.
    assert_eq!(beats(-2.0), [-2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 5.0]);
}

#[test]
fn a_change_of_metre_moves_the_bar_line_and_the_player_may_set_beat_one() {
    let song = [
        Piece { samples: 7 * 24_000, tempo: 120.0, metre: (7, 4) },
        Piece { samples: 6 * 24_000, tempo: 120.0, metre: (3, 4) },
        Piece { samples: 8 * 24_000, tempo: 120.0, metre: (4, 4) },
    ];
    let one = clicks(ClickPattern::Target("1".parse().unwrap()));
    let beats = |clicks: &Clicks| -> Vec<usize> {
        let out = play(clicks, &song, 0.0, || 100, || 0.0);
        starts(&out).iter().map(|at| at / 24_000).collect()
    };
    assert_eq!(beats(&one), [0, 7, 10, 13, 17]);
    let song = steady(8 * 24_000, 120.0, (4, 4));
    let shifted = Clicks { beat_one_offset: 2, ..one };
    let out = play(&shifted, &song, 0.0, || 100, || 0.0);
    assert_eq!(starts(&out), [2 * 24_000, 6 * 24_000]);
}

#[test]
fn a_stop_a_jump_and_invalid_blocks() {
    let mut metronome = Metronome::default();
    let clicks = clicks(ClickPattern::AllBeats);
    let block = Block {
        beat: Beat(0.0),
        tempo: Tempo::new(120.0).unwrap(),
        metre: Metre::COMMON,
        sample_rate: RATE,
    };
    let mut render = |clicks: Option<&Clicks>, block: Option<&Block>| {
        let mut out = [f32::NAN; 100];
        metronome.render(clicks, block, &mut out);
        assert!(out.iter().all(|sample| sample.is_finite()));
        out.iter().any(|sample| *sample != 0.0)
    };
    let at = |beat: f64| Block { beat: Beat(beat), ..block };
    assert!(render(Some(&clicks), Some(&block)));
    // A ringing click stops at once.
    assert!(!render(Some(&clicks), None));
    assert!(!render(Some(&clicks), Some(&at(0.3))));
    assert!(render(Some(&clicks), Some(&at(8.0))));
    // Playing, but the position stands still.
    assert!(!render(Some(&clicks), Some(&at(8.0))));
    assert!(!render(None, Some(&at(9.0))));
    assert!(!render(Some(&clicks), Some(&at(f64::NAN))));
    assert!(!render(Some(&clicks), Some(&at(1e300))));
    assert!(!render(Some(&clicks), Some(&Block { sample_rate: 0.0, ..block })));
    render(Some(&clicks), Some(&Block { sample_rate: 1.0, ..block }));
    render(None, None);
    let ones = Clicks { pattern: ClickPattern::Target("1".parse().unwrap()), ..clicks };
    for (beat, sounds) in [(5.0, false), (8.0, true), (6.0, false), (-4.0, true)] {
        assert_eq!(render(Some(&ones), Some(&at(beat))), sounds, "{beat}");
        render(None, None);
    }
}

/// A tempo ramp as a host plays it, one tempo per block of 64: from 90 to 180 BPM in eight beats. The sum
/// of the blocks gives each beat.
#[test]
fn clicks_follow_a_tempo_ramp() {
    let mut metronome = Metronome::default();
    let (mut beat, mut out, mut due) = (0.0, Vec::new(), Vec::new());
    while beat < 8.0 {
        let tempo = 90.0 + 90.0 * beat / 8.0;
        let block = Block {
            beat: Beat(beat),
            tempo: Tempo::new(tempo).unwrap(),
            metre: Metre::COMMON,
            sample_rate: RATE,
        };
        let behind: f64 = beat + 64.0 / RATE * tempo / 60.0;
        if behind.ceil() > beat.ceil() || beat == 0.0 {
            due.push(out.len() as f64 + (beat.ceil() - beat) * 60.0 / tempo * RATE);
        }
        let mut samples = [0.0; 64];
        metronome.render(Some(&clicks(ClickPattern::AllBeats)), Some(&block), &mut samples);
        out.extend(samples);
        beat = behind;
    }
    let starts = starts(&out);
    assert_eq!(starts.len(), due.len());
    for (start, due) in starts.iter().zip(due) {
        assert!((*start as f64 - due).abs() <= 0.5 + 1e-4, "{start} of {due}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_block_size_gives_the_same_samples(
        seed in any::<u64>(),
        tempos in prop::collection::vec((1_000..60_000_usize, 40.0..300.0), 1..5),
        from in -8.0..8.0,
        which in 0..5_usize,
        longest in prop::sample::select(vec![1, 16, 441, 4_096]),
        count_in in 0..2_u8,
    ) {
        let pattern = [
            ClickPattern::AllBeats,
            ClickPattern::TwoAndFour,
            ClickPattern::OneBarInTwo,
            ClickPattern::Target("4&".parse().unwrap()),
            ClickPattern::Target("2t3".parse().unwrap()),
        ][which];
        let clicks = Clicks { count_in, ..clicks(pattern) };
        let song: Vec<Piece> = tempos
            .into_iter()
            .map(|(samples, tempo)| Piece { samples, tempo, metre: (4, 4) })
            .collect();
        let mut random = fastrand::Rng::with_seed(seed);
        let once = play(&clicks, &song, from, || usize::MAX, || 0.0);
        let cut = play(&clicks, &song, from, || random.usize(1..=longest), || 0.0);
        prop_assert!(once == cut);
    }

    #[test]
    fn a_jittering_position_loses_and_doubles_no_click(
        seed in any::<u64>(),
        tempo in 40.0..300.0,
        block in prop::sample::select(vec![32_usize, 64, 441, 1_024]),
    ) {
        let clicks = clicks(ClickPattern::AllBeats);
        // Ends midway between beats: otherwise jitter could move the last click past the end.
        let beats = f64::floor(tempo / 6.0);
        let song = steady((beats * 60.0 / tempo * RATE) as usize, tempo, (4, 4));
        let mut random = fastrand::Rng::with_seed(seed);
        let exact = starts(&play(&clicks, &song, -0.5, || block, || 0.0));
        let wander = || (random.f64() - 0.5) * 0.0004;
        let heard = starts(&play(&clicks, &song, -0.5, || block, wander));
        prop_assert_eq!((heard.len(), exact.len()), (beats as usize, beats as usize));
        let max = 0.0004 * 60.0 / tempo * RATE + 1.0;
        for (heard, exact) in heard.iter().zip(&exact) {
            prop_assert!(heard.abs_diff(*exact) as f64 <= max, "{} {}", heard, exact);
        }
    }
}
