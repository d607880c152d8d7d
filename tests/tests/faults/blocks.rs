//! Faults of the blocks themselves.

use crate::support::*;
use overbar_core::take::performance::Performance;
use overbar_tests::bundle;
use overbar_tests::fault_table::row;
use overbar_tests::host::{BareVst3, Block, ClapRig, Host, Outputs, Player, ragged};
use overbar_tests::live;
use overbar_tests::song::Song;
use std::time::{Duration, Instant};

/// Half a second of music in which a note begins on each half beat.
fn short() -> Song {
    let notes = [0.0, 0.5, 1.0, 1.5];
    notes.iter().fold(Song::steady(240.0, 4, 4), |song, on| song.with_note(*on, 0.4, 60))
}

fn plays_at(format: &str, host: &mut dyn Host, rate: f64, size: usize) {
    host.activate(rate, size).unwrap();
    let before = live::takes(host).len();
    let mut player = Player::new(&short(), rate, 0.0);
    roll(host, &mut player, 2.0, size);
    stop(host, &mut player);
    let takes = live::takes(host);
    assert_eq!(takes.len(), before + 1, "{format} at {rate}, {size}");
    let heard = takes[before].soloist.notes();
    assert_eq!(heard.len(), 4, "{format} at {rate}, {size}");
    for (note, place) in heard.iter().zip([0.0, 0.5, 1.0, 1.5]) {
        // A sample of 1 kHz is 0.004 beats.
        assert!((note.on.beat.0 - place).abs() <= 2.0 / rate + 1e-6, "{format} at {rate}, {size}");
    }
}

#[test]
fn any_rate_and_block_size() {
    for (format, mut host) in hosts() {
        for rate in [1e3, 8e3, 22_050.0, 44_100.0, 96e3, 192e3, 384e3, 768e3] {
            plays_at(format, host.as_mut(), rate, 512);
        }
        for size in [1, 7, 64, 1_024, 4_096, 16_384] {
            plays_at(format, host.as_mut(), 48_000.0, size);
        }
    }
    let result = "all notes within two samples of their beat";
    row(
        "sample rates from 1 to 768 kHz",
        "eight rates from 1 to 768 kHz, blocks of 512; CLAP, VST3",
        result,
    );
    row("blocks of 1 to 16,384 samples", "six sizes at 48 kHz; CLAP, VST3", result);
}

#[test]
fn longer_than_announced_and_empty() {
    for (format, mut host) in hosts() {
        host.activate(live::RATE, 128).unwrap();
        let mut player = Player::new(&four(), live::RATE, 0.0);
        let mut sizes = [0_usize, 256, 0, 1_000].into_iter().cycle();
        while player.position() < 13.0 {
            let size = sizes.next().unwrap();
            let block = if size == 0 { Block::empty(0) } else { player.block(size) };
            host.process(&block);
        }
        stop(host.as_mut(), &mut player);
        let all: Vec<f64> = live::takes(host.as_mut()).iter().flat_map(beats).collect();
        assert_eq!(all, FOUR, "{format}");
    }
    let tried = "blocks of 256 and 1,000 where 128 were announced, empty ones between; CLAP, VST3";
    row("blocks longer than announced", tried, "all notes at their beats");
    row("blocks of no frames", tried, "all notes at their beats");
}

#[test]
fn no_buffers() {
    for outputs in [Outputs::None, Outputs::NoChannels] {
        let bare = bare();
        for step in 0..50_i32 {
            let block = rolling(256, f64::from(step) * 0.0107).with(5, on(60)).with(90, off(60));
            bare.process(&block, outputs);
            bare.process(&Block::empty(0), outputs);
        }
        let mut player = Player::new(&four(), live::RATE, 3.0);
        bare.process(&player.stopped(64), Outputs::Stereo);
        bare_hears_on(&bare);
    }
    for mut rig in [ClapRig::load(&bundle::clap()).unwrap(), ClapRig::linked().unwrap()] {
        rig.activate(live::RATE, 4_096).unwrap();
        for step in 0..50_i32 {
            let block = rolling(256, f64::from(step) * 0.0107).with(5, on(60)).with(90, off(60));
            rig.process_without_buffers(&block);
            rig.process_without_buffers(&Block::empty(0));
        }
        rig.process(&Player::new(&four(), live::RATE, 3.0).stopped(64));
        hears_on("CLAP", &mut rig);
    }
    row(
        "no output buffers",
        "100 blocks without a port or bus, CLAP, VST3; 100 without a channel, VST3; notes in them",
        &format!("survived, notes unheard (manual, Troubleshooting); {HEARD_ON}"),
    );
}

