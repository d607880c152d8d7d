//! Running other programs, one step after the other.

use crate::outcome::{Outcome, say};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// The folder of the workspace.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("."))
}

/// The folder that cargo builds into.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// `cargo` with these arguments, in the workspace.
pub fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root()).args(arguments);
    // Graphics libraries complain, again and again, where this is not set.
    if std::env::var_os("XDG_RUNTIME_DIR").is_none() {
        command.env("XDG_RUNTIME_DIR", std::env::temp_dir());
    }
    command
}

/// Runs a command and says how long it took.
pub fn step(name: &str, command: &mut Command) -> Outcome {
    say(&format!("== {name}"));
    let began = Instant::now();
    let outcome = match command.status() {
        Ok(status) if status.success() => Outcome::Done,
        Ok(status) => Outcome::Failed(format!("{name}: {status}")),
        Err(error) => Outcome::Failed(format!("{name}: {error}")),
    };
    say(&format!("== {name}: {:.0} s", began.elapsed().as_secs_f64()));
    outcome
}
