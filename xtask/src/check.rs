//! `check`: all that has to hold before a change lands.

use crate::bundle;
use crate::outcome::{Outcome, say};
use crate::steps::{cargo, root, step, target};
use std::process::Command;

/// A step's name and how it is run.
type Step = (&'static str, fn() -> Outcome);

/// Runs the command: every step, up to the first that fails.
pub fn run(arguments: &[String]) -> Outcome {
    if let Some(argument) = arguments.first() {
        return Outcome::Wrong(format!("{argument}: check has no options"));
    }
    let steps: [Step; 8] = [
        ("formatting", || step("formatting", &mut cargo(&["fmt", "--all", "--check"]))),
        ("lints", lints),
        ("bundles", || bundle::run(&[])),
        ("tests", || step("tests", &mut cargo(&["test", "--workspace", "--quiet"]))),
        ("cost of a block", cost),
        ("cost of a note", || {
            let bench = ["bench", "--quiet", "--package", "overbar-core"];
            step("cost of a note", cargo(&bench).args(["--bench", "cost_of_a_note"]))
        }),
        ("documentation", documentation),
        ("outside checks", outside),
    ];
    for (name, run) in steps {
        match run() {
            Outcome::Done => {}
            Outcome::Failed(what) => {
                return Outcome::Failed(format!("check failed at {name}: {what}"));
            }
            other => return other,
        }
    }
    say("check: all of it holds");
    Outcome::Done
}

fn lints() -> Outcome {
    let clippy = ["clippy", "--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"];
    step("lints", &mut cargo(&clippy))
}

/// What a frame of the panel costs, and what a block costs on the audio thread, against a plugin
/// that does nothing.
fn cost() -> Outcome {
    let package = ["--release", "--quiet", "--package", "overbar-tests", "--no-default-features"];
    let mut build = cargo(&["build"]);
    build.args(package).args(["--package", "overbar", "--lib"]);
    build.args(["--example", "empty_plugin", "--bin", "process_cost", "--bin", "frame_cost"]);
    match step("costs: build", &mut build) {
        Outcome::Done => {}
        failed => return failed,
    }
    let release = target().join("release");
    let library = |name: &str| {
        let (before, after) = (std::env::consts::DLL_PREFIX, std::env::consts::DLL_SUFFIX);
        format!("{before}{name}{after}")
    };
    let program = |name: &str| release.join(format!("{name}{}", std::env::consts::EXE_SUFFIX));
    match step("cost of a frame", &mut Command::new(program("frame_cost"))) {
        Outcome::Done => {}
        failed => return failed,
    }
    let mut run = Command::new(program("process_cost"));
    run.arg(release.join("examples").join(library("empty_plugin")));
    run.arg(release.join(library("overbar")));
    step("cost of a block", &mut run)
}

fn documentation() -> Outcome {
    let mut doc = cargo(&["doc", "--workspace", "--no-deps", "--quiet"]);
    step("documentation", doc.env("RUSTDOCFLAGS", "-D warnings"))
}

/// Against libraries from outside, in an environment of Python's own that this step makes.
fn outside() -> Outcome {
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/outside/run.py");
    step("outside checks", &mut python)
}
