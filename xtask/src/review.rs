//! `review`: hears files as the plugin would.

use crate::outcome::{Outcome, say, warn};
use overbar_core::midi_file::Choice;
use overbar_core::review::Review;
use overbar_core::settings::Settings;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use std::sync::mpsc;

struct Request {
    path: PathBuf,
    json: bool,
    choice: Choice,
}

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let request = match parse(arguments) {
        Ok(request) => request,
        Err(what) => return Outcome::Wrong(what),
    };
    if request.path.is_dir() { folder(&request) } else { file(&request) }
}

fn parse(arguments: &[OsString]) -> Result<Request, String> {
    let mut path = None;
    let mut json = false;
    let mut choice = Choice::default();
    let mut rest = arguments.iter();
    while let Some(argument) = rest.next() {
        let text = argument.to_string_lossy();
        let mut number = |most: usize| {
            let figure = rest.next().ok_or(format!("{text} needs a number"))?.to_string_lossy();
            let number = figure.parse().ok().filter(|number| (1..=most).contains(number));
            number.ok_or(format!("{text} {figure}: not a number from 1 to {most}"))
        };
        match text.as_ref() {
            "--json" => json = true,
            "--track" => choice.track = Some(number(usize::from(u16::MAX))?),
            "--channel" => choice.channel = u8::try_from(number(16)?).ok(),
            flag if flag.starts_with('-') => return Err(format!("{flag}: no such option")),
            _ if path.is_some() => return Err(format!("{text}: one file or folder at a time")),
            _ => path = Some(PathBuf::from(argument)),
        }
    }
    let path = path.ok_or("review needs a file or a folder")?;
    Ok(Request { path, json, choice })
}

fn file(request: &Request) -> Outcome {
    match review(&request.path, request) {
        Ok(text) => {
            say(&text);
            Outcome::Done
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
fn list(folder: &Path) -> Result<(Vec<PathBuf>, Vec<String>), String> {
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
    let review = Review::of(&name, &bytes, request.choice, Settings::default())
        .map_err(|error| format!("{name}: {error}"))?;
    if request.json {
        serde_json::to_string(&review).map_err(|error| format!("{name}: {error}"))
    } else {
        Ok(review.to_string().trim_end().to_owned())
    }
}
