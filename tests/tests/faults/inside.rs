//! Faults of the plugin itself: a worker that stalls or dies, and panics that a test injects.

use crate::support::*;
use overbar::audio::link::QUEUE_CAPACITY;
use overbar::host::inspect::last_made_here;
use overbar::runtime::faults::FaultPoint;
use overbar::worker::shared::Shared;
use overbar_tests::fault_table::row;
use overbar_tests::host::{Block, ClapRig, Host, Player, Status};
use overbar_tests::{live, practice};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The linked plugin, active, and what its threads share.
fn opened() -> (ClapRig, Arc<Shared>) {
    let mut host = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    (host, shared)
}

fn wait_until(what: &str, done: impl Fn() -> bool) {
    let began = Instant::now();
    while !done() {
        assert!(began.elapsed() < Duration::from_secs(90), "{what}");
        std::thread::sleep(Duration::from_millis(1));
    }
}

fn has_notice(shared: &Shared, words: &str) -> bool {
    shared.panel.notices().iter().any(|notice| notice.contains(words))
}

#[test]
fn a_worker_that_stalls() {
    let (mut host, shared) = opened();
    let mut sent = 0;
    let stalled = shared.session();
    let began = Instant::now();
    for number in 0..4_i32 {
        let mut block = rolling(4_096, 1.0 + f64::from(number) * 4_096.0 / 24_000.0);
        for note in 0..2_500_u32 {
            let key = (note % 128) as i16;
            block = block.with(note, on(key)).with(note + 40, off(key));
        }
        sent += block.events.len();
        assert_eq!(host.process(&block).events.len(), 4_096, "the host takes no more than that");
    }
    let held_up = began.elapsed();
    std::thread::sleep(Duration::from_secs(1).saturating_sub(held_up));
    drop(stalled);
    // The blocks' transport is queued as well.
    let lost = shared.audio.headline.dropped() as usize;
    assert!((sent - QUEUE_CAPACITY..sent - QUEUE_CAPACITY + 8).contains(&lost), "{lost}");
    assert!(held_up < Duration::from_secs(1), "the audio thread was held up for {held_up:?}");
    wait_until("the queue is heard", || shared.audio.queued() == 0);
    let mut player = Player::new(&four(), live::RATE, 3.0);
    stop(&mut host, &mut player);
    hears_on("CLAP", &mut host);
    assert_eq!(shared.audio.headline.dropped() as usize, lost, "nothing is lost after it");
    row(
        "worker stalled for a second",
        "20,000 events in four blocks meanwhile, of which the queue holds 16,384; linked CLAP",
        &format!("the audio thread goes on, what did not fit is counted and shown; {HEARD_ON}"),
    );
}

#[test]
fn a_worker_that_is_killed() {
    let (mut host, shared) = opened();
    shared.faults.arm(FaultPoint::Worker);
    wait_until("the worker dies", || !shared.faults.is_armed(FaultPoint::Worker));
    hears_on("CLAP", &mut host);
    // The next worker hears, without a state being saved. The old one may take its time to die.
    let before = shared.panel.snapshot().take;
    let began = Instant::now();
    while shared.panel.snapshot().take <= before {
        assert!(began.elapsed() < Duration::from_secs(20), "a new worker hears");
        host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
        live::play(&mut host, &four(), &mut std::iter::repeat(256));
        std::thread::sleep(Duration::from_millis(20));
    }
    row(
        "worker killed",
        "its thread ends at once; linked CLAP",
        "notes wait in the queue and are saved; activating again starts another worker",
    );
}

#[test]
fn a_panic_in_the_analysis() {
    let (mut host, shared) = opened();
    let song = &practice::takes()[0].song;
    let mut player = Player::new(song, live::RATE, 0.0);
    let blocks: Vec<Block> = player.blocks_until(132.0, std::iter::repeat(512)).collect();
    for (number, block) in blocks.iter().enumerate() {
        if number == blocks.len() / 2 {
            wait_until("the queue is heard", || shared.audio.queued() == 0);
            shared.faults.arm(FaultPoint::Analysis);
            wait_until("it is reported", || {
                has_notice(&shared, "Analysis restarted after an error")
            });
        }
        assert_ne!(host.process(block).status, Status::Failed);
    }
    stop(&mut host, &mut player);
    let takes = live::takes(&mut host);
    let notes: usize = takes.iter().map(|take| take.soloist.notes().len()).sum();
    assert_eq!((takes.len(), notes), (2, song.notes.len()));
    hears_on("CLAP", &mut host);
    row(
        "panic in the analysis",
        "in the middle of a take; linked CLAP",
        "host lives, panel says so, the take is two, no note is lost",
    );
}

#[test]
fn a_panic_while_the_state_is_saved() {
    let (mut host, shared) = opened();
    hears_on("CLAP", &mut host);
    shared.faults.arm(FaultPoint::Saving);
    assert!(overbar::host::state::takes_in(&host.save_state()).is_err());
    assert!(has_notice(&shared, "could not be saved"));
    assert_eq!(beats(&live::takes(&mut host)[0]), FOUR);
    hears_on("CLAP", &mut host);
    row(
        "panic while the state is saved",
        "once; linked CLAP",
        "host lives, panel says so and to save again; the next state is whole",
    );
}

#[test]
fn a_panic_while_a_state_is_loaded() {
    let (mut host, shared) = opened();
    hears_on("CLAP", &mut host);
    let state = host.save_state();
    let (mut other, others) = opened();
    hears_on("CLAP", &mut other);
    others.faults.arm(FaultPoint::Loading);
    other.load_state(&state);
    assert!(has_notice(&others, "could not be read"));
    assert_eq!(live::takes(&mut other).len(), 1, "what was heard is still there");
    assert!(other.load_state(&state));
    // What the library has to say, which all tests share, is another matter.
    assert!(!shared.panel.notices().iter().any(|notice| notice.contains("could not be read")));
    hears_on("CLAP", &mut other);
    row(
        "panic while a state is loaded",
        "once; linked CLAP",
        "host lives, panel says so, what was heard is still there",
    );
}

#[test]
fn a_released_plugin_has_no_fault_to_inject() {
    let mark = b"a fault injected by a test";
    let binary = std::fs::read(overbar_tests::bundle::clap()).unwrap();
    assert!(!binary.windows(mark.len()).any(|window| window == mark));
}
