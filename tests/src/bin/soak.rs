//! `soak [--hours N] [--watched]`: a rehearsal of eight hours, as fast as possible. Exit code 1 if a note is
//! lost, a figure differs, memory grows without notes, or memory, the saved state or the time to save it
//! exceeds its limit. With `--watched`, under a tool that slows it down and needs memory of its own, there
//! are no limits on time and memory.

use overbar_tests::soak::soak;
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// Limit of a note in all: in the session, in its packed take and in everything made from it.
const BYTES_A_NOTE: f64 = 600.0;

/// Limits of the memory that the process uses on top of what it used before the plugin was loaded, and of a
/// saved state, in bytes.
const MAX_MEMORY: u64 = 64 << 20;
const MAX_SAVED: usize = 4 << 20;

/// Limit of a save.
const LONGEST_SAVE: Duration = Duration::from_millis(500);

/// Limit of half an hour without a note, which is what the allocator keeps.
const IDLE_BYTES: i64 = 4 << 20;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let watched = arguments.last().is_some_and(|last| last == "--watched");
    let hours = match arguments.get(..arguments.len() - usize::from(watched)).unwrap_or_default() {
        [] => Some(8.0),
        [option, hours] if option == "--hours" => hours.parse().ok(),
        _ => None,
    };
    let Some(hours) = hours else {
        say("soak [--hours N] [--watched]");
        return ExitCode::from(2);
    };
    let began = Instant::now();
    let soaked = soak(hours);
    say(&format!(
        "{hours} hours in {:.0} s: {} notes in {} takes, {} kept, {} events lost",
        began.elapsed().as_secs_f64(),
        soaked.notes,
        soaked.takes,
        soaked.kept,
        soaked.dropped
    ));
    say(&format!(
        "{} saves, the longest {:?} (at most {LONGEST_SAVE:?}), the last {} bytes (at most \
         {MAX_SAVED}); the longest block {:?}",
        soaked.saves, soaked.longest_save, soaked.state, soaked.longest_block
    ));
    let bytes = soaked.bytes_a_note();
    say(&format!(
        "memory: {} bytes a note (at most {BYTES_A_NOTE}), {} bytes in an idle half hour (at most {IDLE_BYTES})",
        bytes.map_or("unknown".to_owned(), |bytes| format!("{bytes:.0}")),
        soaked.idle_growth
    ));
    say(&format!(
        "the plugin holds {} bytes at most (at most {MAX_MEMORY})",
        soaked.memory_at_most.map_or("unknown".to_owned(), |bytes| bytes.to_string())
    ));
    say(&format!("{} takes differ from a fresh analysis", soaked.different));
    let whole = soaked.kept == soaked.notes && soaked.dropped == 0 && soaked.different == 0;
    let flat = bytes.is_none_or(|b| b <= BYTES_A_NOTE) && soaked.idle_growth <= IDLE_BYTES;
    let small = soaked.memory_at_most.is_none_or(|bytes| bytes <= MAX_MEMORY);
    let quick = soaked.longest_save <= LONGEST_SAVE;
    let well = soaked.state <= MAX_SAVED && (watched || (flat && small && quick));
    if whole && well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

#[expect(clippy::print_stdout, reason = "what the program is for")]
fn say(line: &str) {
    println!("{line}");
}
