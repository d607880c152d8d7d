//! `overbar`: see the library of this package.

use std::process::ExitCode;

fn main() -> ExitCode {
    overbar_cli::run(std::env::args_os())
}
