//! `demo`: builds the plugin and plays a sample session through it.

use crate::bundle;
use crate::steps::{cargo, step};
use overbar_cli::Outcome;

/// Runs the command; arguments are handed on to the program that plays.
pub fn run(arguments: &[String]) -> Outcome {
    match bundle::run(&[]) {
        Outcome::Done => {}
        failed => return failed,
    }
    // In release, as the bundles are: what both need is built once.
    let mut play = cargo(&["run", "--release", "--package", "overbar-tests"]);
    play.args(["--no-default-features", "--features", "pictures", "--bin", "demo", "--"]);
    step("demo", play.args(arguments))
}
