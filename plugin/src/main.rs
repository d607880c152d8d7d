//! Overbar without a host: the same panel, with MIDI from the system's own ports, and its own tempo
//! and metre. `overbar review` hears files instead.

use nice_plug::prelude::nice_export_standalone;
use overbar::Overbar;
use overbar_files::{outcome, review};
use std::ffi::OsString;
use std::process::ExitCode;

const USAGE: &str =
    "overbar [OPTIONS]                    the panel, with MIDI from JACK or the system's ports;
                                     overbar --help tells of tempo, metre and ports
overbar review FILE_OR_FOLDER        hear Standard MIDI Files as the plugin would
        [--json] [--track N] [--channel N]
        [--report OUT.html_OR_FOLDER] [--export FOLDER]
        [--form BARS] [--first-bar N] [--sections \"A8 A8 B8 A8\"] [--chords \"| Cm7 | F7 |\"]
        [--style NAME] [--reference FOLDER]";

fn main() -> ExitCode {
    let arguments: Vec<OsString> = std::env::args_os().skip(1).collect();
    let command = arguments.first().and_then(|first| first.to_str());
    match (command, arguments.get(1..).unwrap_or_default()) {
        (Some("review"), rest) if !asks_for_help(rest) => review::run(rest).report(),
        (Some("review" | "help"), _) => {
            outcome::say(USAGE);
            ExitCode::SUCCESS
        }
        _ if nice_export_standalone::<Overbar>() => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    }
}

fn asks_for_help(arguments: &[OsString]) -> bool {
    arguments.iter().any(|argument| argument == "--help" || argument == "-h")
}
