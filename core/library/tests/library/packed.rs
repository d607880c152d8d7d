//! Packing is lossless, small and fast; and invalid bytes do no harm.

use crate::invented::{Host, take};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::follower::follow;
use overbar_core::input::note::Note;
use overbar_core::phrase::Phrase;
use overbar_core::quantization::MetricalPosition;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_library::chunks::{ChunkKind, ChunkReader};
use overbar_library::delta::DeltaTracker;
use overbar_library::packed::{GRAIN, PackError, pack, unpack};
use overbar_testkit::time::within;
use proptest::prelude::*;
use std::time::Duration;

fn phrases(take: &Performance) -> Vec<Phrase> {
    TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec()
}

fn hosts() -> impl Strategy<Value = Host> {
    let rates = prop::sample::select(vec![44_100.0, 48_000.0, 96_000.0, 192_000.0]);
    let blocks = prop::sample::select(vec![16, 64, 480, 512, 2_048]);
    let tempos = (40.0..300.0_f64, 40.0..300.0_f64);
    let metres = prop::sample::select(vec![(4, 4), (3, 4), (6, 8), (7, 8)]);
    (rates, blocks, tempos, (metres.clone(), metres))
        .prop_map(|(rate, block, tempos, metres)| Host { rate, block, ticks: 0.0, tempos, metres })
}

fn same(one: &Performance, other: &Performance) -> bool {
    one.soloist.notes() == other.soloist.notes()
        && one.soloist.oddities() == other.soloist.oddities()
        && one.ignored.notes() == other.ignored.notes()
        && one.tempo == other.tempo
        && one.metres == other.metres
        && one.own_grid == other.own_grid
        && one.pieces == other.pieces
}

/// A take on its own beat grid, from taps that are off by a few milliseconds.
pub fn on_its_own_grid() -> Performance {
    let mut take = take(Host::STEADY, 800, 4.0, 7);
    let (from, to) = take.span().unwrap();
    let mut dice = fastrand::Rng::with_seed(7);
    let times = std::iter::successors(Some(from.0), |at| Some(at + 0.43 + 0.02 * dice.f64()));
    let taps = times.take_while(|at| *at < to.0).map(Second);
    let grid = follow(taps, Metre::COMMON, SecondSpan(0.0)).anchors();
    take.set_grid(Some(&grid.unwrap()));
    take
}

#[test]
fn a_take_on_its_own_grid_keeps_its_anchors() {
    let before = on_its_own_grid();
    let after = unpack(&pack(&before)).unwrap();
    assert_eq!(after.own_grid, before.own_grid);
    assert_eq!(phrases(&after).len(), phrases(&before).len());
    for (one, other) in before.soloist.notes().iter().zip(after.soloist.notes()) {
        assert_eq!(one.on.second, other.on.second);
        assert!((one.on.beat.0 - other.on.beat.0).abs() <= GRAIN);
    }
    // An older Overbar reads takes on the host's grid, and reports the others as newer.
    assert_eq!(pack(&before).get(4), Some(&2));
    let mut host = before.clone();
    host.set_grid(None);
    assert_eq!(pack(&host).get(4), Some(&1));
    // Invalid anchors are an error.
    for cut in [1, 10, 100] {
        let packed = pack(&before);
        assert!(unpack(&packed[..packed.len() - cut]).is_err());
    }
}

#[test]
fn a_take_on_its_own_grid_is_recorded_with_its_anchors() {
    let before = on_its_own_grid();
    let mut host = before.clone();
    host.set_grid(None);
    let mut tracker = DeltaTracker::default();
    let mut chunks = tracker.next(&host).unwrap().chunks;
    assert!(chunks.iter().all(|chunk| chunk.kind != ChunkKind::OwnGrid));
    // The grid arrives at the end, and may be removed again.
    for take in [&before, &host, &before] {
        for new in tracker.next(take).unwrap().chunks {
            chunks.retain(|old| (old.kind, old.number) != (new.kind, new.number));
            chunks.push(new);
        }
        assert_eq!(tracker.next(take), None);
        chunks.sort_by_key(|chunk| (chunk.kind, chunk.number));
        let mut reader = ChunkReader::default();
        for chunk in &chunks {
            reader.add(chunk.kind.number(), &chunk.bytes).unwrap();
        }
        assert_eq!(reader.finish().unwrap().own_grid, take.own_grid);
    }
}

