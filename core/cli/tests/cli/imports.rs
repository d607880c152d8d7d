//! The program is small, starts at once, and links no window, audio or host library.

use crate::support::Desk;
use std::process::Command;

/// Libraries that every program on its system links.
const PLAIN: [&str; 6] =
    ["libc.so", "libm.so", "libgcc_s.so", "ld-linux", "linux-vdso", "libpthread.so"];

#[test]
fn it_depends_on_no_window_sound_or_host_library() {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let tree = Command::new(cargo)
        .args([
            "tree",
            "--offline",
            "--package",
            "overbar-cli",
            "--edges",
            "normal,build",
            "--prefix",
            "none",
        ])
        .output()
        .unwrap();
    let tree = String::from_utf8(tree.stdout).unwrap();
    assert!(tree.contains("overbar-core "), "{tree}");
    for library in [
        "nice-plug",
        "egui",
        "winit",
        "x11",
        "wayland",
        "alsa",
        "jack",
        "cpal",
        "clap-sys",
        "vst3",
        "rusqlite",
    ] {
        let is_there = tree.lines().any(|line| line.starts_with(library));
        assert!(!is_there, "overbar-cli depends on {library}: {tree}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn it_links_the_systems_own_libraries_only() {
    let Ok(linked) = Command::new("ldd").arg(env!("CARGO_BIN_EXE_overbar")).output() else {
        return overbar_testkit::skipped("libraries that overbar links: there is no ldd");
    };
    let linked = String::from_utf8(linked.stdout).unwrap();
    for line in linked.lines() {
        assert!(PLAIN.iter().any(|plain| line.contains(plain)), "{line}");
    }
}

/// The first and second half of start-up, in an unoptimised build; the goal is 50 ms in release.
#[test]
fn it_starts_at_once() {
    let desk = Desk::new();
    let times = (0..5).map(|_| {
        let began = std::time::Instant::now();
        assert_eq!(desk.run(&["review", "solo.mid"]).code, Some(0));
        began.elapsed()
    });
    let fastest = times.min().unwrap();
    assert!(fastest.as_millis() < 500, "{fastest:?}");
}
