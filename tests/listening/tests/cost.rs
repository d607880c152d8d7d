//! What a note tracker holds in memory, and that it makes none once it is set up.

#[path = "../../tests/memory/counting.rs"]
#[expect(dead_code, reason = "the whole process is not looked at here")]
mod counting;

use overbar_core::transcription::{NoteTracker, TrackerSettings};

/// Most that a tracker may hold. With the queue of an instance's sound, whose size `plugin/src/audio/sound.rs`
/// holds to 1.2 MB, listening takes less than 2 MB.
const MOST_BYTES: usize = 3 << 18;

/// A second of a tone that begins anew four times.
fn tone(rate: u32) -> Vec<f32> {
    let at = |index: u32| f64::from(index) / f64::from(rate);
    let wave = |now: f64| (now * 440.0 * std::f64::consts::TAU).sin() * (1.0 - now * 4.0 % 1.0);
    (0..rate).map(|index| (0.3 * wave(at(index))) as f32).collect()
}

/// One after the other, as all are measured in the same process.
#[test]
fn a_tracker_is_small_and_allocates_nothing_once_set_up() {
    for rate in [44_100, 48_000, 96_000, 192_000, 191_999] {
        let samples = tone(rate);
        let before = counting::now();
        counting::begin();
        let mut tracker = NoteTracker::new(rate, TrackerSettings::default()).unwrap();
        let held = counting::most() - before;
        assert!(held <= MOST_BYTES, "{held} bytes at {rate} Hz");
        let set_up = counting::now();
        counting::begin();
        let mut told = 0;
        tracker.push(&samples, |_| told += 1);
        tracker.finish(|_| told += 1);
        assert_eq!(counting::most(), set_up, "memory was made at {rate} Hz");
        assert_eq!(counting::now(), set_up, "memory was freed at {rate} Hz");
        assert!(told >= 12, "{told} events of four notes at {rate} Hz");
    }
}
