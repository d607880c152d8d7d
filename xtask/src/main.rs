//! `cargo xtask COMMAND`: developer commands. Dispatch only; one file per command.

mod analysis;
mod bundle;
mod check;
mod demo;
mod deny;
mod listening;
mod long;
mod outcome;
mod package;
mod steps;

use crate::outcome::{Outcome, say};
use std::ffi::OsString;
use std::process::ExitCode;

const USAGE: &str = r#"cargo xtask demo [--show]            play a sample session through the built plugin
cargo xtask review FILE ...          as overbar review, whose help it gives
cargo xtask score FOLDER             score phrase starts and positions on labelled solos
            [--cross-validate] [--taught] [--gate MS | --legato SECONDS] [--fit OUT] [--json]
            [--taps: instead, beat grids from taps]
            [--line auto|top|all] [--feel ...] [--pulse ...] [--latency MS]
cargo xtask norms FOLDER             of recorded solos: what is usual, and how often each rule of
                                     advice applies
cargo xtask symbols SYMBOLS.txt      chord symbols, one a line, as JSON
cargo xtask spell TUNES.jsonl        keys of tunes, one tune a line, by the names they are written with:
                                     {"keys": [60, 62], "durations": [1, 2], "chords": ["C", "C"],
                                     "fifths": 0, "transpose": [1, 2]}; all but the keys may be left
                                     out. It transposes by steps and semitones
cargo xtask perform OUT_FOLDER       synthetic solos with ground truth: MIDI, and labels for score
            [--solos N] [--bars N] [--seed S] [--metre 4/4,3/4,...] [--tempo LOW-HIGH]
            [--timing exact|simple|varied] [--drift PERCENT] [--swing LOW-HIGH] [--lag LOW-HIGH]
            [--off-beat-lag LOW-HIGH] [--lag-wander LOW-HIGH] [--accent-delay LOW-HIGH]
            [--swing-change LOW-HIGH] [--jitter LOW-HIGH] [--correlated-jitter LOW-HIGH]
            [--gate legato|natural|staccato|fixed] [--missed-offs SHARE] [--glitches SHARE]
            --timing sets all that follows it in this list, from swing to correlated jitter; options
            after it change it. A range may be one number; lag, delay and jitter are in
            milliseconds, shares and changes from 0 to 1
cargo xtask bundle                   build overbar.clap and overbar.vst3 into target/bundled
cargo xtask package [--twice]        a package for this system in target/package, with licences and
                                     scripts to install it; --twice: built twice, bit for bit
cargo xtask fuzz [TARGET] [--minutes N] [--seed N]
                                     fuzz-test input, a minute a target
cargo xtask soak [--hours N]         a rehearsal of eight hours, as fast as it goes
cargo xtask speed [FOLDER]           how long review takes, beside libraries that only read
cargo xtask sanitize                 AddressSanitizer and valgrind over hosts that play the plugin
cargo xtask check [--hosts]          formatting, lints, all tests, documentation, outside checks;
                                     --hosts: also in real DAWs, which it installs on Debian

What users need is in overbar: cargo run -p overbar-cli -- --help"#;

fn main() -> ExitCode {
    let arguments: Vec<OsString> = std::env::args_os().skip(1).collect();
    let is_of_analysis = |command: &OsString| analysis::COMMANDS.iter().any(|name| command == name);
    // `review` has its own help.
    let asks_for_help = arguments.iter().any(asks_for_help);
    match arguments.first() {
        Some(command) if command == "review" || is_of_analysis(command) && !asks_for_help => {
            analysis::run(&arguments)
        }
        _ => run(&arguments),
    }
    .report()
}

fn asks_for_help(argument: &OsString) -> bool {
    argument == "--help" || argument == "-h"
}

fn run(arguments: &[OsString]) -> Outcome {
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.to_str().unwrap_or_default(), rest),
        None => ("", arguments),
    };
    if command == "help" || arguments.iter().any(asks_for_help) {
        say(USAGE);
        return Outcome::Done;
    }
    match command {
        "demo" => demo::run(&texts(rest)),
        "bundle" => bundle::run(&texts(rest)),
        "package" => package::run(&texts(rest)),
        "fuzz" => long::fuzz(&texts(rest)),
        "soak" => long::soak(&texts(rest)),
        "speed" => long::speed(&texts(rest)),
        "sanitize" => long::sanitize(&texts(rest)),
        "check" => check::run(&texts(rest)),
        _ => Outcome::Wrong(format!("unknown command '{command}'\n{USAGE}")),
    }
}

/// The arguments of the commands that take no file: options, as text.
fn texts(arguments: &[OsString]) -> Vec<String> {
    arguments.iter().map(|argument| argument.to_string_lossy().into_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::USAGE;

    /// The options as found in the source that parses them.
    #[test]
    fn help_has_every_option_of_perform() {
        let source = include_str!("../analysis/src/perform/options.rs");
        let options: Vec<&str> = source
            .lines()
            .filter_map(|line| line.trim().strip_prefix('"')?.split_once("\" => "))
            .map(|(option, _)| option)
            .filter(|option| option.starts_with("--"))
            .collect();
        assert!(options.contains(&"--timing"), "{options:?}");
        for option in options {
            assert!(USAGE.contains(&format!("[{option} ")), "{option}");
        }
    }
}
