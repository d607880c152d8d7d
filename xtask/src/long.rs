//! `fuzz`, `soak`, `sanitize`, `speed`: too slow for `check`.

use crate::bundle;
use crate::outcome::{Outcome, say};
use crate::steps::{cargo, root, step, target};
use overbar_testkit::skipped;
use std::process::Command;

/// Coverage counters on every edge, to guide the fuzzer.
const COVERAGE: &str = "-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=3 \
                        -Cllvm-args=-sanitizer-coverage-inline-8bit-counters";

/// Fuzzes the readers of external input, guided by coverage; arguments are passed on.
pub fn fuzz(arguments: &[String]) -> Outcome {
    let build = ["run", "--quiet", "--release", "--package", "overbar-tests"];
    let mut run = cargo(&build);
    // With an explicit target, the flags do not apply to build scripts and macros, which lack the counters'
    // runtime.
    run.args(["--target", env!("OVERBAR_TARGET"), "--target-dir"]).arg(target().join("fuzz"));
    run.args(["--no-default-features", "--bin", "fuzz", "--"]).env("RUSTFLAGS", COVERAGE);
    step("fuzz", run.args(arguments))
}

/// A rehearsal of several hours, at full speed; arguments are passed on.
pub fn soak(arguments: &[String]) -> Outcome {
    let mut run = cargo(&["run", "--release"]);
    run.args(SOAK).arg("--");
    step("soak", run.args(arguments))
}

/// Times `review` against libraries that only parse; a folder is passed on.
pub fn speed(arguments: &[String]) -> Outcome {
    match step(
        "speed: build",
        &mut cargo(&["build", "--release", "--quiet", "--package", "overbar-cli"]),
    ) {
        Outcome::Done => {}
        failed => return failed,
    }
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/speed/run.py");
    step("speed", python.arg(target().join("release/overbar")).args(arguments))
}

const SOAK: [&str; 8] = [
    "--quiet",
    "--package",
    "overbar-tests",
    "--no-default-features",
    "--features",
    "faults",
    "--bin",
    "soak",
];

/// The modules of `core` whose tests Miri finishes in a minute. `core` has no unsafe code.
const UNDER_MIRI: [&str; 7] = [
    "time::clock::",
    "segmentation::window::",
    "time::metre_map::",
    "input::pairing::",
    "stats::",
    "time::tempo_map::",
    "time::transport::",
];

/// AddressSanitizer and valgrind over hosts that play the plugin, and Miri over `core`. Missing tools
/// are skipped with a warning.
pub fn sanitize(arguments: &[String]) -> Outcome {
    if let Some(argument) = arguments.first() {
        return Outcome::Wrong(format!("{argument}: sanitize has no options"));
    }
    for run in [address_sanitizer, valgrind, miri] {
        match run() {
            Outcome::Done => {}
            failed => return failed,
        }
    }
    say("sanitize: nothing found");
    Outcome::Done
}

/// Cargo of the nightly toolchain, if installed.
fn nightly() -> Option<Command> {
    let mut asked = Command::new("rustup");
    let has = asked.args(["run", "nightly", "cargo", "--version"]).output();
    has.is_ok_and(|output| output.status.success()).then(|| {
        let mut command = Command::new("rustup");
        command.current_dir(root()).args(["run", "nightly", "cargo"]);
        // Set by the running toolchain; they would override the nightly one.
        for variable in ["CARGO", "RUSTC", "RUSTDOC", "RUSTUP_TOOLCHAIN"] {
            command.env_remove(variable);
        }
        command
    })
}

fn address_sanitizer() -> Outcome {
    let Some(mut run) = nightly() else {
        skipped("AddressSanitizer needs a nightly toolchain");
        return Outcome::Done;
    };
    match bundle::run(&[]) {
        Outcome::Done => {}
        failed => return failed,
    }
    run.args(["test", "--quiet", "--target", env!("OVERBAR_TARGET"), "--target-dir"]);
    run.arg(target().join("sanitize")).args(["--package", "overbar-tests"]);
    run.args(["--no-default-features", "--features", "faults,vst3"]);
    run.args(["--test", "faults", "--test", "fuzz", "--test", "hosts_rigs"]);
    // The framework's statics would be reported as leaks.
    run.env("RUSTFLAGS", "-Zsanitizer=address").env("ASAN_OPTIONS", "detect_leaks=0");
    step("AddressSanitizer", &mut run)
}

fn valgrind() -> Outcome {
    if Command::new("valgrind").arg("--version").output().is_err() {
        skipped("there is no valgrind");
        return Outcome::Done;
    }
    match step("valgrind: build", cargo(&["build", "--release"]).args(SOAK)) {
        Outcome::Done => {}
        failed => return failed,
    }
    let mut run = Command::new("valgrind");
    run.args(["--quiet", "--error-exitcode=99"]).arg(target().join("release/soak"));
    step(
        "valgrind",
        run.args(["--hours", "0.1", "--watched"]).env("OVERBAR_DATA", target().join("data")),
    )
}

fn miri() -> Outcome {
    let has_miri = |mut command: Command| {
        command.args(["miri", "--version"]).output().is_ok_and(|output| output.status.success())
    };
    if !nightly().is_some_and(has_miri) {
        skipped("Miri is not installed in the nightly toolchain");
        return Outcome::Done;
    }
    let Some(mut run) = nightly() else { return Outcome::Done };
    run.args(["miri", "test", "--package", "overbar-core", "--lib", "--target-dir"]);
    run.arg(target().join("miri")).arg("--").args(UNDER_MIRI);
    // The tests read the clock and files.
    step("Miri", run.env("MIRIFLAGS", "-Zmiri-disable-isolation"))
}
