//! The operating system's desktop: its programs and folders. Tests supply their own.

use crate::jobs::system::show;
use etcetera::base_strategy::{BaseStrategy as _, Xdg};
use pollster::block_on;
use rfd::AsyncFileDialog;
use std::path::{Path, PathBuf};

/// A bundle is at most this many folders above its own file, and a package one above the bundle.
const FOLDERS_UP: usize = 5;

/// Extensions of MIDI files, for case-sensitive file systems.
const ENDINGS: [&str; 4] = ["mid", "midi", "MID", "MIDI"];

/// A file dialog.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dialog {
    /// Its title.
    pub title: &'static str,
    /// Whether it chooses folders; if not, MIDI files.
    pub folders: bool,
    /// The folder it opens in; `None` leaves that to the system.
    pub from: Option<PathBuf>,
}

/// Shown if there is no dialog.
const NO_DIALOG: &str = "No file dialog on this system: type the path instead.";

/// The desktop's operations. Any of them may block.
pub trait Desktop: Send + Sync {
    /// Opens a file with the program that the system has for it.
    ///
    /// # Errors
    /// Why not, without a full stop.
    fn open(&self, file: &Path) -> Result<(), String>;

    /// Shows a file in its folder.
    ///
    /// # Errors
    /// Why not, without a full stop.
    fn show(&self, file: &Path) -> Result<(), String>;

    /// Lets the user choose; empty if they cancel.
    ///
    /// # Errors
    /// A sentence for the user, if there is no dialog.
    fn choose(&self, dialog: &Dialog) -> Result<Vec<PathBuf>, String>;

    /// Folders where the manual may be, the likeliest last.
    fn manuals(&self) -> Vec<PathBuf>;
}

/// The desktop of this system.
pub struct SystemDesktop;

impl Desktop for SystemDesktop {
    fn open(&self, file: &Path) -> Result<(), String> {
        open::that_detached(file).map_err(|error| error.to_string())
    }

    fn show(&self, file: &Path) -> Result<(), String> {
        show::in_folder(file)
    }

    fn choose(&self, dialog: &Dialog) -> Result<Vec<PathBuf>, String> {
        let mut shown = AsyncFileDialog::new().set_title(dialog.title);
        if let Some(folder) = &dialog.from {
            shown = shown.set_directory(folder);
        }
        let chosen = match dialog.folders {
            true => block_on(shown.pick_folders()),
            false => block_on(shown.add_filter("MIDI files", &ENDINGS).pick_files()),
        };
        match chosen {
            Some(chosen) => Ok(chosen.iter().map(|file| file.path().to_owned()).collect()),
            // On Linux, a closed dialog gives an empty list.
            None if cfg!(target_os = "linux") => Err(NO_DIALOG.to_owned()),
            None => Ok(Vec::new()),
        }
    }

    fn manuals(&self) -> Vec<PathBuf> {
        let installed = match cfg!(windows) {
            true => std::env::var_os("LOCALAPPDATA")
                .map(|data| PathBuf::from(data).join("Programs").join("Overbar")),
            false => Xdg::new().ok().map(|user| user.data_dir().join("doc").join("overbar")),
        };
        let own = own_file();
        let beside = own.iter().flat_map(|file| file.ancestors().skip(1).take(FOLDERS_UP));
        let folders = beside.map(Path::to_owned).chain(installed);
        folders.map(|folder| folder.join("manual")).collect()
    }
}

/// The file that this code was loaded from: the plugin or the program.
#[cfg(unix)]
fn own_file() -> Option<PathBuf> {
    use std::ffi::{CStr, OsStr};
    use std::os::unix::ffi::OsStrExt as _;
    let mut found = core::mem::MaybeUninit::<libc::Dl_info>::zeroed();
    let here: fn() -> Option<PathBuf> = own_file;
    // SAFETY: any address is allowed; all zeros is a valid value, which is overwritten.
    let found = unsafe {
        libc::dladdr(here as *const libc::c_void, found.as_mut_ptr());
        found.assume_init()
    };
    if found.dli_fname.is_null() {
        return None;
    }
    // SAFETY: the name is zero-terminated and valid while this code is loaded.
    let name = unsafe { CStr::from_ptr(found.dli_fname) };
    std::fs::canonicalize(OsStr::from_bytes(name.to_bytes())).ok()
}

/// On other systems the installed manual is enough.
#[cfg(not(unix))]
fn own_file() -> Option<PathBuf> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_manual_is_searched_beside_the_own_file_and_where_it_is_installed() {
        let own = std::env::current_exe().unwrap().canonicalize().unwrap();
        let folders = SystemDesktop.manuals();
        #[cfg(unix)]
        assert_eq!(folders[0], own.with_file_name("manual"));
        let installed = folders.last().unwrap();
        assert!(installed.ends_with("overbar/manual") || installed.ends_with("Overbar/manual"));
        assert!(own.is_absolute() && folders.iter().all(|folder| folder.is_absolute()));
    }
}
