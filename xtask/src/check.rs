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
    let steps: [Step; 7] = [
        ("formatting", || step("formatting", &mut cargo(&["fmt", "--all", "--check"]))),
        ("lints", lints),
        ("bundles", || bundle::run(&[])),
        ("tests", || step("tests", &mut cargo(&["test", "--workspace", "--quiet"]))),
        ("cost of a block", cost),
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

/// What a block costs on the audio thread, against a plugin that does nothing.
fn cost() -> Outcome {
    let package = ["--release", "--quiet", "--package", "overbar-tests", "--no-default-features"];
    let mut build = cargo(&["build"]);
    build.args(package).args(["--package", "overbar", "--example", "empty_plugin", "--lib"]);
    match step("cost of a block: build", &mut build) {
        Outcome::Done => {}
        failed => return failed,
    }
    let library = |folder: &str, name: &str| {
        let (before, after) = (std::env::consts::DLL_PREFIX, std::env::consts::DLL_SUFFIX);
        let file = format!("{before}{name}{after}");
        target().join("release").join(folder).join(file)
    };
    let mut run = cargo(&["run"]);
    run.args(package).args(["--bin", "process_cost", "--"]);
    run.arg(library("examples", "empty_plugin")).arg(library("", "overbar"));
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
