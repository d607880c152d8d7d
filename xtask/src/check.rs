//! `check`: everything that must pass before a change lands.

use crate::outcome::{Outcome, say};
use crate::steps::{Background, cargo, root, step, target};
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
    // Steps that are slow to install or run come with the hosts.
    if in_hosts {
        deny::install();
    }
    let release = match Background::start("release build", &mut release_build()) {
        Ok(release) => release,
        Err(error) => return Outcome::Failed(format!("check failed at release build: {error}")),
    };
    // These leave a core to the release build now and then, and continue on both once that is done.
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
        .and_then(|()| name_failure("release build", release.wait()))
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
    steps.into_iter().try_for_each(|(name, run)| name_failure(name, run()))
}

/// The outcome of a step, with its name if it failed.
fn name_failure(name: &str, outcome: Outcome) -> Result<(), Outcome> {
    match outcome {
        Outcome::Done => Ok(()),
        Outcome::Failed(what) => Err(Outcome::Failed(format!("check failed at {name}: {what}"))),
        other => Err(other),
    }
}

/// A fixed seed for the property tests, so that whether a change passes depends on the change alone. A plain
/// `cargo test` uses a new seed each time.
const SEED: &str = "20";

/// All tests, starting from an empty library, so that takes of earlier runs do not interfere.
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

/// The workspace compiles with its declared minimum toolchain.
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

/// In real hosts, which are installed if possible. The programs used for comparison have been built with the
/// tests: building them alone, with other features, takes minutes.
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

/// The whole release build: the plugin for the bundles, and the programs that measure costs. Built in one go,
/// so that all share dependencies with the same features, and bundles are made from this build: alone, with
/// fewer features, most of it would be built again. It runs in parallel with lints and tests, which build
/// into another folder and often keep only one core busy.
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

/// Benchmarks: a block on the audio thread against a plugin that does nothing, a frame of the panel, and a
/// note on the analysis thread.
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

/// Against external libraries, in a Python environment that this step creates.
fn outside() -> Outcome {
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/outside/run.py");
    step("outside checks", &mut python)
}