#[test]
fn another_thread_each_time() {
    let mut rig = ClapRig::load(&bundle::clap()).unwrap();
    rig.activate(live::RATE, 4_096).unwrap();
    let mut player = Player::new(&four(), live::RATE, 3.0);
    while player.position() < 12.0 {
        let block = player.block(4_000);
        rig.process_on_new_thread(&block);
    }
    rig.process_on_new_thread(&player.stopped(64));
    assert_eq!(beats(&live::takes(&mut rig)[0]), FOUR);
    let bare = bare();
    let mut player = Player::new(&four(), live::RATE, 3.0);
    while player.position() < 12.0 {
        let block = player.block(4_000);
        std::thread::scope(|scope| {
            scope.spawn(|| bare.process(&block, Outputs::Stereo));
        });
    }
    assert_eq!(beats(&takes_in(&bare.save_state())[0]), FOUR);
    row(
        "another thread at each block",
        "54 blocks, each on a new thread; CLAP, VST3",
        "all notes at their beats",
    );
}

/// The bounce is as fast as the host likes, and that fast at least.
#[test]
fn an_offline_bounce() {
    const MINUTES: f64 = 10.0;
    const NOTES_A_SECOND: u32 = 20;
    let mut song = Song::steady(120.0, 4, 4);
    let count = MINUTES as u32 * 60 * NOTES_A_SECOND;
    for note in 0..count {
        let on = f64::from(note) * 2.0 / f64::from(NOTES_A_SECOND);
        song = song.with_note(on, 0.08, 40 + (note % 48) as u8);
    }
    let end = MINUTES * 120.0;
    let mut player = Player::new(&song, live::RATE, 0.0);
    let blocks: Vec<Block> = player.blocks_until(end, ragged(4, 1_024)).collect();
    let stopped = player.stopped(64);
    let bounce = |format: &str, process: &mut dyn FnMut(&Block)| {
        let began = Instant::now();
        let mut samples = 0.0;
        for block in &blocks {
            process(block);
            samples += block.frames as f64;
            // No faster than 1,000 times, so that the machine's speed does not decide.
            let due = Duration::from_secs_f64(samples / live::RATE / 1_000.0);
            while began.elapsed() < due {
                std::hint::spin_loop();
            }
        }
        let times = MINUTES * 60.0 / began.elapsed().as_secs_f64();
        process(&stopped);
        assert!(times > 200.0, "{format}: {times:.0} times real time");
    };
    let is_whole = |format: &str, takes: &[Performance]| {
        assert_eq!(takes.len(), 1, "{format}");
        assert_eq!(takes[0].soloist.notes().len(), count as usize, "{format}");
    };
    let mut clap = ClapRig::load(&bundle::clap()).unwrap();
    clap.activate(live::RATE, 1_024).unwrap();
    bounce("CLAP", &mut |block| drop(clap.process(block)));
    is_whole("CLAP", &live::takes(&mut clap));
    let bare = BareVst3::new(live::RATE, 1_024).unwrap();
    bounce("linked VST3", &mut |block| drop(bare.process(block, Outputs::Stereo)));
    is_whole("linked VST3", &takes_in(&bare.save_state()));
    row(
        "offline bounce at 200 times real time",
        "ten minutes of 20 notes a second, at over 200 times real time; CLAP, VST3",
        "12,000 of 12,000 notes heard",
    );
}
