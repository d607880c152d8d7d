//! `review`: hears files as the plugin would.

use crate::corrections;
use crate::options::Options;
use crate::outcome::{Outcome, say, warn};
use crate::report;
use overbar_core::output::review::Review;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use std::sync::mpsc;

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

struct Request {
    path: PathBuf,
    options: Options,
}

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let mut options = match Options::parse(arguments, &KNOWN) {
        Ok(options) => options,
        Err(what) => return Outcome::Wrong(what),
    };
    let path = match options.paths.as_slice() {
        [path] => path.clone(),
        [] => return Outcome::Wrong("review needs a file or a folder".into()),
        [_, more, ..] => {
            return Outcome::Wrong(format!("{}: one file or folder at a time", more.display()));
        }
    };
    let is_folder = path.is_dir();
    if let Err(what) = corrections::gather(&mut options, is_folder) {
        return Outcome::Wrong(what);
    }
    let request = Request { path, options };
    if request.options.report.is_some() || request.options.export.is_some() {
        return reports(request, is_folder);
    }
    if is_folder { folder(&request) } else { file(&request) }
}

fn reports(request: Request, is_folder: bool) -> Outcome {
    let options = &request.options;
    if !is_folder {
        return report::run(options, std::slice::from_ref(&request.path), false);
    }
    match list(&request.path) {
        Ok((files, wrong)) => {
            wrong.iter().for_each(|what| warn(what));
            if files.is_empty() {
                return Outcome::Wrong(format!("{}: no MIDI files", request.path.display()));
            }
            report::run(options, &files, true)
        }
        Err(what) => Outcome::Wrong(what),
    }
}

fn file(request: &Request) -> Outcome {
    match review(&request.path, request) {
        Ok(text) => {
            say(&text);
            match corrections::keep(&request.options) {
                Ok(()) => Outcome::Done,
                Err(what) => Outcome::Wrong(what),
            }
        }
        Err(what) => Outcome::Wrong(what),
    }
}

/// Reviews every MIDI file of a folder, in order of name, on all cores.
fn folder(request: &Request) -> Outcome {
    let (files, mut wrong) = match list(&request.path) {
        Ok(listed) => listed,
        Err(what) => return Outcome::Wrong(what),
    };
    for what in &wrong {
        warn(what);
    }
    if files.is_empty() && wrong.is_empty() {
        return Outcome::Wrong(format!("{}: no MIDI files", request.path.display()));
    }
    let next = AtomicUsize::new(0);
    let (send, results) = mpsc::channel();
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..cores.min(files.len()) {
            let (send, next, files) = (send.clone(), &next, &files);
            scope.spawn(move || {
                while let Some(path) = files.get(next.fetch_add(1, Relaxed)) {
                    // The receiver lives until every sender is gone.
                    if send.send((path, review(path, request))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        let mut waiting: Vec<_> = Vec::new();
        let mut written = 0;
        for result in results {
            waiting.push(result);
            while let Some(at) = waiting.iter().position(|(p, _)| files.get(written) == Some(*p)) {
                match waiting.swap_remove(at).1 {
                    Ok(text) => say(&text),
                    Err(what) => {
                        warn(&what);
                        wrong.push(what);
                    }
                }
                written += 1;
            }
        }
    });
    if wrong.is_empty() { Outcome::Done } else { Outcome::WrongAndTold }
}

/// The MIDI files of a folder by name, and what could not be looked at.
pub fn list(folder: &Path) -> Result<(Vec<PathBuf>, Vec<String>), String> {
    let describe = |error: std::io::Error| format!("{}: {error}", folder.display());
    let mut files = Vec::new();
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(describe)? {
        match entry {
            Ok(entry) => files.push(entry.path()),
            Err(error) => wrong.push(describe(error)),
        }
    }
    files.retain(|path| {
        let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
        ending == "mid" || ending == "midi"
    });
    files.sort();
    Ok((files, wrong))
}

/// # Errors
/// A line that names the file and the reason.
fn review(path: &Path, request: &Request) -> Result<String, String> {
    let name = path.display().to_string();
    // A folder cannot be read, and a named pipe in a folder would be waited for without end.
    let in_folder = path != request.path;
    let bytes = match std::fs::metadata(path) {
        Ok(found) if in_folder && !found.is_file() => return Err(format!("{name}: not a file")),
        found => found.and_then(|_| std::fs::read(path)),
    }
    .map_err(|error| format!("{name}: {error}"))?;
    let Options { choice, settings, by_hand, json, .. } = &request.options;
    let review = Review::corrected(&name, &bytes, *choice, *settings, by_hand)
        .map_err(|error| format!("{name}: {error}"))?;
    if *json {
        serde_json::to_string(&review).map_err(|error| format!("{name}: {error}"))
    } else {
        Ok(review.to_string().trim_end().to_owned())
    }
}
