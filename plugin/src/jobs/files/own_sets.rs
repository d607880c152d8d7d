//! Reads the user's own set: solos in the MIDI files of a folder. The files are read once, and again when one
//! of them has changed.

use crate::jobs::files::{folder, import};
use crate::runtime::lock::lock;
use crate::view_model::own_set::OwnSet;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::phrase::figures::FEW_PHRASES;
use overbar_core::study::compare::Reference;
use overbar_core::take::settings::Settings;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::SystemTime;

/// Path, modification time and size of a file when it was read.
type FileStamp = (PathBuf, Option<SystemTime>, u64);

/// A cache of the last set.
#[derive(Debug, Default)]
pub struct OwnSets {
    read: Mutex<Option<KnownSet>>,
}

/// A set with the files and settings it depends on.
#[derive(Debug)]
struct KnownSet {
    stamps: Vec<FileStamp>,
    settings: Settings,
    set: Arc<OwnSet>,
}

impl OwnSets {
    /// The set in the folder `typed`; `None` if that is empty. `reading` reports the file number, from 1, and
    /// the count, and may cancel. For a thread that may wait for a disk.
    ///
    /// # Errors
    /// A sentence for the user.
    pub fn get(
        &self,
        typed: &str,
        settings: Settings,
        reading: impl Fn(usize, usize) -> Result<(), String>,
    ) -> Result<Option<Arc<OwnSet>>, String> {
        let typed = typed.trim();
        if typed.is_empty() {
            return Ok(None);
        }
        let source = folder::absolute(typed)?;
        let files = import::files(&source)?;
        let stamps: Vec<FileStamp> = files.iter().map(stamp).collect();
        if let Some(known) = &*lock(&self.read)
            && (&known.stamps, known.settings) == (&stamps, settings)
        {
            return Ok(Some(known.set.clone()));
        }
        let set = Arc::new(read(&source, &files, settings, reading)?);
        *lock(&self.read) = Some(KnownSet { stamps, settings, set: set.clone() });
        Ok(Some(set))
    }
}

fn stamp(file: &PathBuf) -> FileStamp {
    let found = std::fs::metadata(file).ok();
    let changed = found.as_ref().and_then(|found| found.modified().ok());
    (file.clone(), changed, found.map_or(0, |found| found.len()))
}

fn read(
    source: &Path,
    files: &[PathBuf],
    settings: Settings,
    reading: impl Fn(usize, usize) -> Result<(), String>,
) -> Result<OwnSet, String> {
    let mut solos = Vec::new();
    for (index, file) in files.iter().enumerate() {
        reading(index + 1, files.len())?;
        if let Ok(arrived) = import::read(file, settings) {
            let figures = TakeAnalysis::of(arrived.notes, settings).figures().clone();
            solos.push(figures);
        }
    }
    let unread = files.len() - solos.len();
    let solos = Reference::of(solos);
    if solos.solos() == 0 {
        let shown = source.display();
        return Err(format!("{shown}: no file with {FEW_PHRASES} or more phrases."));
    }
    let name = source.file_name().unwrap_or(source.as_os_str()).to_string_lossy().into_owned();
    Ok(OwnSet { name, solos, unread })
}
