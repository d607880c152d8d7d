//! What a note tracker and a follower of a band hold in memory, and that they make none once they are set up.

#[path = "../../tests/memory/counting.rs"]
#[expect(dead_code, reason = "only this thread is looked at here")]
mod counting;

use overbar_core::grid::PulseNumber;
use overbar_core::grid::band::{BandCountIn, BandFollower, BandHearing, BandTake, Hop, KnownBeat};
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_core::transcription::{BandSamples, NoteTracker, TrackerSettings};
use overbar_testkit::band::{Plays, band, beats};
use std::time::Instant;

/// Most that a tracker may hold, beside a band. With the queue of an instance's sound, whose size `plugin/src/audio/sound.rs`
/// holds to 1.2 MB, listening takes less than 2 MB.
const MAX_BYTES: isize = 3 << 18;

/// A second of a tone that begins anew four times.
fn tone(rate: u32) -> Vec<f32> {
    let at = |index: u32| f64::from(index) / f64::from(rate);
    let wave = |now: f64| (now * 440.0 * std::f64::consts::TAU).sin() * (1.0 - now * 4.0 % 1.0);
    (0..rate).map(|index| (0.3 * wave(at(index))) as f32).collect()
}

/// One after the other, as all are measured in the same process.
#[test]
fn both_are_small_and_allocate_nothing_once_set_up() {
    tracker_is_small();
    follower_is_small();
    band_is_cheap();
    tracker_beside_a_band_is_cheap();
}

fn tracker_is_small() {
    for rate in [44_100, 48_000, 96_000, 192_000, 191_999] {
        let samples = tone(rate);
        let before = counting::of_this_thread();
        let mut tracker = NoteTracker::beside_band(rate, TrackerSettings::default()).unwrap();
        let set_up = counting::of_this_thread();
        let held = set_up.bytes - before.bytes;
        assert!((1..=MAX_BYTES).contains(&held), "{held} bytes at {rate} Hz");
        let mut reported = 0;
        let mut band = samples.iter().copied().cycle();
        tracker.push_beside(&samples, &mut band, |_| reported += 1);
        tracker.finish(|_| reported += 1);
        assert_eq!(
            counting::of_this_thread(),
            set_up,
            "memory was allocated or freed at {rate} Hz"
        );
        assert!(reported >= 12, "{reported} events of four notes at {rate} Hz");
    }
}

/// Bytes that hearing and following a band may allocate.
const MAX_BAND_BYTES: isize = 1 << 20;

fn follower_is_small() {
    let truth = beats(0.0, 0.5, 1.0, 9);
    for rate in [44_100, 48_000, 192_000] {
        let samples = band(&truth, rate, |_| Plays::Time);
        let count_in = BandCountIn::at(Second(0.0), SecondSpan(0.5), Metre::COMMON).unwrap();
        let before = counting::of_this_thread();
        let mut hearing = BandHearing::new(rate).unwrap();
        let mut follower = BandFollower::new(count_in, hearing.first_hop());
        let set_up = counting::of_this_thread();
        let held = set_up.bytes - before.bytes;
        assert!((1..=MAX_BAND_BYTES).contains(&held), "{held} bytes at {rate} Hz");
        let mut reported = 0;
        hearing.push(&samples, |hop| follower.hear(hop, |_| reported += 1));
        follower.observe(KnownBeat { at: Second(4.0), pulse: Some(PulseNumber(8)) });
        assert_eq!(
            counting::of_this_thread(),
            set_up,
            "memory was allocated or freed at {rate} Hz"
        );
        assert!(reported >= 8, "{reported} of nine beats at {rate} Hz");
    }
}

/// The share of a core for tracking a band live, or for a note tracker beside it; the seconds to process an hour again; and
/// the runs, of which the best counts, because other programs may run. A debug build is exempt.
const MAX_CORE_SHARE: f64 = 0.015;
const AN_HOUR_WITHIN: f64 = 5.0;
const RUNS: usize = 5;

fn band_is_cheap() {
    const RATE: u32 = 48_000;
    const MINUTE: f64 = 60.0;
    for period in [0.25, 0.5, 1.0] {
        let truth = beats(0.0, period, 1.0, (MINUTE / period) as usize);
        let samples = band(&truth, RATE, |_| Plays::Time);
        let count_in = BandCountIn::at(Second(0.0), SecondSpan(period), Metre::COMMON).unwrap();
        let (mut live, mut hour) = (f64::INFINITY, f64::INFINITY);
        for _ in 0..RUNS {
            let mut hearing = BandHearing::new(RATE).unwrap();
            let first = hearing.first_hop();
            let mut follower = BandFollower::new(count_in, first);
            let mut hops: Vec<Hop> = Vec::new();
            let begun = Instant::now();
            hearing.push(&samples, |hop| {
                follower.hear(hop, |_| {});
                hops.push(hop);
            });
            live = live.min(begun.elapsed().as_secs_f64() / MINUTE);
            let begun = Instant::now();
            let found = BandTake::new(count_in, first, &hops).beats(&[]).len();
            hour = hour.min(begun.elapsed().as_secs_f64() * 60.0);
            assert!(found >= truth.len() - 1, "{found} beats of {}", truth.len());
        }
        let share = live * 100.0;
        let is_held = !cfg!(debug_assertions);
        assert!(!is_held || live <= MAX_CORE_SHARE, "{period} s a beat: {share:.2} % of a core");
        assert!(!is_held || hour <= AN_HOUR_WITHIN, "{period} s a beat: an hour in {hour:.2} s");
    }
}

fn tracker_beside_a_band_is_cheap() {
    const RATE: u32 = 48_000;
    const MINUTE: f64 = 60.0;
    let truth = beats(0.0, 0.5, 1.0, (MINUTE / 0.5) as usize);
    let samples = band(&truth, RATE, |_| Plays::Time);
    let solo: Vec<f32> = tone(RATE).into_iter().cycle().take(samples.len()).collect();
    let live = (0..RUNS).map(|_| {
        let mut tracker = NoteTracker::beside_band(RATE, TrackerSettings::default()).unwrap();
        let mut band = BandSamples::new(RATE).unwrap();
        let begun = Instant::now();
        let mut beside = Vec::new();
        for (solo, samples) in solo.chunks(128).zip(samples.chunks(128)) {
            beside.clear();
            band.push(samples, |sample| beside.push(sample));
            tracker.push_beside(solo, &mut beside.iter().copied(), |_| {});
        }
        begun.elapsed().as_secs_f64() / MINUTE
    });
    let live = live.fold(f64::INFINITY, f64::min);
    let is_held = !cfg!(debug_assertions);
    assert!(!is_held || live <= MAX_CORE_SHARE, "{:.2} % of a core", live * 100.0);
}
