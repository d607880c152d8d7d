//! `check`: everything that must pass before a change lands.

use crate::outcome::{Outcome, say};
use crate::steps::{Beside, cargo, root, step, target};
use crate::{bundle, deny, listening};
use overbar_testkit::skipped;
use std::collections::BTreeSet;
use std::process::Command;

/// A step's name and how it is run.
type Step = (&'static str, fn() -> Outcome);

/// Runs the command: every step, up to the first that fails.
pub fn run(arguments: &[String]) -> Outcome {
    let in_hosts = match arguments {
        [] => false,
        [option] if option == "--hosts" => true,
        [other, ..] => return Outcome::Wrong(format!("{other}: check knows --hosts only")),
    };
    let noted = overbar_testkit::skipped_file();
    if let Err(error) = std::fs::write(&noted, "") {
        return Outcome::Failed(format!("{}: {error}", noted.display()));
    }
    // What takes long to install or to run comes with the hosts.
    if in_hosts {
        deny::install();
    }
    let release = match Beside::start("release build", &mut release_build()) {
        Ok(release) => release,
        Err(error) => return Outcome::Failed(format!("check failed at release build: {error}")),
    };
    // Each of these leaves a core to the release build now and then, and takes it over when that is done.
    let before: [Step; 6] = [
        ("formatting", || step("formatting", &mut cargo(&["fmt", "--all", "--check"]))),
        ("lints", lints),
        ("documentation", documentation),
        ("oldest toolchain", oldest_toolchain),
        ("tests: build", || step("tests: build", &mut cargo(&["test", "--workspace", "--no-run"]))),
        ("dependencies", deny::run),
    ];
    let after: [Step; 6] = [
        ("bundles", bundle::of_built),
        ("tests", tests),
        ("costs", costs),
        ("rendered solos", listening::run),
        ("rendered bands", listening::bands),
        ("outside checks", outside),
    ];
    let hosts: Step = ("real hosts", hosts);
    let outcome = run_all(before)
        .and_then(|()| in_step("release build", release.wait()))
        .and_then(|()| run_all(after.into_iter().chain(in_hosts.then_some(hosts))));
    if let Err(failed) = outcome {
        return failed;
    }
    let noted = std::fs::read_to_string(noted).unwrap_or_default();
    let skipped: BTreeSet<&str> = noted.lines().collect();
    if skipped.is_empty() {
        say("check: all steps passed");
    } else {
        say("check: all steps passed that could be run. Skipped here, and taken on trust:");
        skipped.iter().for_each(|what| say(&format!("- {what}")));
    }
    Outcome::Done
}

/// Runs steps up to the first that fails.
fn run_all(steps: impl IntoIterator<Item = Step>) -> Result<(), Outcome> {
    steps.into_iter().try_for_each(|(name, run)| in_step(name, run()))
}

/// What came of a step, with its name where it failed.
fn in_step(name: &str, outcome: Outcome) -> Result<(), Outcome> {
    match outcome {
        Outcome::Done => Ok(()),
        Outcome::Failed(what) => Err(Outcome::Failed(format!("check failed at {name}: {what}"))),
        other => Err(other),
    }
}

/// Where the property tests begin, so that whether a change holds depends on the change alone. Run by
/// hand, `cargo test` begins elsewhere each time.
const SEED: &str = "20";

/// All tests, which begin with an empty library: what those of earlier runs have played is not theirs.
fn tests() -> Outcome {
    let data = target().join("data");
    if let Err(error) = std::fs::remove_dir_all(&data)
        && error.kind() != std::io::ErrorKind::NotFound
    {
        return Outcome::Failed(format!("{}: {error}", data.display()));
    }
    step("tests", cargo(&["test", "--workspace", "--quiet"]).env("PROPTEST_RNG_SEED", SEED))
}

fn lints() -> Outcome {
    let clippy = ["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"];
    step("lints", &mut cargo(&clippy))
}

/// The workspace compiles with the toolchain that it states as the oldest.
fn oldest_toolchain() -> Outcome {
    let oldest = env!("CARGO_PKG_RUST_VERSION");
    let is_it = |output: &std::process::Output| {
        String::from_utf8_lossy(&output.stdout).starts_with(&format!("rustc {oldest}."))
    };
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    if Command::new(rustc).arg("--version").output().is_ok_and(|output| is_it(&output)) {
        say(&format!("== oldest toolchain: this is Rust {oldest}"));
        return Outcome::Done;
    }
    let toolchain = format!("{oldest}.0");
    let mut asked = Command::new("rustup");
    if !asked.args(["run", &toolchain, "rustc", "--version"]).output().is_ok_and(|o| is_it(&o)) {
        skipped(&format!("the oldest toolchain, {toolchain}, is not installed"));
        return Outcome::Done;
    }
    let mut check = Command::new("rustup");
    check.current_dir(root()).args(["run", &toolchain, "cargo", "check", "--workspace"]);
    check.env_remove("CARGO").env_remove("RUSTC").env_remove("RUSTUP_TOOLCHAIN");
    step("oldest toolchain", check.arg("--target-dir").arg(target().join("oldest")))
}

/// In real hosts, which are installed where that can be done. The programs that they are held against have
/// been built with the tests: to build them alone, with other features, takes minutes.
fn hosts() -> Outcome {
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/hosts/run.py");
    for program in ["overbar", "state_review"] {
        python
            .arg(target().join("debug").join(format!("{program}{}", std::env::consts::EXE_SUFFIX)));
    }
    python.arg(target().join("bundled/overbar.vst3"));
    step("real hosts", &mut python)
}

/// Everything in release: the plugin for the bundles, and the programs that measure what it costs. Built
/// in one go, so that all use the same dependencies with the same features, and the bundles are made of what
/// is built here: alone, with fewer features, most of it would be built again. It runs beside lints
/// and tests, which build into another folder and often keep only one core busy.
fn release_build() -> Command {
    let mut build = cargo(&["build", "--release", "--no-default-features", "--lib"]);
    for package in ["overbar-tests", "overbar", "overbar-empty", "overbar-listening"] {
        build.args(["--package", package]);
    }
    for program in COSTS.into_iter().chain([listening::PROGRAM]) {
        build.args(["--bin", program]);
    }
    // Two progress bars on one terminal overwrite each other.
    build.env("CARGO_TERM_PROGRESS_WHEN", "never");
    build
}

/// Programs that measure: a block on the audio thread against a plugin that does nothing, a frame of the
/// panel, and a note on the thread that analyses.
const COSTS: [&str; 3] = ["process_cost", "frame_cost", "note_cost"];

fn costs() -> Outcome {
    let release = target().join("release");
    let library = |name: &str| {
        let (before, after) = (std::env::consts::DLL_PREFIX, std::env::consts::DLL_SUFFIX);
        release.join(format!("{before}{name}{after}"))
    };
    for name in COSTS {
        let mut run = Command::new(release.join(format!("{name}{}", std::env::consts::EXE_SUFFIX)));
        if name == "process_cost" {
            run.arg(library("empty_plugin")).arg(library("overbar"));
        }
        match step(&name.replace('_', " "), &mut run) {
            Outcome::Done => {}
            failed => return failed,
        }
    }
    Outcome::Done
}

fn documentation() -> Outcome {
    let mut doc = cargo(&["doc", "--workspace", "--no-deps"]);
    step("documentation", doc.env("RUSTDOCFLAGS", "-D warnings"))
}

/// Against libraries from outside, in an environment of Python's own that this step makes.
fn outside() -> Outcome {
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/outside/run.py");
    step("outside checks", &mut python)
}
