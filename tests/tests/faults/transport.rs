//! Faults of the transport.

use crate::support::*;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_tests::fault_table::row;
use overbar_tests::host::{Block, HostTransport, Outputs, Player, ragged};
use overbar_tests::live;
use overbar_tests::song::Song;

#[test]
fn a_start_before_the_song() {
    let song = [0.0, 0.5, 3.0]
        .iter()
        .fold(Song::steady(120.0, 4, 4), |song, on| song.with_note(*on, 0.3, 60));
    for (format, mut host) in active() {
        let mut player = Player::new(&song, live::RATE, -0.013);
        // A block that ends at the song's start, as hosts split it there.
        roll(host.as_mut(), &mut player, 0.0, 1);
        roll(host.as_mut(), &mut player, 4.0, 512);
        stop(host.as_mut(), &mut player);
        let takes = live::takes(host.as_mut());
        assert_eq!(takes.len(), 1, "{format}");
        assert_eq!(beats(&takes[0]), [0.0, 0.5, 3.0], "{format}");
    }
    row(
        "first rolling block before the song's start",
        "start at beat −0.013, blocks split at 0; CLAP, VST3",
        "one take, notes at their beats",
    );
}

#[test]
fn a_position_that_moves_while_stopped() {
    for (format, mut host) in active() {
        for step in -20_i32..20 {
            let mut block = rolling(64, f64::from(step) / 100.0).with(5, on(60)).with(40, off(60));
            block.transport.as_mut().unwrap().playing = false;
            host.process(&block);
        }
        assert!(live::takes(host.as_mut()).is_empty(), "{format}");
        hears_on(format, host.as_mut());
    }
    row(
        "position moving while stopped",
        "40 stopped blocks over beat 0, a note in each; CLAP, VST3",
        &format!("no take; {HEARD_ON}"),
    );
}

#[test]
fn a_locate_while_rolling() {
    for by_a_stop in [true, false] {
        for (format, mut host) in active() {
            let mut player = Player::new(&four(), live::RATE, 3.0);
            roll(host.as_mut(), &mut player, 7.5, 256);
            if by_a_stop {
                stop(host.as_mut(), &mut player);
            }
            // Hosts start a little before where they were told to.
            player.locate(3.999);
            roll(host.as_mut(), &mut player, 12.0, 256);
            stop(host.as_mut(), &mut player);
            let takes = live::takes(host.as_mut());
            assert_eq!(takes.len(), 2, "{format}");
            assert_eq!(beats(&takes[0]), FOUR[..2], "{format}");
            assert_eq!(beats(&takes[1]), FOUR, "{format}");
        }
    }
    let tried = "from beat 7.5 to 3.999; CLAP, VST3";
    let result = "two takes, notes at their beats";
    row("locate while rolling, by way of a stopped block", tried, result);
    row("locate while rolling, at once", tried, result);
}

#[test]
fn a_loop_of_four_rounds_is_four_takes() {
    for size in [64, 333, 1_024] {
        for (format, mut host) in active() {
            let mut player = Player::new(&four(), live::RATE, 4.0).looping(4.0, 12.0);
            // Four rounds of eight beats at 120 and a little of the fifth: over sixteen seconds.
            while player.samples_played() <= 16 * live::RATE as i64 {
                host.process(&player.block(size));
            }
            stop(host.as_mut(), &mut player);
            let takes = live::takes(host.as_mut());
            let heard: Vec<_> = takes.iter().take(4).map(beats).collect();
            assert_eq!(heard, [FOUR; 4], "{format}, blocks of {size}");
        }
    }
    row(
        "loop wrap",
        "four rounds of beats 4 to 12, in blocks of 64, 333 and 1,024; CLAP, VST3",
        "four takes, all notes at their beats",
    );
}

#[test]
fn a_note_of_the_next_round_ahead_of_the_wrap() {
    let song = Song::steady(120.0, 4, 4).with_note(5.0, 0.4, 60).with_note(6.9999, 0.4, 62);
    let looping = || Player::new(&song, live::RATE, 4.0).looping(4.0, 7.0);
    let two_rounds = |takes: &[Performance], format: &str| {
        assert_eq!(beats(&takes[0]), [5.0], "{format}");
        assert_eq!(beats(&takes[1]), [4.0, 5.0], "{format}");
    };
    for (format, mut host) in active() {
        if format == "VST3" {
            // Its host crate has no way to tell of a loop.
            continue;
        }
        let mut player = looping();
        while player.samples_played() <= 3 * live::RATE as i64 {
            host.process(&player.block(256));
        }
        stop(host.as_mut(), &mut player);
        two_rounds(&live::takes(host.as_mut()), format);
    }
    let (bare, mut player) = (bare(), looping());
    while player.samples_played() <= 3 * live::RATE as i64 {
        bare.process(&player.block(256), Outputs::Stereo);
    }
    bare.process(&player.stopped(64), Outputs::Stereo);
    two_rounds(&takes_in(&bare.save_state()), "linked VST3");
    row(
        "the loop's first note ahead of the wrap",
        "at beat 6.9999 of a loop of beats 4 to 7; CLAP, VST3",
        "counted at beat 4 of the next round",
    );
}

