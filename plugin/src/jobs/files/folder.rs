//! The output folder: the typed one or the default. No file is ever overwritten.

use overbar_files::output;
use overbar_library::FOLDER_VARIABLE;
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

/// At most this many files of one name are numbered.
const MAX_ALIKE: u32 = 9_999;

/// The default folder: `Overbar` in the user's documents folder or, without one, in the home folder. `None`
/// for a user without a home folder.
#[must_use]
pub fn usual() -> Option<PathBuf> {
    if let Some(data) = std::env::var_os(FOLDER_VARIABLE).filter(|data| !data.is_empty()) {
        return Some(PathBuf::from(data).join("out"));
    }
    let home = etcetera::home_dir().ok()?;
    let documents = home.join("Documents");
    Some(if documents.is_dir() { documents } else { home }.join("Overbar"))
}

/// An example of an absolute path on this system.
const EXAMPLE: &str = if cfg!(windows) { r"C:\Solos" } else { "/home/me/solos" };

/// What an error says, without the system's number for it: "Permission denied".
pub fn why(error: &Error) -> String {
    let text = error.to_string();
    text.split_once(" (os error").map_or(text.as_str(), |(text, _)| text).to_owned()
}

/// The typed text as an absolute path.
///
/// # Errors
/// A sentence for the user.
pub fn absolute(typed: &str) -> Result<PathBuf, String> {
    let path = match typed.strip_prefix("~/").map(|rest| (rest, etcetera::home_dir())) {
        Some((rest, Ok(home))) => home.join(rest),
        _ => PathBuf::from(typed),
    };
    match path.is_absolute() {
        true => Ok(path),
        false if typed.is_empty() => Err("Choose a file or folder.".to_owned()),
        false => Err(format!("Enter a full path, e.g. {EXAMPLE}.")),
    }
}

/// The typed folder, or the default one; created if it does not exist.
///
/// # Errors
/// A sentence for the user.
pub fn of(typed: &str) -> Result<PathBuf, String> {
    let folder = match typed.trim() {
        "" => usual().ok_or("No home folder found: enter an export folder.")?,
        typed => absolute(typed)?,
    };
    std::fs::create_dir_all(&folder).map_err(|error| {
        format!("Couldn't create folder {}: {}.", folder.display(), why(&error))
    })?;
    Ok(folder)
}

/// Creates a folder, numbered if the name is taken.
///
/// # Errors
/// A sentence for the user.
pub fn new_folder(folder: &Path, name: &str) -> Result<PathBuf, String> {
    for number in 1..=MAX_ALIKE {
        let path = folder.join(match number {
            1 => name.to_owned(),
            number => format!("{name} ({number})"),
        });
        match std::fs::create_dir(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => {
                return Err(format!("Couldn't create folder {}: {}.", path.display(), why(&error)));
            }
        }
    }
    Err(format!("{} has too many folders called “{name}”.", folder.display()))
}

/// Writes a new file, numbered if the name is taken. It appears complete or not at all.
///
/// # Errors
/// A sentence for the user.
pub fn write_new(folder: &Path, stem: &str, ending: &str, bytes: &[u8]) -> Result<PathBuf, String> {
    output::write_numbered(folder, stem, ending, bytes)
        .map_err(|(path, error)| format!("Couldn't save {}: {}.", path.display(), why(&error)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_file_is_overwritten() {
        let folder = std::env::temp_dir().join(format!("overbar_out_{}", std::process::id()));
        let folder = of(folder.to_str().unwrap()).unwrap();
        let paths: Vec<PathBuf> = ["one", "two", "three"]
            .iter()
            .map(|text| write_new(&folder, "Slow", "txt", text.as_bytes()).unwrap())
            .collect();
        let names: Vec<_> = paths.iter().map(|p| p.file_name().unwrap().to_owned()).collect();
        assert_eq!(names, ["Slow.txt", "Slow (2).txt", "Slow (3).txt"]);
        let read: Vec<_> = paths.iter().map(|p| std::fs::read_to_string(p).unwrap()).collect();
        assert_eq!(read, ["one", "two", "three"]);
        // It cannot be a folder: it is a file.
        let message = of(paths[0].to_str().unwrap()).unwrap_err();
        assert!(message.contains("Slow.txt"), "{message}");
        let message = write_new(&paths[0], "a", "txt", b"").unwrap_err();
        assert!(message.contains("Couldn't save") && !message.contains("os error"), "{message}");
        std::fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_path_must_be_absolute() {
        assert!(absolute("takes/one.mid").unwrap_err().contains("full path"));
        assert!(absolute("").unwrap_err().contains("Choose a file"));
        assert!(of("  ").unwrap().ends_with("data/out"), "tests keep out of a user's home");
    }
}
