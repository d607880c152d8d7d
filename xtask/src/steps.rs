//! Running other programs one after the other.

use crate::outcome::{Outcome, say};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus};
use std::time::Instant;

/// The folder of the workspace.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("."))
}

/// Cargo's build folder.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// `cargo` with these arguments, in the workspace.
pub fn cargo(arguments: &[&str]) -> Command {
    let mut command = cargo_here(arguments);
    command.current_dir(root());
    // Graphics libraries complain repeatedly if this is not set.
    if std::env::var_os("XDG_RUNTIME_DIR").is_none() {
        command.env("XDG_RUNTIME_DIR", std::env::temp_dir());
    }
    command
}

/// `cargo` with these arguments, in the user's folder.
pub fn cargo_here(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments);
    command
}

/// Runs a command and reports its duration.
pub fn step(name: &str, command: &mut Command) -> Outcome {
    say(&format!("== {name}"));
    let began = Instant::now();
    ended(name, began, command.status())
}

fn ended(name: &str, began: Instant, status: std::io::Result<ExitStatus>) -> Outcome {
    say(&format!("== {name}: {:.0} s", began.elapsed().as_secs_f64()));
    match status {
        Ok(status) if status.success() => Outcome::Done,
        Ok(status) => Outcome::Failed(format!("{name}: {status}")),
        Err(error) => Outcome::Failed(format!("{name}: {error}")),
    }
}

/// A command running in the background. Dropping it kills it.
pub struct Background {
    name: &'static str,
    child: Child,
    began: Instant,
}

impl Background {
    /// Starts a command and reports that.
    ///
    /// # Errors
    /// If it cannot be started.
    pub fn start(name: &'static str, command: &mut Command) -> std::io::Result<Self> {
        say(&format!("== {name} (goes on beside the next steps)"));
        Ok(Self { name, child: command.spawn()?, began: Instant::now() })
    }

    /// Waits for its end and reports its duration.
    pub fn wait(mut self) -> Outcome {
        let status = self.child.wait();
        ended(self.name, self.began, status)
    }
}

impl Drop for Background {
    fn drop(&mut self) {
        // It has already ended if it was waited for.
        let _ = self.child.kill();
    }
}
