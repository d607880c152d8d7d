//! The `overbar` program: everything the plugin shows of a take, for files. No window, audio or host
//! libraries.
//!
//! One file per command in `commands`, shared options in `args`. A command returns an [`Outcome`], which
//! gives the exit code; only `terminal` writes to the terminal.

mod args;
mod commands;
mod inputs;
mod json;
mod outcome;
mod terminal;
mod work;

pub use args::SettingsArgs;
pub use outcome::Outcome;
pub use terminal::{say, warn};

use clap::{CommandFactory as _, FromArgMatches as _, Parser};
use commands::Command;
use std::ffi::OsString;
use std::process::ExitCode;

const EXIT_CODES: &str = "\
Exit codes:
  0    done
  1    done, with something to look at: a drill that was not passed, taps too uneven to measure
  2    wrong input: an option, a file that cannot be read, a file that may not be written
  130  interrupted
  141  whoever read the output stopped reading";

/// Shows whether a solo phrases: where in the bar each phrase starts and ends, how long phrases are and
/// how much rest is between them.
#[derive(Parser)]
#[command(name = "overbar", version, arg_required_else_help = true, after_help = EXIT_CODES)]
#[command(max_term_width = 100, disable_help_subcommand = false)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

/// Runs the program with these arguments, the first of which is its name.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    parse(command_line(), arguments).map_or_else(|code| code, |cli| cli.command.run().report())
}

/// Runs `overbar review` on behalf of another program, called `name` in the help.
#[must_use]
pub fn run_as(name: &'static str, arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let command = command_line().bin_name(name);
    parse(command, arguments).map_or_else(|code| code, |cli| cli.command.run().report())
}

/// The whole command line; help, completions and man pages are generated from it.
fn command_line() -> clap::Command {
    Cli::command()
}

fn parse(
    mut command: clap::Command,
    arguments: impl IntoIterator<Item = OsString>,
) -> Result<Cli, ExitCode> {
    let matches = command.try_get_matches_from_mut(arguments);
    matches.and_then(|matches| Cli::from_arg_matches(&matches)).map_err(|error| {
        // The pipe was closed while help was being printed.
        if error.print().is_err() {
            return Outcome::PipeClosed.report();
        }
        ExitCode::from(if error.use_stderr() { outcome::WRONG } else { 0 })
    })
}
