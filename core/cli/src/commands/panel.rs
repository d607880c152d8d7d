//! `panel`: starts the stand-alone panel, which is a separate program.

use crate::outcome::Outcome;
use clap::Args;
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::Command;

/// Open the panel in a window of its own, with MIDI from the system's ports
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar panel
  overbar panel -- --tempo 132 --timesig-num 3
  overbar panel -- --help")]
pub(crate) struct PanelArgs {
    /// Options of overbar-panel: tempo, metre, ports
    #[arg(last = true, value_name = "OPTION")]
    options: Vec<OsString>,
}

/// Runs the command and waits for the window to be closed.
///
/// # Errors
/// If the panel is not installed.
pub(crate) fn run(args: &PanelArgs) -> Result<Outcome, String> {
    let program = program();
    let status = Command::new(&program).args(&args.options).status().map_err(|why| {
        format!(
            "{}: {why}; the panel is a program of its own, which some packages lack",
            program.display()
        )
    })?;
    Ok(if status.success() { Outcome::Done } else { Outcome::FailedAndReported })
}

/// The panel beside this program, or else the one in the system's path.
fn program() -> PathBuf {
    let name = format!("overbar-panel{}", std::env::consts::EXE_SUFFIX);
    let beside = std::env::current_exe().ok().map(|own| own.with_file_name(&name));
    beside.filter(|path| path.is_file()).unwrap_or_else(|| PathBuf::from(name))
}
