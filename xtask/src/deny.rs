//! Licences, sources and known faults of all dependencies, as `deny.toml` has it, by cargo-deny.

use crate::outcome::{Outcome, warn};
use crate::steps::{cargo, step, target};
use overbar_testkit::skipped;
use std::fs::File;
use std::path::PathBuf;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The version that is installed where there is none.
const VERSION: &str = "0.20.2";

/// Where it is installed: beside what is built, and nowhere else on the machine.
fn tools() -> PathBuf {
    target().join("tools")
}

/// `cargo deny`, the machine's or our own.
fn deny(arguments: &[&str]) -> Command {
    let mut deny = cargo(&["deny"]);
    let path = std::env::var_os("PATH").unwrap_or_default();
    let places = std::env::split_paths(&path).chain([tools().join("bin")]);
    if let Ok(places) = std::env::join_paths(places) {
        deny.env("PATH", places);
    }
    deny.args(arguments);
    deny
}

fn is_here() -> bool {
    deny(&["--version"]).output().is_ok_and(|output| output.status.success())
}

/// Installs it where it is not: a minute of compiling, once. Where that cannot be done, the step
/// that needs it says so.
pub fn install() -> Outcome {
    if is_here() {
        return Outcome::Done;
    }
    let mut install = cargo(&["install", "--quiet", "--locked", "--debug", "cargo-deny"]);
    install.args(["--version", VERSION, "--root"]).arg(tools());
    if let Outcome::Failed(why) = step("cargo-deny: install", &mut install) {
        warn(&why);
    }
    Outcome::Done
}

/// How long the list of known faults may take to come: somewhere behind a wall it never does.
const LONGEST: Duration = Duration::from_secs(120);

/// Runs it; what cannot be had is skipped, loudly.
pub fn run() -> Outcome {
    if !is_here() {
        skipped("dependencies: cargo-deny is not installed (cargo install --locked cargo-deny)");
        return Outcome::Done;
    }
    let check = ["--log-level", "error", "check"];
    match known_faults(deny(&check).arg("advisories")) {
        Ok(Known::None) => {}
        Ok(Known::Some(said)) => return Outcome::Failed(said),
        Ok(Known::OutOfReach) => {
            skipped("known faults of dependencies: their list cannot be reached");
        }
        Err(error) => return Outcome::Failed(format!("known faults of dependencies: {error}")),
    }
    step("dependencies", deny(&check).args(["licenses", "bans", "sources"]))
}

/// What is known of faults of dependencies.
enum Known {
    None,
    /// There are some: what is said of them.
    Some(String),
    /// Their list did not come.
    OutOfReach,
}

fn known_faults(look: &mut Command) -> std::io::Result<Known> {
    let said = target().join("known-faults.txt");
    let mut looking = look.stderr(File::create(&said)?).spawn()?;
    let began = Instant::now();
    loop {
        match looking.try_wait()? {
            Some(status) if status.success() => return Ok(Known::None),
            Some(status) => {
                let said = std::fs::read_to_string(said)?;
                let is_list_missing = said.contains("failed to fetch advisory database");
                let faults = Known::Some(format!("{status}: {said}"));
                return Ok(if is_list_missing { Known::OutOfReach } else { faults });
            }
            None if began.elapsed() < LONGEST => sleep(Duration::from_millis(100)),
            None => {
                looking.kill()?;
                looking.wait()?;
                return Ok(Known::OutOfReach);
            }
        }
    }
}
