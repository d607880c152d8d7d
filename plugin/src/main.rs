//! Overbar without a host: the same panel, with MIDI from the system's ports, and its own tempo and metre.
//! With `listen` as the first argument it transcribes audio instead. `--help` lists the options.

use nice_plug::prelude::nice_export_standalone_with_args;
use overbar::{Overbar, OverbarListen};
use std::process::ExitCode;

fn main() -> ExitCode {
    let mut arguments: Vec<String> = std::env::args().collect();
    let done = if arguments.get(1).is_some_and(|first| first == "listen") {
        arguments.remove(1);
        nice_export_standalone_with_args::<OverbarListen, _>(arguments)
    } else {
        nice_export_standalone_with_args::<Overbar, _>(arguments)
    };
    if done { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
