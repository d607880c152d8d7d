//! Overbar without a host: the same panel, with MIDI from the system's own ports, and its own tempo
//! and metre. `--help` lists the options.

use nice_plug::prelude::nice_export_standalone;
use overbar::Overbar;
use std::process::ExitCode;

fn main() -> ExitCode {
    if nice_export_standalone::<Overbar>() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
