//! The plugin's own window on a display: it opens embedded, is clicked through its views, resizes,
//! keeps view and size in the saved state and opens again at them, while notes play.
#![cfg(target_os = "linux")]

use overbar_testkit::skipped;
use overbar_tests::host::{ClapRig, GuiHost, Host, Player};
use overbar_tests::window::{HostWindow, own_display};
use overbar_tests::{bundle, live, practice};
use std::process::{Command, Stdio};
use std::time::Duration;

fn roll(plugin: &mut ClapRig, window: &HostWindow, player: &mut Player, blocks: usize) {
    for _ in 0..blocks {
        let block = player.block(512);
        plugin.process(&block);
        plugin.service();
        window.settle(Duration::from_millis(10)).unwrap();
    }
}

/// Clicks at a point of the display; whether there is a program to do that.
fn click((x, y): (u32, u32)) -> bool {
    let (x, y) = (x.to_string(), y.to_string());
    let clicked = Command::new("xdotool")
        .args(["mousemove", &x, &y, "sleep", "0.1", "click", "1"])
        .stderr(Stdio::null())
        .status();
    clicked.is_ok_and(|status| status.success())
}

/// The view that a saved state has.
fn saved_tab(state: &[u8]) -> Option<String> {
    // The panel's part of it is JSON in a string of JSON.
    let text = String::from_utf8_lossy(state).replace('\\', "");
    let (_, tab) = text.split_once("\"tab\":\"")?;
    Some(tab.split_once('"')?.0.to_owned())
}

/// Leaves a picture of the window for whoever wants to look, and sees that there is something on it.
fn picture(window: &HostWindow, name: &str) {
    let (width, height) = (640, 400);
    let pixels = window.picture(width, height).unwrap();
    let folder = bundle::clap().parent().unwrap().with_file_name("window");
    std::fs::create_dir_all(&folder).unwrap();
    let colour = image::ColorType::Rgb8;
    let path = folder.join(format!("{name}.png"));
    image::save_buffer(path, &pixels, width.into(), height.into(), colour).unwrap();
    let mut colours: Vec<&[u8]> = pixels.chunks_exact(3).collect();
    colours.sort_unstable();
    colours.dedup();
    assert!(colours.len() > 20, "{name}: {} colours", colours.len());
}

/// Where each view's tab lies in a window of 640 by 400, and what it is saved as.
const TABS: [((u32, u32), &str); 6] = [
    ((88, 12), "takes"),
    ((136, 12), "comp"),
    ((190, 12), "practice"),
    ((253, 12), "progress"),
    ((596, 12), "settings"),
    ((36, 12), "playing"),
];

#[test]
fn the_window_keeps_its_view_and_size() {
    if !own_display("the plugin's own window") {
        return;
    }
    let window = HostWindow::open("Overbar", (900, 700)).unwrap();
    let mut plugin = ClapRig::load(&bundle::clap()).unwrap();
    plugin.activate(live::RATE, 512).unwrap();
    let mut player = Player::new(&practice::takes()[1].song, live::RATE, 0.0);
    let opened = match plugin.open_gui(window.id(), 1.0) {
        Ok(size) => size,
        Err(why) => {
            skipped(&format!("the plugin's own window: it does not open ({why})"));
            return;
        }
    };
    assert_eq!(opened, (640, 400));
    assert!(plugin.gui_can_resize());
    while player.position() < 60.0 {
        plugin.process(&player.block(512));
    }
    roll(&mut plugin, &window, &mut player, 50);
    for (place, tab) in TABS {
        if !click(place) {
            skipped("clicks on the plugin's own window: there is no xdotool");
            break;
        }
        roll(&mut plugin, &window, &mut player, 50);
        assert_eq!(saved_tab(&plugin.save_state()).as_deref(), Some(tab));
        picture(&window, tab);
    }
    assert_eq!(plugin.resize_gui((800, 520)).unwrap(), (800, 520));
    roll(&mut plugin, &window, &mut player, 50);
    assert_eq!(plugin.gui_size(), Some((800, 520)));

    // Closed and opened again while it rolls.
    plugin.close_gui();
    assert_eq!(plugin.open_gui(window.id(), 1.0).unwrap(), (800, 520));
    roll(&mut plugin, &window, &mut player, 20);
    let state = plugin.save_state();
    plugin.close_gui();

    let mut other = ClapRig::load(&bundle::clap()).unwrap();
    assert!(other.load_state(&state));
    assert_eq!(other.open_gui(window.id(), 1.0).unwrap(), (800, 520));
    // Less than it can show is not taken.
    let least = other.resize_gui((100, 100)).unwrap();
    assert!(least.0 >= 420 && least.1 >= 260, "{least:?}");
    other.close_gui();
    // The framework's window thread ends a little later than the window; the process is not to end
    // while it still frees what belongs to the graphics driver.
    window.settle(Duration::from_millis(500)).unwrap();
}
