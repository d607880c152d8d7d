//! Who writes a take: told apart by a file that its writer keeps locked. A process that ends,
//! however it ends, lets go of its locks; so what is unlocked was left behind.

use crate::stamp::Stamp;
use std::fs::{File, TryLockError, create_dir_all, read_dir, remove_file};
use std::path::{Path, PathBuf};

/// Where the system gives no locks, a writer that has not been heard of for this long is taken
/// for gone. In milliseconds: twenty times [`crate::recorder::LOOK_EVERY`] and a slow disk.
const SILENCE: i64 = 60_000;

/// A writer's token and its locked file; the lock goes when this does.
#[derive(Debug)]
pub struct Owner {
    /// Its token.
    pub token: [u8; 16],
    file: PathBuf,
    /// Holds the lock.
    _lock: Option<File>,
}

impl Owner {
    /// A new writer of the library at `path`.
    #[must_use]
    pub fn new(path: &Path) -> Self {
        let token = uuid::Uuid::now_v7();
        let file = file_of(path, token.as_bytes());
        let locked = || {
            create_dir_all(folder(path)).and_then(|()| File::create(&file)).ok().filter(|lock| {
                // Whoever sweeps holds the lock for a moment, and may just have removed the file.
                lock.lock().is_ok() && file.exists()
            })
        };
        let lock = locked().or_else(locked);
        Self { token: *token.as_bytes(), file, _lock: lock }
    }
}

impl Drop for Owner {
    fn drop(&mut self) {
        // A file that stays is swept by whoever opens the library next.
        let _swept = remove_file(&self.file).is_ok();
    }
}

/// Whether the writer with this token, last heard of at `heartbeat`, is gone.
#[must_use]
pub fn is_gone(path: &Path, token: &[u8; 16], heartbeat: Stamp, now: Stamp) -> bool {
    let Ok(lock) = File::open(file_of(path, token)) else { return true };
    match lock.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock) => false,
        Err(TryLockError::Error(_)) => now.0.saturating_sub(heartbeat.0) > SILENCE,
    }
}

/// Removes the files of writers that are gone.
pub fn sweep(path: &Path) {
    let Ok(files) = read_dir(folder(path)) else { return };
    for file in files.flatten() {
        let free = File::open(file.path()).is_ok_and(|lock| lock.try_lock().is_ok());
        if free {
            let _swept = remove_file(file.path()).is_ok();
        }
    }
}

/// The files of writers and processes that are there.
pub fn marks(path: &Path) -> Vec<PathBuf> {
    let files = read_dir(folder(path)).into_iter().flatten().flatten();
    let held = |file: &PathBuf| File::open(file).is_ok_and(|lock| lock.try_lock().is_err());
    files.map(|file| file.path()).filter(held).collect()
}

/// What a copy of this code in this process marks the library at `path` with.
pub fn mark_of_process(path: &Path) -> PathBuf {
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
    fn a_writer_is_there_until_it_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library");
        let owner = Owner::new(&path);
        let token = owner.token;
        let gone = || is_gone(&path, &token, Stamp(0), Stamp::now());
        assert!(!gone());
        sweep(&path);
        assert!(!gone(), "a file in use is not swept away");
        drop(owner);
        assert!(gone());
    }
}
