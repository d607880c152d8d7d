//! Faults of the saved state.

use crate::support::*;
use fastrand::Rng;
use overbar_tests::fault_table::row;
use overbar_tests::host::{Block, ClapRig, Host, Outputs, Player, ragged};
use overbar_tests::{bundle, live, practice};

#[test]
fn restored_after_activation() {
    for ((format, mut first), (_, mut second)) in active().into_iter().zip(active()) {
        hears_on(format, first.as_mut());
        let state = first.save_state();
        second.process(&rolling(256, 1.0));
        assert!(second.load_state(&state), "{format}");
        if !second.is_active() {
            second.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
        }
        hears_on(format, second.as_mut());
        let heard: Vec<_> = live::takes(second.as_mut()).iter().map(beats).collect();
        assert_eq!(heard, [FOUR; 2], "{format}");
    }
    row(
        "restored after activation",
        "after a block has been processed; CLAP, VST3",
        "the take is there, and the next beside it",
    );
}

#[test]
fn saved_and_loaded_while_notes_play() {
    let song = &practice::takes()[2].song;
    let mut host = ClapRig::load(&bundle::clap()).unwrap();
    host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    let mut player = Player::new(song, live::RATE, 0.0);
    let blocks: Vec<Block> = player.blocks_until(132.0, ragged(3, 512)).collect();
    let (states, heard) = host.alongside(&blocks, |main| {
        let mut states = Vec::new();
        for _ in 0..20 {
            let state = main.save_state();
            assert!(main.load_state(&state));
            states.push(state);
        }
        states
    });
    assert_eq!(states.len(), 20);
    assert!(heard.iter().all(overbar_tests::host::Heard::is_silent));
    let most = live::takes(&mut host).iter().map(|take| take.soloist.notes().len()).max();
    assert_eq!(most, Some(song.notes.len()), "the take under way is whole");
    let bare = bare();
    std::thread::scope(|scope| {
        let saving = scope.spawn(|| (0..20).all(|_| bare.load_state(&bare.save_state())));
        for block in &blocks {
            let output = bare.process(block, Outputs::Stereo);
            assert!(output.iter().all(|sample| *sample == 0.0));
        }
        assert!(saving.join().unwrap());
    });
    let most = takes_in(&bare.save_state()).iter().map(|take| take.soloist.notes().len()).max();
    assert_eq!(most, Some(song.notes.len()), "the take under way is whole, also in VST3");
    row(
        "saved and loaded while notes play",
        "20 times during a take, beside the audio thread; CLAP, VST3",
        "the take under way is whole, output silent",
    );
}

#[test]
fn loaded_from_another_thread() {
    let first = bare();
    bare_hears_on(&first);
    let state = first.save_state();
    let second = bare();
    let song = &practice::takes()[0].song;
    let mut player = Player::new(song, live::RATE, 0.0);
    let blocks: Vec<Block> = player.blocks_until(132.0, ragged(3, 512)).collect();
    std::thread::scope(|scope| {
        let loading = scope.spawn(|| (0..20).all(|_| second.load_state(&state)));
        for block in &blocks {
            second.process(block, Outputs::Stereo);
        }
        assert!(loading.join().unwrap());
    });
    let takes = takes_in(&second.save_state());
    assert!(takes.iter().any(|take| beats(take) == FOUR), "what was loaded is there");
    let most = takes.iter().map(|take| take.soloist.notes().len()).max();
    assert_eq!(most, Some(song.notes.len()), "the take under way is whole");
    row(
        "loaded from another thread",
        "20 times beside a take on the audio thread; VST3, CLAP's hosts may not",
        "both takes are whole",
    );
}

#[test]
fn damaged() {
    let mut random = Rng::with_seed(5);
    for (format, mut host) in active() {
        hears_on(format, host.as_mut());
        let good = host.save_state();
        for length in [0, 1, 2, good.len() / 2, good.len() - 1] {
            host.load_state(&good[..length]);
        }
        for length in [1, 100, 10_000] {
            host.load_state(&(0..length).map(|_| random.u8(..)).collect::<Vec<_>>());
        }
        for _ in 0..50 {
            let mut changed = good.clone();
            changed[random.usize(0..good.len())] = random.u8(..);
            host.load_state(&changed);
        }
        let huge: Vec<u8> = std::iter::repeat_n(b'[', 50 << 20).collect();
        host.load_state(&huge);
        if !host.is_active() {
            host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
        }
        assert!(live::takes(host.as_mut()).iter().any(|take| beats(take) == FOUR), "{format}");
        hears_on(format, host.as_mut());
    }
    row(
        "truncated, random, huge",
        "five cuts, noise, 50 changed bytes, 50 MiB of brackets; CLAP, VST3",
        &format!("what was heard before is still there; {HEARD_ON}"),
    );
}

#[test]
fn of_a_newer_version() {
    for ((format, mut first), (_, mut second)) in active().into_iter().zip(active()) {
        hears_on(format, first.as_mut());
        let mut state = first.save_state();
        let mark = br#"\"overbar\":"#;
        let at = state.windows(mark.len()).position(|found| found == mark).unwrap() + mark.len();
        state[at] = b'9';
        second.load_state(&state);
        assert_eq!(second.save_state(), state, "{format}: byte for byte");
    }
    row(
        "of a newer version",
        "the version in a state raised to 9; CLAP, VST3",
        "told, handed back byte for byte when the project is saved",
    );
}
