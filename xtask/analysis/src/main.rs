//! The commands of `cargo xtask` that need the analysis. Dispatch only; one file per command. `cargo xtask
//! help` describes them.

mod norms;
mod perform;
mod score;
mod spell;
mod symbols;

use overbar_cli::Outcome;
use std::ffi::OsString;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<OsString> = std::env::args_os().skip(1).collect();
    // It had this name before `overbar` existed.
    if arguments.first().is_some_and(|command| command == "review") {
        return overbar_cli::run_as(
            "cargo xtask",
            std::iter::once("overbar".into()).chain(arguments),
        );
    }
    let (command, rest) = match arguments.split_first() {
        Some((command, rest)) => (command.to_str().unwrap_or_default(), rest),
        None => ("", &arguments[..]),
    };
    let outcome = match command {
        "score" => score::run(rest),
        "norms" => norms::run(rest),
        "symbols" => symbols::run(rest),
        "spell" => spell::run(rest),
        "perform" => perform::run(rest),
        _ => Outcome::Wrong(format!("unknown command '{command}': see cargo xtask help")),
    };
    outcome.report()
}
