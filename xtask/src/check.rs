//! `check`: all that has to hold before a change lands.

use crate::outcome::{Outcome, say};
use crate::steps::{cargo, root, step, target};
use crate::{bundle, deny};
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
    let steps: [Step; 9] = [
        ("formatting", || step("formatting", &mut cargo(&["fmt", "--all", "--check"]))),
        ("lints", lints),
        ("oldest toolchain", oldest_toolchain),
        ("dependencies", deny::run),
        ("bundles", || bundle::run(&[])),
        ("tests", tests),
        ("costs", costs),
        ("documentation", documentation),
        ("outside checks", outside),
    ];
    // What takes long to install or to run comes with the hosts.
    let tools: Step = ("cargo-deny", deny::install);
    let hosts: Step = ("real hosts", hosts);
    let noted = overbar_testkit::skipped_file();
    if let Err(error) = std::fs::write(&noted, "") {
        return Outcome::Failed(format!("{}: {error}", noted.display()));
    }
    let steps = in_hosts.then_some(tools).into_iter().chain(steps).chain(in_hosts.then_some(hosts));
    for (name, run) in steps {
        match run() {
            Outcome::Done => {}
            Outcome::Failed(what) => {
                return Outcome::Failed(format!("check failed at {name}: {what}"));
            }
            other => return other,
        }
    }
    let noted = std::fs::read_to_string(noted).unwrap_or_default();
    let skipped: BTreeSet<&str> = noted.lines().collect();
    if skipped.is_empty() {
        say("check: everything holds");
    } else {
        say("check: everything that could be checked holds. Skipped here, and taken on trust:");
        skipped.iter().for_each(|what| say(&format!("- {what}")));
    }
    Outcome::Done
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
    let clippy = ["clippy", "--workspace", "--all-targets", "--quiet", "--", "-D", "warnings"];
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

/// In real hosts, which are installed where that can be done. What reads the plugin's state there has
/// been built with the tests: to build it alone, with other features, takes a minute.
fn hosts() -> Outcome {
    let Ok(program) = std::env::current_exe() else {
        return Outcome::Failed("this program does not know where it is".into());
    };
    let mut python = Command::new("python3");
    python.current_dir(root()).arg("tests/hosts/run.py").arg(program);
    python.arg(target().join("debug/state_review")).arg(target().join("bundled/overbar.vst3"));
    step("real hosts", &mut python)
}

/// What a frame of the panel costs, what a block costs on the audio thread, against a plugin that does
/// nothing, and what a note costs the thread that analyses. Built with the features of the bundles, so
/// that nothing but the programs themselves is built for it.
fn costs() -> Outcome {
    let mut build = cargo(&["build", "--release", "--quiet", "--no-default-features", "--lib"]);
    build.args([
        "--package",
        "overbar-tests",
        "--package",
        "overbar",
        "--package",
        "overbar-empty",
    ]);
    build.args(["--bin", "process_cost", "--bin", "frame_cost", "--bin", "note_cost"]);
    let release = target().join("release");
    let library = |name: &str| {
        let (before, after) = (std::env::consts::DLL_PREFIX, std::env::consts::DLL_SUFFIX);
        release.join(format!("{before}{name}{after}"))
    };
    let program =
        |name: &str| Command::new(release.join(format!("{name}{}", std::env::consts::EXE_SUFFIX)));
    let mut block = program("process_cost");
    block.arg(library("empty_plugin")).arg(library("overbar"));
    let steps = [
        ("costs: build", build),
        ("cost of a frame", program("frame_cost")),
        ("cost of a block", block),
        ("cost of a note", program("note_cost")),
    ];
    for (name, mut run) in steps {
        match step(name, &mut run) {
            Outcome::Done => {}
            failed => return failed,
        }
    }
    Outcome::Done
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
