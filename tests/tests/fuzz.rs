//! A short run of every fuzz target; `cargo xtask fuzz` is the long one.

use overbar_tests::fuzz::{TARGETS, Until};

/// Inputs a target: some seconds.
const INPUTS: u64 = 1_500;

fn holds(name: &str) {
    let target = TARGETS.iter().find(|target| target.name == name).unwrap();
    if let Err(failure) = target.run(20, &Until::Inputs(INPUTS)) {
        let shown = failure.input.escape_ascii();
        panic!("{name}: {}: \"{shown}\"", failure.why);
    }
}

#[test]
fn midi_files() {
    holds("midi");
}

#[test]
fn host_events() {
    holds("events");
}

#[test]
fn saved_states() {
    holds("state");
}

#[test]
fn library_rows() {
    holds("library");
}

#[test]
fn the_library_as_a_file() {
    holds("database");
}

#[test]
fn chord_lines() {
    holds("chords");
}

#[test]
fn drills() {
    holds("drill");
}
