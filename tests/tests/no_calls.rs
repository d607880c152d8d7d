//! No system call from the audio thread: blocks are processed under a filter of the kernel's that
//! ends the thread's process at the first one. Linux only; the other systems run the same code.
#![cfg(target_os = "linux")]

use overbar::command::Command as Asked;
use overbar::host::inspect::last_made_here;
use overbar::view_model::hear::{HearRequest, HearWhat};
use overbar_testkit::skipped;
use overbar_tests::host::{Block, ClapRig, EventKind, Host, HostTransport, Prepared, ragged};
use overbar_tests::{bundle, live, practice};
use std::process::Command;
use std::time::Duration;

/// Set for the process that is filtered: what it is to do under the filter.
const FILTERED: &str = "OVERBAR_TEST_FILTERED";

/// Exit code where the kernel takes no filter.
const NO_FILTER: i32 = 77;
/// Exit code where nothing was heard.
const NOT_HEARD: i32 = 78;
/// Exit code of a process that met a call it may not make, less the call's number up to 127.
const CALLED: i32 = 100;

/// Lets the thread make no system call but the one that ends the process.
fn forbid_calls() {
    extern "C" fn caught(_: i32, info: *mut libc::siginfo_t, _: *mut libc::c_void) {
        // SAFETY: the kernel hands over the signal's information, in which the call's number
        // stands at this place for SIGSYS: three figures, padding, the caller's address.
        let number = unsafe { info.cast::<i32>().add(6).read() };
        // SAFETY: a signal handler may end its process.
        unsafe { libc::_exit(CALLED + number.clamp(0, 127)) }
    }
    let op = |code: u32, jt, jf, k| libc::sock_filter { code: code as u16, jt, jf, k };
    let load = libc::BPF_LD | libc::BPF_W | libc::BPF_ABS;
    let equal = libc::BPF_JMP | libc::BPF_JEQ | libc::BPF_K;
    let give = libc::BPF_RET | libc::BPF_K;
    let mut program = [
        // The call's number is the first word.
        op(load, 0, 0, 0),
        op(equal, 1, 0, libc::SYS_exit_group as u32),
        op(give, 0, 0, libc::SECCOMP_RET_TRAP),
        op(give, 0, 0, libc::SECCOMP_RET_ALLOW),
    ];
    let filter = libc::sock_fprog { len: program.len() as u16, filter: program.as_mut_ptr() };
    // SAFETY: the handler and the filter live long enough: the kernel copies the filter.
    unsafe {
        let mut action: libc::sigaction = std::mem::zeroed();
        action.sa_sigaction = caught as *const () as usize;
        action.sa_flags = libc::SA_SIGINFO;
        libc::sigaction(libc::SIGSYS, &action, std::ptr::null_mut());
        let allowed = libc::prctl(libc::PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0;
        let mode = libc::SECCOMP_MODE_FILTER;
        if !allowed || libc::prctl(libc::PR_SET_SECCOMP, mode, &raw const filter) != 0 {
            libc::_exit(NO_FILTER);
        }
    }
}

/// Blocks of every kind: a take with ragged blocks, a flood, wildcards, stops, parameters.
fn blocks() -> Vec<Block> {
    let song = &practice::takes()[1].song;
    let mut player = overbar_tests::host::Player::new(song, live::RATE, -1.0);
    let mut blocks: Vec<Block> = player.blocks_until(60.0, ragged(7, 2_048)).collect();
    let mut flood = player.block(512);
    for n in 0..3_000_u32 {
        let kind = match n % 4 {
            0 => EventKind::NoteOn { key: (n % 128) as i16, channel: 0, velocity: 0.5 },
            1 => EventKind::NoteOff { key: -1, channel: -1, velocity: 0.0 },
            2 => EventKind::Choke { key: (n % 128) as i16, channel: 3 },
            _ => EventKind::RawMidi([0x90, 60, 0]),
        };
        flood = flood.with((n * 37) % 512, kind);
    }
    blocks.push(flood);
    blocks.push(player.stopped(512));
    blocks.push(Block::empty(512));
    let mut nonsense = Block::empty(64);
    let (beats, tempo) = (Some(f64::NAN), Some(f64::INFINITY));
    nonsense.transport = Some(HostTransport { beats, tempo, playing: true, ..Default::default() });
    blocks.push(nonsense);
    blocks
}

/// What a process does under the filter.
const BLOCKS: &str = "blocks";
const WITH_A_CALL: &str = "blocks and a call";
const HEAR: &str = "something is heard";
const LISTEN: &str = "listen";
const TAPS: &str = "taps";
/// Exit code where no beat was tapped.
const NOT_TAPPED: i32 = 79;

/// Sets parameters to their greatest value.
fn set_to_most(rig: &mut ClapRig, ids: &[&str]) {
    for id in ids {
        let number = overbar_tests::host::parameter_number(id);
        let most = rig.parameters().iter().find(|p| p.id == number).unwrap().max;
        rig.set_parameter(number, most);
    }
}

/// Runs the blocks under the filter, and ends the process with what `code` says then.
fn run_under_filter(
    rig: &mut ClapRig,
    mut blocks: Vec<Prepared>,
    code: impl FnOnce() -> i32 + Send,
) -> ! {
    std::thread::scope(|scope| {
        let audio = rig.audio_thread();
        let work = move || {
            forbid_calls();
            for block in &mut blocks {
                audio.run(block);
            }
            let code = code();
            // SAFETY: ends the process at once, with nothing left to be done.
            unsafe { libc::_exit(code) }
        };
        drop(scope.spawn(work).join());
    });
    unreachable!("the thread ends the process")
}

/// The process that plays notes.
fn filtered(with_a_call: bool) -> ! {
    let mut rig = ClapRig::load(&bundle::clap()).unwrap();
    rig.activate(live::RATE, 4_096).unwrap();
    set_to_most(&mut rig, &["click", "click_count_in"]);
    let blocks = blocks().iter().map(|block| rig.prepare(block)).collect();
    run_under_filter(&mut rig, blocks, move || {
        if with_a_call {
            std::thread::yield_now();
        }
        0
    })
}

/// The process in which a take is heard until the host plays, beside notes that are passed on.
fn hears() -> ! {
    let mut rig = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    rig.activate(live::RATE, 4_096).unwrap();
    set_to_most(&mut rig, &["hear_loop", "hear_click", "hear_tone", "hear_level"]);
    let song = &practice::takes()[1].song;
    live::play(&mut rig, song, &mut std::iter::repeat(512));
    let pause = || std::thread::sleep(Duration::from_millis(2));
    while shared.session().takes().is_empty() {
        pause();
    }
    let take = shared.session().takes()[0].id;
    let mut player = overbar_tests::host::Player::new(song, live::RATE, 0.0);
    let on = EventKind::NoteOn { key: 90, channel: 0, velocity: 0.5 };
    let mut blocks: Vec<Block> =
        (0..600).map(|n| player.stopped(300 + n % 700).with(100, on)).collect();
    blocks.extend((0..4).map(|_| player.block(512)));
    blocks.push(player.stopped(512));
    let blocks = blocks.iter().map(|block| rig.prepare(block)).collect();
    let request = HearRequest { what: HearWhat::Take(take), called: String::new() };
    shared.panel.send(Asked::Hear(Box::new(request)));
    let link = shared.publisher.hear.link().clone();
    while !link.has_order() {
        pause();
    }
    run_under_filter(&mut rig, blocks, move || {
        let is_heard = link.begun() > 0 && link.ended() >= link.begun();
        if is_heard { 0 } else { NOT_HEARD }
    })
}

/// The process that listens: sound that comes and goes, with the click and MIDI out.
fn listens() -> ! {
    let mut rig = ClapRig::load_listening(&bundle::clap()).unwrap();
    rig.activate(live::RATE, 4_096).unwrap();
    set_to_most(&mut rig, &["click", "click_count_in", "midi_out"]);
    let song = &practice::takes()[0].song;
    let mut player = overbar_tests::host::Player::new(song, live::RATE, 0.0);
    let mut sample = 0.0_f32;
    let blocks = ragged(21, 4_096).take(400).map(|frames| {
        let mut next = || {
            sample = (sample * 1.7 + 0.31) % 1.0;
            sample - 0.5
        };
        let channel: Vec<f32> = (0..frames).map(|_| next()).collect();
        Block { sound: vec![channel.clone(), channel], events: Vec::new(), ..player.block(frames) }
    });
    let blocks: Vec<Block> = blocks.collect();
    let blocks = blocks.iter().map(|block| rig.prepare(block)).collect();
    run_under_filter(&mut rig, blocks, || 0)
}

/// The process in which taps count in and go on, with the click.
fn taps() -> ! {
    let mut rig = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    rig.activate(live::RATE, 4_096).unwrap();
    set_to_most(&mut rig, &["click", "tap_note"]);
    let number = overbar_tests::host::parameter_number("beat_source");
    let source = rig.parameters().into_iter().find(|p| p.id == number).unwrap();
    rig.set_parameter(number, source.at(0.5));
    let song = &practice::takes()[1].song;
    let mut player = overbar_tests::host::Player::new(song, live::RATE, 0.0);
    // A tap is 24,000 samples after the one before, on the highest key.
    let mut tapped = |until: i64| -> Vec<Block> {
        let mut blocks = Vec::new();
        while player.samples_played() < until {
            let tap = player.samples_played() % 24_000 == 0;
            let block = player.block(480);
            let on = EventKind::NoteOn { key: 127, channel: 0, velocity: 0.5 };
            blocks.push(if tap { block.with(0, on) } else { block });
        }
        blocks
    };
    for block in tapped(96_000) {
        rig.process(&block);
    }
    let blocks = tapped(480_000);
    while shared.session().own_beat().is_none_or(|beat| beat.line.is_none()) {
        std::thread::sleep(Duration::from_millis(2));
    }
    let blocks = blocks.iter().map(|block| rig.prepare(block)).collect();
    run_under_filter(&mut rig, blocks, move || {
        // The position is that of the taps: beat one came with the fifth.
        let beat = shared.audio.headline.playhead().map(|beat| beat.0);
        if beat.is_some_and(|beat| (beat - 16.0).abs() < 0.1) { 0 } else { NOT_TAPPED }
    })
}

fn run_filtered(what: &str) -> Option<i32> {
    let run = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "the_audio_thread_makes_no_system_call"])
        .env(FILTERED, what)
        .output();
    run.unwrap().status.code()
}

#[test]
fn the_audio_thread_makes_no_system_call() {
    match std::env::var_os(FILTERED) {
        Some(what) if what == HEAR => hears(),
        Some(what) if what == LISTEN => listens(),
        Some(what) if what == TAPS => taps(),
        Some(what) => filtered(what == WITH_A_CALL),
        None => {}
    }
    let code = run_filtered(WITH_A_CALL);
    if code == Some(NO_FILTER) {
        skipped("system calls from the audio thread: the kernel takes no filter");
        return;
    }
    assert_eq!(code, Some(CALLED + libc::SYS_sched_yield as i32), "the filter catches a call");
    for what in [BLOCKS, HEAR, LISTEN, TAPS] {
        assert_eq!(run_filtered(what), Some(0), "{what}; less {CALLED}: the number of the call");
    }
}
