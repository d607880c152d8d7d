//! Writer locks: a file that stays locked while its writer lives. The system releases the locks of a
//! process however it ends, so a take whose lock is free was cut off.

use crate::stamp::Stamp;
use std::fs::{File, TryLockError, create_dir_all, read_dir, remove_file};
use std::path::{Path, PathBuf};

/// Where the system has no file locks, a writer silent for this long counts as gone. In
/// milliseconds; twelve heartbeats.
const SILENCE: i64 = 60_000;

/// A writer's token and its locked file. Dropping it releases the lock.
#[derive(Debug)]
pub struct WriterLock {
    /// Identifies the writer in the library.
    pub token: [u8; 16],
    file: PathBuf,
    _locked: Option<File>,
}

impl WriterLock {
    /// A lock for a new writer of the library at `path`.
    pub fn new(path: &Path) -> Self {
        let token = *uuid::Uuid::now_v7().as_bytes();
        let file = file_of(path, &token);
        let locked = || {
            create_dir_all(folder(path)).and_then(|()| File::create(&file)).ok().filter(|lock| {
                // `sweep` holds the lock for a moment, and may just have removed the file.
                lock.lock().is_ok() && file.exists()
            })
        };
        let lock = locked().or_else(locked);
        Self { token, file, _locked: lock }
    }
}

impl Drop for WriterLock {
    fn drop(&mut self) {
        // A file that stays is removed when the library is next opened.
        let _removed = remove_file(&self.file).is_ok();
    }
}

/// Whether the writer with this token, last active at `heartbeat`, is gone.
pub fn is_gone(path: &Path, token: &[u8; 16], heartbeat: Stamp, now: Stamp) -> bool {
    let Ok(lock) = File::open(file_of(path, token)) else { return true };
    match lock.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock) => false,
        Err(TryLockError::Error(_)) => now.0.saturating_sub(heartbeat.0) > SILENCE,
    }
}

/// Removes the lock files of writers that are gone.
pub fn sweep(path: &Path) {
    let Ok(files) = read_dir(folder(path)) else { return };
    for file in files.flatten() {
        let free = File::open(file.path()).is_ok_and(|lock| lock.try_lock().is_ok());
        if free {
            let _removed = remove_file(file.path()).is_ok();
        }
    }
}

/// The lock files in use by writers and processes.
pub fn held(path: &Path) -> Vec<PathBuf> {
    let files = read_dir(folder(path)).into_iter().flatten().flatten();
    let is_held = |file: &PathBuf| File::open(file).is_ok_and(|lock| lock.try_lock().is_err());
    files.map(|file| file.path()).filter(is_held).collect()
}

/// The lock file by which a process claims the library at `path`.
pub fn process_file(path: &Path) -> PathBuf {
    folder(path).join(format!("process-{}", std::process::id()))
}

fn folder(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push("-writers");
    path.with_file_name(name)
}

fn file_of(path: &Path, token: &[u8; 16]) -> PathBuf {
    folder(path).join(format!("{:032x}", u128::from_be_bytes(*token)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_writer_is_present_until_its_lock_is_dropped() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library");
        let lock = WriterLock::new(&path);
        let token = lock.token;
        let gone = || is_gone(&path, &token, Stamp(0), Stamp::now());
        assert!(!gone());
        sweep(&path);
        assert!(!gone(), "a lock in use is not swept away");
        drop(lock);
        assert!(gone());
    }
}
