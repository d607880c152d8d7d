//! `demo`: builds the plugin and plays an invented practice session through it.

use crate::bundle;
use crate::outcome::Outcome;
use crate::steps::{cargo, step};

/// Runs the command; arguments are handed on to the program that plays.
pub fn run(arguments: &[String]) -> Outcome {
    match bundle::run(&[]) {
        Outcome::Done => {}
        failed => return failed,
    }
    let mut play = cargo(&["run", "--quiet", "--package", "overbar-tests", "--bin", "demo", "--"]);
    // Graphics libraries complain where there is none; a demo needs no session of its own.
    if std::env::var_os("XDG_RUNTIME_DIR").is_none() {
        play.env("XDG_RUNTIME_DIR", std::env::temp_dir());
    }
    step("demo", play.args(arguments))
}
