//! Faults of the instances' lives.

use crate::support::*;
use overbar_tests::bundle;
use overbar_tests::fault_table::row;
use overbar_tests::host::{BareVst3, ClapRig, Host, Vst3Rig};
use overbar_tests::live;

#[test]
fn thrown_away_at_scan() {
    for _ in 0..5 {
        for (_, mut host) in hosts() {
            host.parameters();
        }
        for (_, mut host) in active() {
            host.save_state();
        }
    }
    for (format, mut host) in hosts() {
        hears_on(format, host.as_mut());
    }
    row(
        "made and thrown away at scan",
        "ten instances of each, half of them active, dropped at once; CLAP, VST3",
        HEARD_ON,
    );
}

#[test]
fn cycles() {
    for (format, mut host) in hosts() {
        for (rate, longest) in [(44_100.0, 64), (192e3, 1), (8e3, 4_096), (48e3, 512)].repeat(5) {
            host.activate(rate, longest).unwrap();
            host.process(&rolling(longest, 2.0));
            host.deactivate();
        }
        hears_on(format, host.as_mut());
    }
    row(
        "activated and deactivated in cycles",
        "20 times at changing rates and block sizes; CLAP, VST3",
        HEARD_ON,
    );
}

#[test]
fn sixty_four_at_once() {
    std::thread::scope(|scope| {
        for thread in 0..4_usize {
            scope.spawn(move || {
                let mut rigs: Vec<Box<dyn Host>> = Vec::new();
                for index in 0..16 {
                    let mut host: Box<dyn Host> = if index % 4 == 0 {
                        Box::new(Vst3Rig::load(&bundle::vst3()).unwrap())
                    } else {
                        Box::new(ClapRig::load(&bundle::clap()).unwrap())
                    };
                    live::play(host.as_mut(), &four(), &mut std::iter::repeat(128 + index));
                    rigs.push(host);
                }
                // Dropped out of order.
                while !rigs.is_empty() {
                    let mut host = rigs.swap_remove((thread * 7) % rigs.len());
                    assert_eq!(beats(&live::takes(host.as_mut())[0]), FOUR);
                }
            });
        }
    });
    // Made on one thread, played on another, dropped on a third.
    let made: Vec<BareVst3> = (0..64).map(|_| bare()).collect();
    let played = std::thread::scope(|scope| {
        let play = || {
            made.iter().for_each(bare_hears_on);
            made
        };
        scope.spawn(play).join().unwrap()
    });
    let drop_all = move || played.into_iter().rev().for_each(drop);
    std::thread::spawn(drop_all).join().unwrap();
    row(
        "64 instances, dropped in any order on any thread",
        "64 on four threads, then 64 made on one, played on another and dropped on a third; CLAP, VST3",
        "each hears its take whole",
    );
}
