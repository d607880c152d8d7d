//! Standard MIDI Files as takes.

use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::take::performance::Performance;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// At most so many files are read at once: a slip of the hand is not to fill the project.
const MOST_FILES: usize = 200;

/// No file is larger, in bytes: the longest take has some hundred thousand notes.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// What was read of a file.
pub struct Arrived {
    /// The file's name without its ending.
    pub name: String,
    /// What was played.
    pub notes: Arc<Performance>,
}

/// The file itself, or the MIDI files of a folder by name.
///
/// # Errors
/// A sentence for the user.
pub fn files(source: &Path) -> Result<Vec<PathBuf>, String> {
    let told = |error: std::io::Error| format!("{}: {error}.", source.display());
    if !std::fs::metadata(source).map_err(told)?.is_dir() {
        return Ok(vec![source.to_owned()]);
    }
    let mut files = Vec::new();
    for entry in std::fs::read_dir(source).map_err(told)? {
        let path = entry.map_err(told)?.path();
        let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
        if ending == "mid" || ending == "midi" {
            files.push(path);
        }
    }
    files.sort();
    match files.len() {
        0 => Err(format!("{}: no MIDI files there.", source.display())),
        1..=MOST_FILES => Ok(files),
        all => Err(format!(
            "{}: {all} MIDI files; at most {MOST_FILES} are read at once.",
            source.display()
        )),
    }
}

/// Hears the soloist's line of a file.
///
/// # Errors
/// The file's name and the reason.
pub fn read(path: &Path, settings: Settings) -> Result<Arrived, String> {
    let shown = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    // A folder cannot be read, and a named pipe would be waited for without end.
    let bytes = match std::fs::metadata(path) {
        Ok(found) if !found.is_file() => return Err(format!("{shown}: not a file")),
        Ok(found) if found.len() > MOST_BYTES => return Err(format!("{shown}: too large")),
        found => found.and_then(|_| std::fs::read(path)),
    }
    .map_err(|error| format!("{shown}: {error}"))?;
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{shown}: {error}"))?;
    let line = midi.line(Choice::default()).map_err(|error| format!("{shown}: {error}"))?;
    let mut session = Session::new(settings);
    for event in midi.events(line) {
        session.push(event);
    }
    session.finish();
    // A file rolls from its start to its end: where it has notes, it is one take.
    let take = session.takes().last().ok_or_else(|| format!("{shown}: no notes of the soloist"))?;
    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(Arrived { name, notes: take.performance.clone() })
}
