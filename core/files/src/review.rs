//! `review`: analyses files as the plugin would.

use crate::load::{list, on_all_cores_in_order, read};
use crate::options::Options;
use crate::outcome::{Outcome, say, warn};
use crate::{corrections, report};
use overbar_core::output::review::Review;
use std::ffi::OsString;
use std::path::Path;

const KNOWN: [&str; 18] = [
    "--json",
    "--track",
    "--channel",
    "--report",
    "--export",
    "--style",
    "--reference",
    "--form",
    "--first-bar",
    "--sections",
    "--chords",
    "--join",
    "--split",
    "--corrections",
    "--melody",
    "--feel",
    "--pulse",
    "--latency",
];

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    try_to_run(arguments).into()
}

fn try_to_run(arguments: &[OsString]) -> Result<Outcome, String> {
    let mut options = Options::parse(arguments, &KNOWN)?;
    let path =
        options.one_path("review needs a file or a folder", "one file or folder at a time")?;
    let is_folder = path.is_dir();
    corrections::read(&mut options, is_folder)?;
    let is_written = options.report.is_some() || options.export.is_some();
    if !is_folder {
        if is_written {
            return report::run(&options, &[path], false);
        }
        // Named pipes are welcome here, unlike in a folder.
        let bytes = std::fs::read(&path).map_err(|error| error.to_string());
        say(&review(&path, bytes, &options)?);
        return corrections::save(&options).map(|()| Outcome::Done);
    }
    let (files, wrong) = list(&path)?;
    wrong.iter().for_each(|what| warn(what));
    if files.is_empty() && (is_written || wrong.is_empty()) {
        return Err(format!("{}: no MIDI files", path.display()));
    }
    if is_written {
        return report::run(&options, &files, true);
    }
    let mut all_read = wrong.is_empty();
    let print = |result: Result<String, String>| match result {
        Ok(text) => say(&text),
        Err(what) => {
            warn(&what);
            all_read = false;
        }
    };
    on_all_cores_in_order(&files, |path| review(path, read(path), &options), print);
    Ok(if all_read { Outcome::Done } else { Outcome::WrongAndTold })
}

/// The review of a file, as text or JSON.
///
/// # Errors
/// A line that names the file and the reason.
fn review(
    path: &Path,
    bytes: Result<Vec<u8>, String>,
    options: &Options,
) -> Result<String, String> {
    let name = path.display().to_string();
    let Options { choice, settings, by_hand, json, .. } = options;
    let named = |error: &dyn std::fmt::Display| format!("{name}: {error}");
    let bytes = bytes.map_err(|error| named(&error))?;
    let review = Review::corrected(&name, &bytes, *choice, *settings, by_hand)
        .map_err(|error| named(&error))?;
    if *json {
        serde_json::to_string(&review).map_err(|error| named(&error))
    } else {
        Ok(review.to_string().trim_end().to_owned())
    }
}
