//! Licences, sources and known vulnerabilities of all dependencies, checked by cargo-deny against
//! `deny.toml`.

use crate::outcome::{Outcome, warn};
use crate::steps::{cargo, step, target};
use overbar_testkit::skipped;
use std::fs::File;
use std::path::PathBuf;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The version to install if there is none.
const VERSION: &str = "0.20.2";

/// Where it is installed: in the build folder only.
fn tools() -> PathBuf {
    target().join("tools")
}

/// `cargo deny`, the system's or the one in [`tools`].
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

fn is_installed() -> bool {
    deny(&["--version"]).output().is_ok_and(|output| output.status.success())
}

/// Installs cargo-deny if needed, which takes a minute. If that fails, the step that needs it reports it.
pub fn install() -> Outcome {
    if is_installed() {
        return Outcome::Done;
    }
    let mut install = cargo(&["install", "--quiet", "--locked", "--debug", "cargo-deny"]);
    install.args(["--version", VERSION, "--root"]).arg(tools());
    if let Outcome::Failed(why) = step("cargo-deny: install", &mut install) {
        warn(&why);
    }
    Outcome::Done
}

/// Timeout for the list of vulnerabilities. Behind some firewalls it never arrives.
const LONGEST: Duration = Duration::from_secs(120);

/// Runs cargo-deny. Skips unavailable checks with a warning.
pub fn run() -> Outcome {
    if !is_installed() {
        skipped("dependencies: cargo-deny is not installed (cargo install --locked cargo-deny)");
        return Outcome::Done;
    }
    let check = ["--log-level", "error", "check"];
    match advisories(deny(&check).arg("advisories")) {
        Ok(Advisories::None) => {}
        Ok(Advisories::Found(text)) => return Outcome::Failed(text),
        Ok(Advisories::Unreachable) => {
            skipped("vulnerabilities of dependencies: the list cannot be fetched");
        }
        Err(error) => return Outcome::Failed(format!("vulnerabilities of dependencies: {error}")),
    }
    step("dependencies", deny(&check).args(["licenses", "bans", "sources"]))
}

/// Known vulnerabilities of the dependencies.
enum Advisories {
    None,
    /// The report.
    Found(String),
    /// The list could not be fetched.
    Unreachable,
}

fn advisories(check: &mut Command) -> std::io::Result<Advisories> {
    let output = target().join("advisories.txt");
    let mut running = check.stderr(File::create(&output)?).spawn()?;
    let started = Instant::now();
    loop {
        match running.try_wait()? {
            Some(status) if status.success() => return Ok(Advisories::None),
            Some(status) => {
                let text = std::fs::read_to_string(output)?;
                let is_list_missing = text.contains("failed to fetch advisory database");
                let found = Advisories::Found(format!("{status}: {text}"));
                return Ok(if is_list_missing { Advisories::Unreachable } else { found });
            }
            None if started.elapsed() < LONGEST => sleep(Duration::from_millis(100)),
            None => {
                running.kill()?;
                running.wait()?;
                return Ok(Advisories::Unreachable);
            }
        }
    }
}
