//! What hosts do to a plugin, and what it must survive, through the built CLAP.

use overbar_core::performance::Performance;
use overbar_tests::host::{Block, ClapRig, EventKind, Host, HostTransport, Player, ragged};
use overbar_tests::song::Song;
use overbar_tests::{bundle, live, practice};

fn rig() -> ClapRig {
    let mut rig = ClapRig::load(&bundle::clap()).unwrap();
    rig.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    rig
}

fn notes(take: &Performance) -> usize {
    take.heard.notes().len()
}

/// Bars 2 and 3 hold two notes each: on beat one of bar 2, and its "and" of 3, and so on.
fn loop_song() -> Song {
    let notes = [4.0, 6.5, 8.0, 10.5];
    notes.iter().fold(Song::steady(120.0, 4, 4), |song, on| song.with_note(*on, 0.4, 60))
}

#[test]
fn a_loop_of_four_rounds_is_four_takes() {
    for size in [64, 333, 1_024] {
        let mut host = rig();
        let mut player = Player::new(&loop_song(), live::RATE, 4.0).looping(4.0, 12.0);
        // Four rounds of eight beats at 120: sixteen seconds.
        while player.samples_played() < 16 * live::RATE as i64 {
            let block = player.block(size);
            host.process(&block);
        }
        let stopped = player.stopped(64);
        host.process(&stopped);
        let takes = live::takes(&mut host);
        // Where the last block runs over, a fifth round has begun.
        assert!(takes.len() >= 4, "{size}: {} takes", takes.len());
        for take in &takes[..4] {
            let beats: Vec<f64> =
                take.heard.notes().iter().map(|n| (n.on.beat.0 * 1e3).round() / 1e3).collect();
            assert_eq!(beats, [4.0, 6.5, 8.0, 10.5], "blocks of {size}");
        }
    }
}

#[test]
fn a_locate_while_rolling_splits_the_take() {
    let mut host = rig();
    let mut player = Player::new(&loop_song(), live::RATE, 3.0);
    for block in player.blocks_until(7.5, std::iter::repeat(256)).collect::<Vec<_>>() {
        host.process(&block);
    }
    player.locate(3.0);
    for block in player.blocks_until(12.0, std::iter::repeat(256)).collect::<Vec<_>>() {
        host.process(&block);
    }
    let counts: Vec<usize> = live::takes(&mut host).iter().map(notes).collect();
    assert_eq!(counts, [2, 4]);
}

#[test]
fn state_is_saved_and_loaded_while_notes_play() {
    let song = &practice::takes()[2].song;
    let mut host = rig();
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
    let takes = live::takes(&mut host);
    let most = takes.iter().map(notes).max();
    assert_eq!(most, Some(song.notes.len()), "the take under way is whole");
}

#[test]
fn sixty_four_instances_come_and_go_on_any_thread() {
    let song = loop_song();
    std::thread::scope(|scope| {
        for thread in 0..4_usize {
            let song = &song;
            scope.spawn(move || {
                let mut rigs: Vec<ClapRig> = (0..16).map(|_| rig()).collect();
                for (index, host) in rigs.iter_mut().enumerate() {
                    live::play(host, song, &mut std::iter::repeat(128 + index));
                }
                // Dropped out of order.
                while !rigs.is_empty() {
                    let mut host = rigs.swap_remove((thread * 7) % rigs.len());
                    assert_eq!(live::takes(&mut host).len(), 1);
                }
            });
        }
    });
}

#[test]
fn strange_transports_are_survived_and_a_sound_one_is_heard_after_them() {
    let mut host = rig();
    let strange = [f64::NAN, f64::INFINITY, -1e300, 0.0, -5.0, 1e12];
    for beats in strange {
        for tempo in strange {
            for signature in [(0, 0), (-1, 3), (32, 32), (255, 255), (1, 1)] {
                let mut block = Block::empty(64)
                    .with(3, EventKind::NoteOn { key: 60, channel: 0, velocity: 0.5 })
                    .with(60, EventKind::NoteOff { key: 60, channel: 0, velocity: 0.5 });
                block.transport = Some(HostTransport {
                    beats: Some(beats),
                    tempo: Some(tempo),
                    signature: Some(signature),
                    playing: true,
                    cycle: Some((tempo, beats)),
                    ..HostTransport::default()
                });
                assert!(host.process(&block).is_silent());
            }
        }
    }
    let before = live::takes(&mut host).len();
    live::play(&mut host, &loop_song(), &mut std::iter::repeat(256));
    let takes = live::takes(&mut host);
    assert_eq!(takes.len(), before + 1);
    assert_eq!(takes.last().map(notes), Some(4));
}

#[test]
fn blocks_of_no_frames_and_longer_than_announced() {
    let mut host = ClapRig::load(&bundle::clap()).unwrap();
    host.activate(live::RATE, 256).unwrap();
    let song = loop_song();
    let mut player = Player::new(&song, live::RATE, 0.0);
    let mut sizes = [0_usize, 256, 0, 100].into_iter().cycle();
    while player.position() < 13.0 {
        let size = sizes.next().unwrap();
        let block = if size == 0 { Block::empty(0) } else { player.block(size) };
        host.process(&block);
    }
    let all: usize = live::takes(&mut host).iter().map(notes).sum();
    assert_eq!(all, 4);
}