#[test]
fn tempo_and_metre_change_inside_blocks() {
    let mut song = Song::steady(120.0, 4, 4);
    for step in 0..40_u8 {
        song = song.with_note(f64::from(step) / 2.0, 0.4, 50 + step);
    }
    song.tempo.extend([(2.3, 97.0), (7.1, 180.0), (12.9, 60.0)]);
    song.metres.extend([(4.0, 3, 4), (10.0, 7, 8), (17.0, 4, 4)]);
    let expected: Vec<f64> = song.notes.iter().map(|note| note.on).collect();
    for sends_changes in [false, true] {
        for (format, mut host) in active() {
            if sends_changes && format == "VST3" {
                // VST3 has no transport events.
                continue;
            }
            let mut player = Player::new(&song, live::RATE, 0.0);
            player.sends_changes = sends_changes;
            let blocks: Vec<Block> = player.blocks_until(20.5, ragged(9, 2_048)).collect();
            host.play(&mut blocks.into_iter());
            stop(host.as_mut(), &mut player);
            let takes = live::takes(host.as_mut());
            assert_eq!(takes.len(), 1, "{format}");
            let near = |(heard, wanted): (&f64, &f64)| (heard - wanted).abs() < 0.002;
            let heard = beats(&takes[0]);
            assert_eq!(heard.len(), expected.len(), "{format}");
            assert!(heard.iter().zip(&expected).all(near), "{format}: {heard:?}");
        }
    }
    row(
        "tempo and metre changing inside a block",
        "three of each in ragged blocks up to 2,048; told with the next block, or as CLAP events",
        "40 of 40 notes within 0.002 of their beat",
    );
}

#[test]
fn no_transport() {
    for (format, mut host) in active() {
        let mut first = Block::empty(256).with(7, on(60)).with(90, off(60));
        if !host.can_represent(&first) {
            first.transport = Some(HostTransport::default());
        }
        for _ in 0..100 {
            assert!(host.process(&first).is_silent());
        }
        assert!(live::takes(host.as_mut()).is_empty(), "{format}");
        hears_on(format, host.as_mut());
    }
    let bare = bare();
    for _ in 0..100 {
        bare.process(&Block::empty(256).with(7, on(60)).with(90, off(60)), Outputs::Stereo);
    }
    assert!(takes_in(&bare.save_state()).is_empty());
    bare_hears_on(&bare);
    row("no transport at first", "100 blocks without one, a note in each; CLAP, VST3", HEARD_ON);
    row(
        "no transport at all",
        "100 blocks without one, a note in each; CLAP, VST3 with no context, pedalboard in `check --hosts`",
        "no take, notes are passed on; with a transport the next take is heard whole",
    );
}

/// Every number that a host could make of nothing.
const NONSENSE: [f64; 8] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e300, 1e300, 0.0, -5.0, f64::MIN_POSITIVE];

#[test]
fn nonsense_for_a_transport() {
    let mut blocks = Vec::new();
    for beats in NONSENSE {
        for tempo in NONSENSE {
            for signature in [(0, 0), (-1, 3), (32, 32), (i32::MAX, i32::MIN)] {
                let mut block = Block::empty(64).with(3, on(60)).with(60, off(60));
                block.transport = Some(HostTransport {
                    beats: Some(beats),
                    seconds: Some(tempo),
                    tempo: Some(tempo),
                    signature: Some(signature),
                    playing: true,
                    recording: true,
                    cycle: Some((tempo, beats)),
                    bar_start: Some(beats),
                    bar_number: Some(signature.0),
                    preroll: false,
                });
                blocks.push(block);
            }
        }
    }
    let count = blocks.len();
    for (format, mut host) in active() {
        for block in &blocks {
            assert!(host.process(block).is_silent(), "{format}: {block:?}");
        }
        hears_on(format, host.as_mut());
    }
    let bare = bare();
    for block in &blocks {
        assert!(bare.process(block, Outputs::Stereo).iter().all(|sample| *sample == 0.0));
    }
    bare_hears_on(&bare);
    row(
        "transport of NaN and infinities",
        &format!("{count} blocks of nonsense in every field, notes in each; CLAP, VST3"),
        &format!("silent output; {HEARD_ON}"),
    );
}

