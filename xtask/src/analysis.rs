//! The commands that need the analysis: a separate program runs them, which takes longer to build.

use crate::outcome::Outcome;
use crate::steps::{cargo_here, root};
use std::ffi::OsString;

/// Their names.
pub const COMMANDS: [&str; 6] = ["review", "score", "norms", "symbols", "spell", "perform"];

/// Runs the command. Relative paths in its arguments refer to the user's folder. The program is named as a
/// binary, not as a package, so that it is built with the features of the whole workspace, as when tests call
/// it.
pub fn run(arguments: &[OsString]) -> Outcome {
    let mut program = cargo_here(&["run", "--bin", "xtask-analysis", "--manifest-path"]);
    let ran = program.arg(root().join("Cargo.toml")).arg("--").args(arguments).status();
    match ran.map(|status| status.code().and_then(|code| u8::try_from(code).ok())) {
        Ok(Some(code)) => Outcome::As(code),
        Ok(None) => Outcome::Failed("it was ended".to_owned()),
        Err(error) => Outcome::Failed(format!("cargo: {error}")),
    }
}
