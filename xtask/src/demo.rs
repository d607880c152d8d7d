//! `demo`: builds the plugin and plays a sample session through it.

use crate::bundle;
use crate::outcome::Outcome;
use crate::steps::{cargo, step, target};
use std::process::Command;

/// The plugin and the player. They are built in one go: each dependency once, with the features that both
/// need, and the second core is busy while the plugin compiles as a single unit.
const BUILD: [&str; 11] = [
    "build",
    "--release",
    "--package",
    "overbar",
    "--package",
    "overbar-tests",
    "--no-default-features",
    "--features",
    "overbar-tests/pictures",
    "--lib",
    "--bin=demo",
];

/// Runs the command; arguments are passed on to the player.
pub fn run(arguments: &[String]) -> Outcome {
    let program = target().join(format!("release/demo{}", std::env::consts::EXE_SUFFIX));
    let played = || step("demo", Command::new(program).args(arguments));
    step("demo: build", &mut cargo(&BUILD)).then(bundle::of_built).then(played)
}
