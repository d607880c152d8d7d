//! `cargo xtask COMMAND`: dispatch only; one file a command.

mod bundle;
mod check;
mod demo;
mod outcome;
mod review;
mod score;
mod steps;

use outcome::Outcome;
use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask demo [--show]            play an invented practice session through the built plugin
cargo xtask review FILE_OR_FOLDER    hear Standard MIDI Files as the plugin would
            [--json] [--track N] [--channel N]
cargo xtask score FOLDER             score phrase starts and entry places on labelled solos
cargo xtask bundle                   build overbar.clap and overbar.vst3 into target/bundled
cargo xtask check                    formatting, lints, all tests, documentation, outside checks";

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let command = arguments.next().unwrap_or_default();
    let rest: Vec<String> = arguments.collect();
    let outcome = match command.as_str() {
        "demo" => demo::run(&rest),
        "review" => review::run(&rest),
        "score" => score::run(&rest),
        "bundle" => bundle::run(&rest),
        "check" => check::run(&rest),
        "help" | "--help" | "-h" => {
            outcome::say(USAGE);
            Outcome::Done
        }
        _ => Outcome::Wrong(USAGE.to_owned()),
    };
    outcome.report()
}