/// A take of a host whose positions are rounded, packed and unpacked.
fn to_a_grain(host: Host, notes: usize, a_second: f64, seed: u64) -> Result<(), TestCaseError> {
    let before = take(Host { ticks: 1_920.0, ..host }, notes, a_second, seed);
    let after = unpack(&pack(&before)).unwrap();
    let beats = |n: &Note| [n.on.beat.0, n.off.map_or(0.0, |off| off.beat.0)];
    let seconds = |n: &Note| (n.on.second, n.off.map(|off| off.second));
    for (one, other) in before.soloist.notes().iter().zip(after.soloist.notes()) {
        prop_assert_eq!(seconds(one), seconds(other));
        for (one, other) in beats(one).iter().zip(beats(other)) {
            prop_assert!((one - other).abs() <= GRAIN / 2.0);
        }
    }
    let (before, after) = (phrases(&before), phrases(&after));
    prop_assert_eq!(before.len(), after.len());
    // A duration or position may lie within a grain of the boundary between two readings, so that either
    // is right. The reading also informs the estimate of the player, so another one near a boundary may
    // change with it; by chance this does not affect more than one phrase in twenty.
    let mut read_otherwise = 0;
    for (one, other) in before.iter().zip(&after) {
        prop_assert_eq!((one.first_note, one.last_note), (other.first_note, other.last_note));
        prop_assert_eq!(one.seconds, other.seconds);
        let read = |phrase: &Phrase| {
            let place = |at: &MetricalPosition| (at.bar, at.pulse, at.subdivision, at.class);
            (phrase.subdivision, place(&phrase.entry), place(&phrase.exit))
        };
        read_otherwise += usize::from(read(one) != read(other));
        let apart = (one.beats - other.beats).0.abs();
        prop_assert!(apart <= GRAIN);
        if read(one) == read(other) {
            for (one, other) in [(one.entry, other.entry), (one.exit, other.exit)] {
                prop_assert!((one.played - other.played).abs() <= GRAIN);
            }
        }
    }
    let max = before.len().div_ceil(20).max(2);
    prop_assert!(read_otherwise <= max, "{read_otherwise} of {} phrases", before.len());
    Ok(())
}

/// Has a duration on the boundary between two note values.
#[test]
fn a_take_with_an_ambiguous_duration_is_kept_to_a_grain() {
    let host =
        Host { rate: 96_000.0, block: 480, tempos: (171.435_473_058_065_36, 40.0), ..Host::STEADY };
    to_a_grain(host, 58, 8.627_636_615_385_038, 1_535_818_757_120_490_005).unwrap();
}

/// Has a position on a boundary, which changes another with it.
#[test]
fn a_take_with_two_ambiguous_positions_is_kept_to_a_grain() {
    let host = Host {
        rate: 192_000.0,
        block: 16,
        tempos: (220.351_552_906_330_2, 140.280_106_658_031_9),
        metres: ((7, 8), (4, 4)),
        ..Host::STEADY
    };
    to_a_grain(host, 318, 11.611_610_170_894_027, 13_177_454_431_713_423_323).unwrap();
}

/// Its attack also lies on the grid of 48 kHz, its end does not.
#[test]
fn the_only_note_of_a_take_at_96_khz_is_exact() {
    let host = Host { rate: 96_000.0, block: 16, tempos: (40.0, 40.0), ..Host::STEADY };
    let before = take(host, 1, 1.0, 340_701_426_857_491_828);
    assert_eq!(unpack(&pack(&before)).unwrap().soloist.notes(), before.soloist.notes());
}

/// None of the tried rates fits them, or a clock that has drifted.
#[test]
fn takes_at_an_unknown_rate_are_kept_to_half_a_grain() {
    for rate in [50_000.0, 37_800.0, 48_000.7] {
        let before = take(Host { rate, ..Host::STEADY }, 300, 8.0, 5);
        let after = unpack(&pack(&before)).unwrap();
        let times = |take: &Performance| -> Vec<f64> {
            let moments = take.soloist.notes().iter().flat_map(|n| [Some(n.on), n.off]);
            moments.flatten().flat_map(|at| [at.second.0, at.beat.0]).collect()
        };
        let (before, after) = (times(&before), times(&after));
        assert_eq!(before.len(), after.len());
        let apart = before.iter().zip(&after).map(|(one, other)| (one - other).abs());
        let farthest = apart.fold(0.0, f64::max);
        assert!(farthest > 0.0 && farthest <= GRAIN / 2.0, "{rate}: {farthest}");
    }
}

