//! Imports Standard MIDI Files as takes.

use crate::jobs::files::folder;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_files::load::{self, LoadOptions, list, name, take};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Files read at once at most, so that a slip does not fill the project.
const MAX_FILES: usize = 200;

/// Largest file in bytes: even the longest take has only some hundred thousand notes.
const MAX_BYTES: u64 = 64 * 1024 * 1024;

/// A take imported from a file.
pub struct ImportedTake {
    /// The file's name without its extension.
    pub name: String,
    /// Its notes.
    pub notes: Arc<Performance>,
}

/// The file itself, or the MIDI files of a folder by name.
///
/// # Errors
/// A sentence for the user.
pub fn files(source: &Path) -> Result<Vec<PathBuf>, String> {
    let shown = source.display();
    let found =
        std::fs::metadata(source).map_err(|error| format!("{shown}: {}.", folder::why(&error)))?;
    if !found.is_dir() {
        return Ok(vec![source.to_owned()]);
    }
    let (files, wrong) = list(source).map_err(|why| format!("{why}."))?;
    match (files.len(), wrong.first()) {
        (_, Some(why)) => Err(format!("{why}.")),
        (0, None) => Err(format!("No MIDI files in {shown}.")),
        (1..=MAX_FILES, None) => Ok(files),
        (all, None) => Err(format!("{shown} has {all} MIDI files; the limit is {MAX_FILES}.")),
    }
}

/// The files of all these typed sources, in this order, and what is wrong with the other sources, without a
/// full stop.
///
/// # Errors
/// A sentence for the user: there are no files, or more than `MAX_FILES`.
pub fn all_files(sources: &[String]) -> Result<(Vec<PathBuf>, Vec<String>), String> {
    let (mut all, mut wrong) = (Vec::new(), Vec::new());
    for source in sources {
        match folder::absolute(source.trim()).and_then(|source| files(&source)) {
            Ok(found) => all.extend(found),
            Err(why) => wrong.push(why.trim_end_matches('.').to_owned()),
        }
    }
    match (all.len(), wrong.first()) {
        (0, Some(why)) => Err(format!("{why}.")),
        (0..=MAX_FILES, _) => Ok((all, wrong)),
        (many, _) => Err(format!("{many} MIDI files at once; the limit is {MAX_FILES}.")),
    }
}

/// Reads the soloist's line of a file.
///
/// # Errors
/// The file's name and the reason.
pub fn read(path: &Path, settings: Settings) -> Result<ImportedTake, String> {
    let named =
        |why: String| format!("{}: {why}", path.file_name().unwrap_or_default().to_string_lossy());
    if std::fs::metadata(path).is_ok_and(|found| found.len() > MAX_BYTES) {
        return Err(named("too large".to_owned()));
    }
    let options = LoadOptions { settings, ..LoadOptions::default() };
    let notes = load::read(path).and_then(|bytes| take(&bytes, &options)).map_err(named)?;
    Ok(ImportedTake { name: name(path), notes })
}
