//! `soak [--hours N] [--watched]`: a rehearsal of eight hours, as fast as it goes. Exit code 1 where
//! a note was lost, a figure differs, memory grows without notes, or memory, the saved state or the
//! time to save it passes its bound. What is `--watched` by a tool that slows it and needs memory of
//! its own is held to neither time nor memory.

use overbar_tests::soak::soak;
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// Most a note may take in all: in the session, in its packed take and in what was made of it.
const BYTES_A_NOTE: f64 = 600.0;

/// Most that the process may hold in memory with the plugin, beyond what it did before, and that a
/// saved state may have, in bytes.
const MOST_MEMORY: u64 = 64 << 20;
const MOST_SAVED: usize = 4 << 20;

/// The longest that a save may take.
const LONGEST_SAVE: Duration = Duration::from_millis(500);

/// Most that half an hour without a note may take, which is what the allocator keeps for itself.
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
         {MOST_SAVED}); the longest block {:?}",
        soaked.saves, soaked.longest_save, soaked.state, soaked.longest_block
    ));
    let bytes = soaked.bytes_a_note();
    say(&format!(
        "memory: {} bytes a note (at most {BYTES_A_NOTE}), {} bytes in an idle half hour (at most {IDLE_BYTES})",
        bytes.map_or("unknown".to_owned(), |bytes| format!("{bytes:.0}")),
        soaked.idle_growth
    ));
    say(&format!(
        "the plugin holds {} bytes at most (at most {MOST_MEMORY})",
        soaked.memory_at_most.map_or("unknown".to_owned(), |bytes| bytes.to_string())
    ));
    say(&format!("{} takes differ from a fresh analysis", soaked.different));
    let whole = soaked.kept == soaked.notes && soaked.dropped == 0 && soaked.different == 0;
    let flat = bytes.is_none_or(|b| b <= BYTES_A_NOTE) && soaked.idle_growth <= IDLE_BYTES;
    let small = soaked.memory_at_most.is_none_or(|bytes| bytes <= MOST_MEMORY);
    let quick = soaked.longest_save <= LONGEST_SAVE;
    let well = soaked.state <= MOST_SAVED && (watched || (flat && small && quick));
    if whole && well { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

#[expect(clippy::print_stdout, reason = "what the program is for")]
fn say(line: &str) {
    println!("{line}");
}
