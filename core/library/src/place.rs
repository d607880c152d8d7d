//! Where the library lies, and which copy of this code in a process has it.
//!
//! A host that has both the CLAP and the VST3 of the plugin has this code twice in its process, each
//! with an SQLite of its own. SQLite's locks are the process's (POSIX), so that the two would not see
//! one another's and damage a file they share. The first copy in a process has the library, another
//! one a library beside it. Locks on an open file do hold between copies. At the next start what is
//! in those comes into the first one ([`mod@crate::merge_sidecars`]).

use crate::writer_lock;
use etcetera::BaseStrategy;
use std::fs::{File, create_dir_all};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Names the user's data folder in place of the system's, for tests and for those who keep
/// their data elsewhere.
pub const FOLDER_VARIABLE: &str = "OVERBAR_DATA";

/// The library's file, and those of further copies in a process.
const FILES: [&str; 4] =
    ["library.sqlite", "library-2.sqlite", "library-3.sqlite", "library-4.sqlite"];

/// A copy tries so often for each file: whoever sweeps marks away holds one for a moment.
const TRIES: u32 = 3;

/// The library's file in the user's data folder: what [`FOLDER_VARIABLE`] names, or a folder
/// `overbar` where the system keeps such data. `None` where the user has no home. From the first
/// call on the file is this copy's, until the process ends; see the module.
#[must_use]
pub fn default_path() -> Option<PathBuf> {
    static MINE: OnceLock<(&str, Option<File>)> = OnceLock::new();
    let folder = match std::env::var_os(FOLDER_VARIABLE).filter(|folder| !folder.is_empty()) {
        Some(folder) => PathBuf::from(folder),
        None => etcetera::base_strategy::choose_native_strategy().ok()?.data_dir().join("overbar"),
    };
    // Where no mark can be made, no library can be written either, and that is told.
    let (file, _) = MINE.get_or_init(|| {
        first_free(&folder).map_or((FILES[0], None), |(file, mark)| (file, Some(mark)))
    });
    Some(folder.join(file))
}

/// The first file in `folder` that no other copy in this process has; it is this one's as long as
/// its mark is open.
fn first_free(folder: &Path) -> Option<(&'static str, File)> {
    FILES.into_iter().find_map(|file| Some((file, claim(&folder.join(file))?)))
}

/// A mark on the library at `path` that no other copy in this process has: it is this one's as long as
/// the mark is open. `None` where another copy has it, or no mark can be made.
pub(crate) fn claim(path: &Path) -> Option<File> {
    let mark = writer_lock::mark_of_process(path);
    (0..TRIES).find_map(|_| {
        create_dir_all(mark.parent()?).ok()?;
        let opened = File::create(&mark).ok()?;
        (opened.try_lock().is_ok() && mark.exists()).then_some(opened)
    })
}

/// Whether no other process has the library at `path`: no one but this one's copies marked it.
pub(crate) fn is_unused(path: &Path) -> bool {
    writer_lock::marks(path).iter().all(|mark| *mark == writer_lock::mark_of_process(path))
}

/// The libraries of further copies beside the first one at `path`, as far as there are any; none beside
/// another one.
pub(crate) fn others(path: &Path) -> Vec<PathBuf> {
    let [first, others @ ..] = FILES;
    if path.file_name().is_none_or(|name| name != first) {
        return Vec::new();
    }
    let beside = others.map(|file| path.with_file_name(file));
    beside.into_iter().filter(|path| path.exists()).collect()
}

/// Whether the library at `path` is that of a further copy in a process; see the module.
#[must_use]
pub fn is_of_further_copy(path: &Path) -> bool {
    let [_, others @ ..] = FILES;
    others.iter().any(|file| path.file_name().is_some_and(|name| name == *file))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_in_a_process_have_a_file_each() {
        let folder = tempfile::tempdir().unwrap();
        let first = first_free(folder.path()).unwrap();
        let second = first_free(folder.path()).unwrap();
        assert_eq!((first.0, second.0), ("library.sqlite", "library-2.sqlite"));
        // A mark that is held is not swept away, and one that is not is free again.
        writer_lock::sweep(&folder.path().join("library.sqlite"));
        assert_eq!(first_free(folder.path()).unwrap().0, "library-3.sqlite");
        drop(first);
        assert_eq!(first_free(folder.path()).unwrap().0, "library.sqlite");
    }
}
