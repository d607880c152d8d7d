//! Where the library is, and which copy of this code in a process may use it.
//!
//! A host that loads both the CLAP and the VST3 has this code twice in its process, each copy with
//! its own SQLite. SQLite's locks belong to the process (POSIX), so the copies would not see each
//! other's locks and would damage a shared file. So the first copy in a process uses the library,
//! and each further copy a sidecar beside it. Locks on an open file do hold between copies. At the
//! next start sidecars are merged into the library ([`mod@crate::merge_sidecars`]).

use crate::writer_lock;
use etcetera::BaseStrategy;
use std::fs::{File, create_dir_all};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The environment variable that replaces the user's data folder: for tests, and for users who keep
/// their data elsewhere.
pub const FOLDER_VARIABLE: &str = "OVERBAR_DATA";

/// The library and its sidecars.
const FILES: [&str; 4] =
    ["library.sqlite", "library-2.sqlite", "library-3.sqlite", "library-4.sqlite"];

/// Attempts to claim a file, as a sweep holds its lock for a moment.
const ATTEMPTS: u32 = 3;

/// The library file of this copy: in the folder of [`FOLDER_VARIABLE`], or in a folder `overbar` in
/// the system's data folder. `None` if the user has no home. The first call claims the file until
/// the process ends; see the module.
pub fn default_path() -> Option<PathBuf> {
    static CLAIMED: OnceLock<(&str, Option<File>)> = OnceLock::new();
    let folder = match std::env::var_os(FOLDER_VARIABLE).filter(|folder| !folder.is_empty()) {
        Some(folder) => PathBuf::from(folder),
        None => etcetera::base_strategy::choose_native_strategy().ok()?.data_dir().join("overbar"),
    };
    // If none can be claimed, opening the library reports why.
    let (file, _) = CLAIMED.get_or_init(|| {
        first_free(&folder).map_or((FILES[0], None), |(file, lock)| (file, Some(lock)))
    });
    Some(folder.join(file))
}

/// Claims the first file in `folder` that no other copy has. It stays claimed while the lock is
/// open.
fn first_free(folder: &Path) -> Option<(&'static str, File)> {
    FILES.into_iter().find_map(|file| Some((file, claim(&folder.join(file))?)))
}

/// Claims the library at `path` for this copy while the returned lock is open. `None` if another
/// copy has it, or no lock file can be created.
pub(crate) fn claim(path: &Path) -> Option<File> {
    let file = writer_lock::process_file(path);
    (0..ATTEMPTS).find_map(|_| {
        create_dir_all(file.parent()?).ok()?;
        let lock = File::create(&file).ok()?;
        (lock.try_lock().is_ok() && file.exists()).then_some(lock)
    })
}

/// Whether no other process uses the library at `path`.
pub(crate) fn is_unused(path: &Path) -> bool {
    let own = writer_lock::process_file(path);
    writer_lock::held(path).iter().all(|lock| *lock == own)
}

/// The sidecars beside the library at `path`; none if that is a sidecar.
pub(crate) fn sidecars(path: &Path) -> Vec<PathBuf> {
    let [library, sidecars @ ..] = FILES;
    if path.file_name().is_none_or(|name| name != library) {
        return Vec::new();
    }
    let beside = sidecars.map(|file| path.with_file_name(file));
    beside.into_iter().filter(|path| path.exists()).collect()
}

/// Whether the library at `path` is a sidecar; see the module.
pub fn is_sidecar(path: &Path) -> bool {
    let [_, sidecars @ ..] = FILES;
    sidecars.iter().any(|file| path.file_name().is_some_and(|name| name == *file))
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
        // A lock in use is not swept away, and a dropped one is free again.
        writer_lock::sweep(&folder.path().join("library.sqlite"));
        assert_eq!(first_free(folder.path()).unwrap().0, "library-3.sqlite");
        drop(first);
        assert_eq!(first_free(folder.path()).unwrap().0, "library.sqlite");
    }
}
