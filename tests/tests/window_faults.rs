//! Faults of the plugin's own window: opened, closed and opened while notes play, a panic in the
//! panel, and a host that quits with the window open. Each writes its row of `tests/faults.md`.
#![cfg(all(target_os = "linux", feature = "faults"))]

use overbar::host::inspect::last_made_here;
use overbar::runtime::faults::FaultPoint;
use overbar_testkit::skipped;
use overbar_tests::fault_table::row;
use overbar_tests::host::{ClapRig, GuiHost, Host, Player, Vst3Rig};
use overbar_tests::window::{HostWindow, own_display};
use overbar_tests::{bundle, live, practice};
use std::process::{Command, Stdio};
use std::time::Duration;

/// Set, to the plugin's format, for the process that quits with its window open.
const QUITS: &str = "OVERBAR_TEST_QUITS";

/// How that process ends, so that it is known to have come so far.
const QUIT: i32 = 40;

fn roll(plugin: &mut dyn Host, window: &HostWindow, player: &mut Player, blocks: usize) {
    for _ in 0..blocks {
        plugin.process(&player.block(512));
        plugin.service();
        window.settle(Duration::from_millis(10)).unwrap();
    }
}

fn opened_and_closed<H: Host + GuiHost>(plugin: &mut H, window: &HostWindow) {
    plugin.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    let song = &practice::takes()[0].song;
    let mut player = Player::new(song, live::RATE, 0.0);
    for _ in 0..5 {
        plugin.open_gui(window.id(), 1.0).unwrap();
        roll(plugin, window, &mut player, 20);
        plugin.close_gui();
        roll(plugin, window, &mut player, 5);
    }
    let blocks: Vec<_> = player.blocks_until(132.0, std::iter::repeat(512)).collect();
    plugin.play(&mut blocks.into_iter());
    let takes = live::takes(plugin);
    assert_eq!(takes.len(), 1);
    assert_eq!(takes[0].soloist.notes().len(), song.notes.len());
}

fn panics(window: &HostWindow) {
    let mut plugin = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    plugin.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    let song = &practice::takes()[0].song;
    let mut player = Player::new(song, live::RATE, 0.0);
    plugin.open_gui(window.id(), 1.0).unwrap();
    roll(&mut plugin, window, &mut player, 20);
    shared.faults.arm(FaultPoint::Panel);
    for _ in 0..200 {
        roll(&mut plugin, window, &mut player, 1);
        if shared.panel.notices().iter().any(|notice| notice.contains("The window crashed")) {
            break;
        }
    }
    let notices = shared.panel.notices();
    assert!(notices.iter().any(|notice| notice.contains("The window crashed")), "{notices:?}");
    // It opens again, and what was played meanwhile is there.
    plugin.close_gui();
    plugin.open_gui(window.id(), 1.0).unwrap();
    roll(&mut plugin, window, &mut player, 20);
    let blocks: Vec<_> = player.blocks_until(132.0, std::iter::repeat(512)).collect();
    plugin.play(&mut blocks.into_iter());
    assert_eq!(live::takes(&mut plugin)[0].soloist.notes().len(), song.notes.len());
    plugin.close_gui();
}

/// While the window is hidden the panel draws nothing, although there is much that is new.
fn hidden(window: &HostWindow) {
    let mut plugin = ClapRig::linked().unwrap();
    let shared = last_made_here().unwrap();
    plugin.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    let mut player = Player::new(&practice::takes()[0].song, live::RATE, 0.0);
    plugin.open_gui(window.id(), 1.0).unwrap();
    let mut drawn = |plugin: &mut ClapRig| {
        let before = shared.faults.frames();
        roll(plugin, window, &mut player, 60);
        shared.faults.frames() - before
    };
    let seen = drawn(&mut plugin);
    plugin.show_gui(false).unwrap();
    // What was under way when it was hidden.
    window.settle(Duration::from_millis(100)).unwrap();
    let unseen = drawn(&mut plugin);
    plugin.show_gui(true).unwrap();
    let again = drawn(&mut plugin);
    assert!(seen > 5 && again > 5, "{seen} frames, then {again}");
    assert_eq!(unseen, 0, "frames of a window that is hidden");
    plugin.close_gui();
}

/// In a process of its own. Says how far it came.
fn quits<H: Host + GuiHost>(mut plugin: H, window: &HostWindow) -> ! {
    plugin.activate(live::RATE, 512).unwrap();
    plugin.open_gui(window.id(), 1.0).unwrap();
    let mut player = Player::new(&practice::takes()[0].song, live::RATE, 0.0);
    roll(&mut plugin, window, &mut player, 30);
    std::process::exit(QUIT)
}

#[test]
fn the_window_is_survived() {
    if !own_display("faults of the plugin's own window") {
        return;
    }
    let window = HostWindow::open("Overbar", (900, 700)).unwrap();
    let mut plugin = ClapRig::load(&bundle::clap()).unwrap();
    if let Err(why) = plugin.open_gui(window.id(), 1.0) {
        skipped(&format!("faults of the plugin's own window: it does not open ({why})"));
        return;
    }
    plugin.close_gui();
    match std::env::var(QUITS).as_deref() {
        Ok("CLAP") => quits(plugin, &window),
        Ok(_) => quits(Vst3Rig::load(&bundle::vst3()).unwrap(), &window),
        Err(_) => {}
    }
    opened_and_closed(&mut plugin, &window);
    opened_and_closed(&mut Vst3Rig::load(&bundle::vst3()).unwrap(), &window);
    row(
        "window opened, closed and opened while rolling",
        "five times during a take; CLAP, VST3",
        "no note is lost",
    );
    hidden(&window);
    panics(&window);
    row(
        "panic in the panel",
        "while it draws during a take; linked CLAP",
        "host lives, panel says so and opens again, no note is lost",
    );
    for format in ["CLAP", "VST3"] {
        let child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "the_window_is_survived"])
            .env(QUITS, format)
            .stdout(Stdio::null())
            .status();
        assert_eq!(child.unwrap().code(), Some(QUIT), "{format}");
    }
    row(
        "quit with the window open",
        "the process ends in the middle of a take; CLAP, VST3",
        "it ends as it should, without a crash",
    );
    // The framework's window thread ends a little later than the window.
    window.settle(Duration::from_millis(500)).unwrap();
}
