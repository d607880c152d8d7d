//! The rigs themselves: life cycles, state and blocks, the same on every host.

use overbar_tests::bundle;
use overbar_tests::host::{
    Block, ClapRig, EventKind, Host, HostTransport, Player, Status, Vst3Rig, parameter_number,
    ragged,
};
use overbar_tests::song::Song;
use proptest::prelude::*;

fn note_on(key: i16) -> EventKind {
    EventKind::NoteOn { key, channel: 0, velocity: 0.75 }
}

/// Runs a check on the plugin in every host there is.
fn on_every_host(check: impl Fn(&mut dyn Host)) {
    check(&mut ClapRig::linked().expect("the linked plugin"));
    check(&mut ClapRig::load(&bundle::clap()).expect("the CLAP bundle"));
    check(&mut Vst3Rig::load(&bundle::vst3()).expect("the VST3 bundle"));
}

#[test]
fn activates_and_deactivates_in_cycles() {
    on_every_host(|host| {
        for (rate, longest) in [(44_100.0, 64), (192_000.0, 1), (8_000.0, 4_096), (48_000.0, 512)] {
            host.activate(rate, longest).expect("activates");
            assert!(host.is_active());
            for frames in [longest, 1, longest] {
                let heard = host.process(&Block::empty(frames).with(0, note_on(60)));
                assert_ne!(heard.status, Status::Failed);
                assert_eq!((heard.left.len(), heard.right.len()), (frames, frames));
            }
            host.deactivate();
            host.deactivate();
            assert!(!host.is_active());
        }
        host.activate(44_100.0, 64).expect("activates");
        host.activate(48_000.0, 64).expect("activates again without a stop between");
    });
}

#[test]
fn survives_being_dropped_while_active() {
    on_every_host(|host| host.activate(48_000.0, 256).expect("activates"));
}

#[test]
fn many_instances_live_side_by_side() {
    let mut rigs: Vec<_> = (0..8).map(|_| ClapRig::linked().expect("an instance")).collect();
    let bundle = bundle::clap();
    rigs.extend((0..8).map(|_| ClapRig::load(&bundle).expect("an instance")));
    for rig in &mut rigs {
        rig.activate(48_000.0, 64).expect("activates");
    }
    for rig in &mut rigs {
        assert_ne!(rig.process(&Block::empty(64)).status, Status::Failed);
    }
}

#[test]
fn plays_a_song_through() {
    let mut song = Song::steady(140.0, 4, 4);
    for step in 0..32_u8 {
        song = song.with_note(f64::from(step) / 2.0, 0.4, 48 + step);
    }
    on_every_host(|host| {
        host.activate(48_000.0, 512).expect("activates");
        let mut player = Player::new(&song, 48_000.0, 0.0);
        let blocks: Vec<Block> = player.blocks_until(16.5, ragged(3, 512)).collect();
        assert_eq!(blocks.iter().map(|block| block.events.len()).sum::<usize>(), 64);
        let heard = host.play(&mut blocks.iter().cloned());
        assert_eq!(heard.len(), blocks.len());
        for (block, heard) in blocks.iter().zip(&heard) {
            assert_eq!(heard.left.len(), block.frames);
            assert_ne!(heard.status, Status::Failed);
        }
    });
}

#[test]
fn odd_blocks_do_no_harm() {
    let nonsense = HostTransport {
        beats: Some(f64::NAN),
        seconds: Some(f64::NEG_INFINITY),
        tempo: Some(-0.0),
        signature: Some((0, -3)),
        cycle: Some((9.0, 1.0)),
        bar_number: Some(i32::MIN),
        ..HostTransport::default()
    };
    let all = EventKind::NoteOff { key: -1, channel: -1, velocity: 0.0 };
    let mut block = Block::empty(64)
        .with(63, note_on(60))
        .with(3, note_on(60))
        .with(1_000_000, note_on(61))
        .with(0, all)
        .with(0, EventKind::Choke { key: 60, channel: -1 })
        .with(7, EventKind::RawMidi([0x90, 60, 0]))
        .with(7, EventKind::RawMidi([0xf8, 0, 0]))
        .with(7, EventKind::Transport(nonsense))
        .with(7, EventKind::Param { id: 12_345, value: 0.5 });
    on_every_host(|host| {
        host.activate(48_000.0, 64).expect("activates");
        assert_ne!(host.process(&block).status, Status::Failed);
    });
    block.transport = Some(nonsense);
    on_every_host(|host| {
        host.activate(48_000.0, 64).expect("activates");
        assert_ne!(host.process(&block).status, Status::Failed);
        assert_ne!(host.process(&Block::empty(0)).status, Status::Failed);
        assert_ne!(host.process(&Block::empty(64)).status, Status::Failed);
    });
}