/// Takes of a steady host at 48 kHz, of one at 44.1 kHz whose tempo and metre change, and of one at
/// 96 kHz with rounded positions, packed when version 1 was current, each with its expected content.
#[test]
fn takes_of_version_1_can_still_be_read() {
    for (packed, held) in [
        (&include_bytes!("form_1/steady.ovbt")[..], include_str!("form_1/steady.json")),
        (&include_bytes!("form_1/two_tempos.ovbt")[..], include_str!("form_1/two_tempos.json")),
        (&include_bytes!("form_1/jittery.ovbt")[..], include_str!("form_1/jittery.json")),
    ] {
        assert_eq!(packed[4], 1);
        let take = unpack(packed).unwrap();
        let (heard, outside) = (take.soloist.notes(), take.ignored.notes());
        let read = serde_json::json!({
            "heard": heard, "outside": outside, "tempo": take.tempo, "metres": take.metres,
        });
        assert_eq!(read, serde_json::from_str::<serde_json::Value>(held).unwrap());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_take_of_a_host_that_follows_its_tempo_is_exact(
        host in hosts(), notes in 1_usize..400, a_second in 1.0..12.0_f64, seed: u64,
    ) {
        let before = take(host, notes, a_second, seed);
        let after = unpack(&pack(&before)).unwrap();
        prop_assert!(same(&before, &after));
        prop_assert_eq!(phrases(&before), phrases(&after));
    }

    #[test]
    fn a_take_of_a_host_that_jitters_is_kept_to_a_grain(
        host in hosts(), notes in 1_usize..400, a_second in 1.0..12.0_f64, seed: u64,
    ) {
        to_a_grain(host, notes, a_second, seed)?;
    }

    #[test]
    fn random_bytes_are_an_error(bytes in prop::collection::vec(any::<u8>(), 0..2_000)) {
        prop_assert!(unpack(&bytes).is_err());
    }

    #[test]
    fn damage_anywhere_is_an_error_or_harmless(at in 0_usize..10_000, flip in 1_u8..) {
        let whole = take(Host::STEADY, 50, 5.0, 3);
        let mut bytes = pack(&whole);
        let at = at % bytes.len();
        bytes[at] ^= flip;
        // Three bytes of the header are reserved, and the last byte has unused bits.
        prop_assert!(unpack(&bytes).map_or(true, |read| same(&read, &whole)));
        bytes[at] ^= flip;
        prop_assert!(unpack(&bytes[..at]).is_err());
    }
}

#[test]
fn hostile_bytes_end_in_a_plain_error() {
    assert_eq!(unpack(&[]).unwrap_err(), PackError::NotATake);
    assert_eq!(unpack(&vec![0x5a; 50 << 20]).unwrap_err(), PackError::NotATake);
    let good = pack(&take(Host::STEADY, 50, 5.0, 3));
    let mut newer = good.clone();
    newer[4] = 9;
    assert_eq!(unpack(&newer).unwrap_err(), PackError::Newer { version: 9 });
    let mut bomb = good[..16].to_vec();
    bomb[12..16].copy_from_slice(&u32::MAX.to_le_bytes());
    assert_eq!(unpack(&bomb).unwrap_err(), PackError::TooLarge);
    // 200 MiB of zeros in 200 kB, which claim to be a kilobyte.
    let mut zeros =
        flate2::write::DeflateEncoder::new(good[..16].to_vec(), flate2::Compression::best());
    for _ in 0..200 {
        std::io::Write::write_all(&mut zeros, &vec![0; 1 << 20]).unwrap();
    }
    let mut bomb = zeros.finish().unwrap();
    bomb[12..16].copy_from_slice(&1_024_u32.to_le_bytes());
    assert_eq!(unpack(&bomb).unwrap_err(), PackError::Damaged("wrong length"));
    for wrong in [PackError::NotATake, PackError::Newer { version: 9 }, PackError::TooLarge] {
        assert!(!wrong.to_string().is_empty());
    }
}

/// The requirement for an eight-hour session: saved in half a second, in at most 4 MiB of the project.
/// The state is text, in which 3 bytes take 4.
#[test]
fn eight_hours_pack_small_and_fast() {
    let jittery = Host { ticks: 1_920.0, ..Host::STEADY };
    for (host, name) in [(Host::STEADY, "steady"), (jittery, "jittery")] {
        let before = take(host, 300_000, 12.0, 11);
        let hours = before.soloist.notes().last().unwrap().on.second.0 / 3600.0;
        let goal = Duration::from_millis(500);
        let mut packed = Vec::new();
        within(goal, &format!("{hours:.1} h, {name} host, packed"), || packed = pack(&before));
        within(goal, &format!("{hours:.1} h, {name} host, unpacked"), || {
            assert_eq!(unpack(&packed).unwrap().soloist.notes().len(), 300_000);
        });
        eprintln!("{} knots: {} bytes", before.tempo.knots().len(), packed.len());
        assert!(packed.len() < 3 << 20, "{}", packed.len());
    }
}
