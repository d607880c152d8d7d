//! What an instance holds in memory and saves after a long day: 300,000 notes in eight hours, over
//! many takes or in a single one.
//!
//! Counted is what a session, its keeper, the thread that writes the library with its SQLite, and
//! a saved project take, at their most: the bytes that Rust has allocated, and what the process has
//! come to hold in memory where the system tells it. The window and the host are not in it; `soak`
//! has the whole plugin.

#![expect(clippy::print_stderr, reason = "what was measured, and what could not be")]

#[expect(dead_code, reason = "the whole process is looked at here, not one thread")]
mod counting;
mod day;

use day::{Day, NOTES};
use std::time::Duration;

/// Most that an instance may hold.
const MAX_BYTES: usize = 64 << 20;
/// Most that a saved project may have, and the longest time to save it.
const MAX_SAVED: usize = 4 << 20;
const LONGEST_SAVE: Duration = Duration::from_millis(500);

/// One after the other, as both are measured in the same process.
#[test]
fn a_long_day_stays_within_its_memory() {
    for takes in [120, 1] {
        let day = Day::played(takes);
        let resident = day.resident.map_or("unknown".to_owned(), mebibytes);
        eprintln!(
            "{NOTES} notes in {takes} takes: {} allocated at most, {} at the end, {resident} more \
             in memory at most; saved {} in {:?}",
            mebibytes(day.peak),
            mebibytes(day.at_the_end),
            mebibytes(day.saved),
            day.longest_save,
        );
        assert!(day.peak <= MAX_BYTES, "{takes} takes: {} bytes", day.peak);
        match day.resident {
            Some(resident) => assert!(resident <= MAX_BYTES, "{takes} takes: {resident} bytes"),
            None => {
                eprintln!("*** MEMORY OF THE PROCESS WAS NOT CHECKED: the system has no /proc ***")
            }
        }
        assert!(day.saved <= MAX_SAVED, "{takes} takes: {} bytes", day.saved);
        assert!(day.longest_save <= LONGEST_SAVE, "{takes} takes: {:?}", day.longest_save);
    }
}

fn mebibytes(bytes: usize) -> String {
    format!("{:.1} MiB", bytes as f64 / f64::from(1 << 20))
}