#[test]
fn a_saved_state_loads_and_is_saved_alike() {
    on_every_host(|host| {
        let cold = host.save_state();
        assert!(!cold.is_empty());
        assert!(host.load_state(&cold));
        host.activate(48_000.0, 64).expect("activates");
        assert!(host.load_state(&cold), "while active");
        assert_ne!(host.process(&Block::empty(64)).status, Status::Failed);
        assert_eq!(host.save_state(), cold);
    });
}

#[test]
fn a_cut_state_is_refused_and_the_old_one_stays() {
    on_every_host(|host| {
        host.activate(48_000.0, 64).expect("activates");
        let state = host.save_state();
        for length in [0, 1, 2, state.len() / 2, state.len() - 1] {
            assert!(!host.load_state(&state[..length]), "{length} of {} bytes", state.len());
        }
        assert_ne!(host.process(&Block::empty(64)).status, Status::Failed);
        assert_eq!(host.save_state(), state);
    });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn random_bytes_are_refused(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        on_every_host(|host| {
            host.activate(48_000.0, 64).expect("activates");
            let state = host.save_state();
            assert!(!host.load_state(&bytes));
            assert_eq!(host.save_state(), state);
        });
    }
}

#[test]
fn parameters_can_be_listed_and_set() {
    on_every_host(|host| {
        for active in [false, true] {
            if active {
                host.activate(48_000.0, 64).expect("activates");
            }
            for parameter in host.parameters() {
                assert!(parameter.min < parameter.max, "{parameter:?}");
                assert!((parameter.min..=parameter.max).contains(&parameter.value));
                assert!(!parameter.name.is_empty() && !parameter.text.is_empty());
                host.set_parameter(parameter.id, parameter.at(1.0));
                let after = host.parameters();
                let after = after.iter().find(|p| p.id == parameter.id).expect("it is still there");
                assert_eq!(after.value, parameter.max, "{parameter:?}");
                host.set_parameter(parameter.id, parameter.value);
            }
        }
        // Nothing is asked of a plugin about a number that it does not have.
        let unknown = parameter_number("no such parameter");
        assert!(host.parameters().iter().all(|parameter| parameter.id != unknown));
    });
}

#[test]
fn clap_blocks_may_come_from_any_thread_and_alongside_the_main_one() {
    let mut rig = ClapRig::linked().expect("the linked plugin");
    rig.activate(48_000.0, 64).expect("activates");
    for _ in 0..4 {
        assert_ne!(rig.process_on_new_thread(&Block::empty(64)).status, Status::Failed);
    }
    let blocks = vec![Block::empty(64).with(5, note_on(64)); 500];
    let (states, heard) = rig.alongside(&blocks, |main| {
        (0..20)
            .map(|_| {
                let state = main.save_state();
                assert!(main.load_state(&state));
                state
            })
            .collect::<Vec<_>>()
    });
    assert_eq!((states.len(), heard.len()), (20, 500));
    assert!(heard.iter().all(|heard| heard.status != Status::Failed));
    rig.reset();
    assert_ne!(rig.process(&Block::empty(64)).status, Status::Failed);
}

#[test]
fn each_host_knows_what_it_cannot_say() {
    let song = Song::steady(120.0, 4, 4).with_note(0.0, 1.0, 60);
    let mut player = Player::new(&song, 48_000.0, 0.0);
    let plain = player.block(64);
    player.recording = true;
    let recording = player.block(64);
    let clap = ClapRig::linked().expect("the linked plugin");
    let vst3 = Vst3Rig::load(&bundle::vst3()).expect("the VST3 bundle");
    let choked = plain.clone().with(0, EventKind::Choke { key: 60, channel: 0 });
    for (block, in_vst3) in
        [(plain, true), (recording, false), (Block::empty(64), false), (choked, false)]
    {
        assert!(clap.can_represent(&block));
        assert_eq!(vst3.can_represent(&block), in_vst3, "{block:?}");
    }
}
