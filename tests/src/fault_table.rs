//! `tests/faults.md`: faults of hosts and players, how each was tested, and the result. Each fault's test
//! compares its own row with the file, and writes it if `UPDATE_SNAPSHOTS` is set, as for the pictures.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

const HEAD: &str = "# Faults, and what comes of them

Written by the tests that try them: `UPDATE_SNAPSHOTS=1 cargo test -p overbar-tests`. *CLAP* is the
built plugin and the one linked into the tests, in which an allocation on the audio thread aborts;
*VST3* is the built plugin, and for what a well-bred host would never send the linked one.
";

/// Faults by their source, in the order of the table.
pub const SECTIONS: [(&str, &[&str]); 6] = [
    (
        "Transport",
        &[
            "first rolling block before the song's start",
            "position moving while stopped",
            "locate while rolling, by way of a stopped block",
            "locate while rolling, at once",
            "loop wrap",
            "the loop's first note ahead of the wrap",
            "tempo and metre changing inside a block",
            "no transport at first",
            "no transport at all",
            "transport of NaN and infinities",
            "transport that runs backwards",
            "transport that stands still while it rolls",
            "tempo of 0.1 and of 960",
            "metres from 1/1 to 32/32",
        ],
    ),
    (
        "Events",
        &[
            "notes while stopped, a test note on load",
            "unsorted events",
            "duplicate events",
            "events out of the block's range",
            "events of all kinds at random",
            "note-off without a note-on",
            "5,000 events in a block",
            "wildcards",
        ],
    ),
    (
        "Blocks",
        &[
            "sample rates from 1 to 768 kHz",
            "blocks of 1 to 16,384 samples",
            "blocks longer than announced",
            "blocks of no frames",
            "no output buffers",
            "another thread at each block",
            "offline bounce at 200 times real time",
        ],
    ),
    (
        "Life",
        &[
            "made and thrown away at scan",
            "activated and deactivated in cycles",
            "64 instances, dropped in any order on any thread",
            "window opened, closed and opened while rolling",
            "quit with the window open",
        ],
    ),
    (
        "State",
        &[
            "restored after activation",
            "saved and loaded while notes play",
            "loaded from another thread",
            "truncated, random, huge",
            "of a newer version",
        ],
    ),
    (
        "Inside",
        &[
            "worker stalled for a second",
            "worker killed",
            "panic in the analysis",
            "panic while the state is saved",
            "panic while a state is loaded",
            "panic in the panel",
        ],
    ),
];

static FILE: Mutex<()> = Mutex::new(());

fn path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("faults.md")
}

/// Compares a fault's row with the table, or writes it there.
///
/// # Panics
/// If the table has no such fault, or another row for it.
pub fn row(fault: &str, tried: &str, result: &str) {
    let known = SECTIONS.iter().any(|(_, faults)| faults.contains(&fault));
    assert!(known, "no such fault: {fault}");
    let row = format!("| {fault} | {tried} | {result} |");
    let _one_at_a_time = FILE.lock().unwrap_or_else(PoisonError::into_inner);
    let table = std::fs::read_to_string(path()).unwrap_or_default();
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(path(), with_row(&table, fault, &row)).expect("the table can be written");
    } else {
        let found = table.lines().find(|line| is_of(line, fault));
        assert_eq!(found, Some(row.as_str()), "set UPDATE_SNAPSHOTS to write tests/faults.md");
    }
}

/// Whether the table has a row for every fault, in order, and nothing else.
#[must_use]
pub fn is_complete() -> bool {
    let table = std::fs::read_to_string(path()).unwrap_or_default();
    let missing = SECTIONS.iter().flat_map(|(_, faults)| *faults);
    let all_there = missing.clone().all(|fault| table.lines().any(|line| is_of(line, fault)));
    all_there && with_row(&table, "", "") == table
}

fn is_of(line: &str, fault: &str) -> bool {
    line.strip_prefix("| ").and_then(|rest| rest.split(" | ").next()) == Some(fault)
}

/// The table with `row` for `fault`, and the existing rows of `table` for the others.
fn with_row(table: &str, fault: &str, row: &str) -> String {
    let mut text = HEAD.to_owned();
    for (section, faults) in SECTIONS {
        let written = write!(text, "\n## {section}\n\n| fault | tried | result |\n|---|---|---|\n");
        assert!(written.is_ok(), "a string takes what is written to it");
        for one in faults {
            let row = if *one == fault { Some(row) } else { table.lines().find(|l| is_of(l, one)) };
            text.extend(row.into_iter().flat_map(|row| [row, "\n"]));
        }
    }
    text
}