#[test]
fn a_transport_that_runs_backwards() {
    for (format, mut host) in active() {
        for step in 0..200_i32 {
            let beat = 100.0 - f64::from(step) * 0.02;
            host.process(&rolling(480, beat).with(9, on(62)).with(200, off(62)));
        }
        let count: usize = live::takes(host.as_mut()).iter().map(|t| t.soloist.notes().len()).sum();
        assert_eq!(count, 200, "{format}");
        let mut player = Player::new(&four(), live::RATE, 3.0);
        stop(host.as_mut(), &mut player);
        hears_on(format, host.as_mut());
    }
    row(
        "transport that runs backwards",
        "200 blocks, each 0.02 beats before the last, a note in each; CLAP, VST3",
        &format!("200 of 200 notes kept, each block a take; {HEARD_ON}"),
    );
}

#[test]
fn a_transport_that_stands_still_while_it_rolls() {
    for (format, mut host) in active() {
        for _ in 0..200 {
            host.process(&rolling(480, 8.0).with(9, on(62)).with(200, off(62)));
        }
        let takes = live::takes(host.as_mut());
        assert!(takes.iter().all(|take| take.soloist.notes().len() <= 2), "{format}");
        let mut player = Player::new(&four(), live::RATE, 3.0);
        stop(host.as_mut(), &mut player);
        hears_on(format, host.as_mut());
    }
    row(
        "transport that stands still while it rolls",
        "200 blocks at beat 8, a note in each; CLAP, VST3",
        &format!("told as no beat grid after the first block; {HEARD_ON}"),
    );
}

#[test]
fn the_slowest_and_the_fastest_tempo() {
    for (tempo, until) in [(0.1, 0.02), (960.0, 64.0)] {
        let mut song = Song::steady(tempo, 4, 4);
        let step = until / 16.0;
        for note in 0..16_u8 {
            song = song.with_note(f64::from(note) * step, step * 0.8, 60 + note);
        }
        for (format, mut host) in active() {
            let mut player = Player::new(&song, live::RATE, 0.0);
            roll(host.as_mut(), &mut player, until, 512);
            stop(host.as_mut(), &mut player);
            let takes = live::takes(host.as_mut());
            assert_eq!(takes.len(), 1, "{format} at {tempo}");
            for (heard, note) in takes[0].soloist.notes().iter().zip(&song.notes) {
                assert!((heard.on.beat.0 - note.on).abs() < 0.002, "{format} at {tempo}");
            }
            assert_eq!(takes[0].soloist.notes().len(), 16, "{format} at {tempo}");
        }
    }
    row(
        "tempo of 0.1 and of 960",
        "16 notes at each; CLAP, VST3",
        "all 32 notes within 0.002 of their beat",
    );
}

#[test]
fn every_metre() {
    let mut signatures = 0;
    let (mut hosts, bare) = (active(), bare());
    let enters_in_bar_two = |takes: &[Performance], before: usize, what: &str| {
        let take = &takes[before];
        assert_eq!(takes.len(), before + 1, "{what}");
        assert_eq!(take.soloist.notes().len(), 2, "{what}");
        let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        assert_eq!(phrases.first().map(|phrase| phrase.entry.bar), Some(2), "{what}");
    };
    for upper in 1..=32_i32 {
        for lower in [1, 2, 4, 8, 16, 32] {
            signatures += 1;
            let mut song = Song::steady(240.0, upper, lower);
            let bar = f64::from(upper) * 4.0 / f64::from(lower);
            // On the second bar line, and in the middle of that bar.
            song = song.with_note(bar, bar * 0.2, 60).with_note(bar * 1.5, bar * 0.2, 62);
            for (format, host) in &mut hosts {
                // Its host crate has no thirty-seconds.
                if *format == "VST3" && lower == 32 {
                    continue;
                }
                let before = live::takes(host.as_mut()).len();
                let mut player = Player::new(&song, live::RATE, 0.0);
                roll(host.as_mut(), &mut player, bar * 1.8, 4_096);
                stop(host.as_mut(), &mut player);
                let what = format!("{format} {upper}/{lower}");
                enters_in_bar_two(&live::takes(host.as_mut()), before, &what);
            }
            if lower == 32 {
                let before = takes_in(&bare.save_state()).len();
                play_bare(&bare, &mut Player::new(&song, live::RATE, 0.0), bar * 1.8);
                let what = format!("linked VST3 {upper}/{lower}");
                enters_in_bar_two(&takes_in(&bare.save_state()), before, &what);
            }
        }
    }
    row(
        "metres from 1/1 to 32/32",
        &format!("{signatures} signatures, two bars of each; CLAP, VST3"),
        "the note on the second bar line enters in bar 2 of each",
    );
}
